package tui

import (
	"bytes"
	"io"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/vt"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
	"plateside/tui/review"
	"plateside/tui/theme"
)

// A virtual is the real program on a screen that exists in memory only. After each key the driver waits until the
// program says it is idle, and then until the screen shows what the program wants it to show.
type virtual struct {
	t       *testing.T
	program *tea.Program
	model   *review.Model
	screen  *vt.SafeEmulator
	done    chan error
}

// cooked is the terminal's line discipline: without a keyboard the library counts on it to turn a line feed into a new
// line.
type cooked struct{ screen io.Writer }

func (c cooked) Write(b []byte) (int, error) {
	if _, err := c.screen.Write(bytes.ReplaceAll(b, []byte("\n"), []byte("\r\n"))); err != nil {
		return 0, err
	}
	return len(b), nil
}

func newVirtual(t *testing.T, width, height int) *virtual {
	t.Helper()
	rec, _ := simulate.Record(simulate.Anyone(7))
	rec.Name, rec.SHA256, rec.Athlete = "seven.csv", "7", "Isla Brandt"
	ledger := &quality.History{}
	m := review.New(review.Deps{
		Samples: func(*quality.Rep) (*curve.Recording, error) { return rec, nil },
		Append: func(events []quality.Event) ([]quality.Event, error) {
			for i := range events {
				events[i].Seq = ledger.NextSeq()
				if err := ledger.Apply(events[i]); err != nil {
					return nil, err
				}
			}
			return events, nil
		},
	}, review.Options{Title: "On a virtual screen", Theme: theme.New(theme.Options{Dark: true, Depth: theme.TrueColour}),
		Method: curve.DefaultMethod(), Limits: quality.DefaultLimits()})
	v := &virtual{t: t, model: m, screen: vt.NewSafeEmulator(width, height), done: make(chan error, 1)}
	go func() { _, _ = io.Copy(io.Discard, v.screen) }() // a terminal's answers, which nobody waits for
	v.program = tea.NewProgram(newRoot(m, &fall{}, false), tea.WithInput(nil), tea.WithOutput(cooked{v.screen}), tea.WithWindowSize(width, height),
		tea.WithEnvironment([]string{"TERM=xterm-256color", "COLORTERM=truecolor"}), tea.WithoutSignals())
	go func() {
		_, err := v.program.Run()
		v.done <- err
	}()
	reps, err := curve.Analyse(rec, curve.DefaultMethod())
	if err != nil {
		t.Fatal(err)
	}
	rep := &quality.Rep{Recording: rec.Name, SHA256: rec.SHA256, Athlete: rec.Athlete, RateHz: rec.RateHz, Plates: 2, Curve: reps[0]}
	quality.Judge(rep, quality.DefaultLimits())
	v.send(review.ArrivedMsg{Arrivals: []review.Arrival{{Source: quality.Source{Recording: rec.Name, SHA256: "7"}, Reps: []*quality.Rep{rep}}}, Read: 1, Total: 1, Done: true})
	return v
}

// send gives a message and waits until the program is idle and the screen is drawn.
func (v *virtual) send(msg tea.Msg) {
	v.t.Helper()
	v.program.Send(msg)
	idle := idleMsg{make(chan struct{})}
	v.program.Send(idle)
	select {
	case <-idle.done:
	case <-time.After(10 * time.Second):
		v.t.Fatal("the program did not come to rest")
	}
}

func (v *virtual) press(keys string) {
	for _, r := range keys {
		v.send(tea.KeyPressMsg{Code: r, Text: string(r)})
	}
}

// differs returns the first row in which the screen is not what the program means to show, or "". Frames are written at
// the terminal library's own pace, so it gives them two seconds.
func (v *virtual) differs() string {
	v.t.Helper()
	problem := ""
	for range 200 {
		problem = ""
		shown := strings.Split(ansi.Strip(v.screen.Render()), "\n")
		for i, want := range strings.Split(ansi.Strip(v.model.View()), "\n") {
			if i >= len(shown) || strings.TrimRight(shown[i], " ") != strings.TrimRight(want, " ") {
				problem = "row " + strconv.Itoa(i) + ", want\n" + want + "\non the screen\n" + strings.Join(shown, "\n")
				break
			}
		}
		if problem == "" {
			return ""
		}
		time.Sleep(10 * time.Millisecond)
	}
	return problem
}

// TestVirtualScreen: what the terminal shows is what the program means to show, row by row, after keys that change a
// little and keys that change everything.
func TestVirtualScreen(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}} {
		v := newVirtual(t, size[0], size[1])
		for _, keys := range []string{"", "v", ".", ">", "y", "s", "b"} {
			v.press(keys)
			if problem := v.differs(); problem != "" {
				t.Fatalf("%v after %q: %s", size, keys, problem)
			}
		}
		v.program.Send(tea.KeyPressMsg{Code: 'q', Text: "q"})
		select {
		case err := <-v.done:
			if err != nil {
				t.Fatal(err)
			}
		case <-time.After(10 * time.Second):
			t.Fatal("it did not quit")
		}
	}
}
