package review_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
	"plateside/tui/review"
	"plateside/tui/theme"
)

// A bench drives the screen without a terminal: messages in, rows out, commands run to their end at once.
type bench struct {
	t       *testing.T
	model   *review.Model
	records map[string]*curve.Recording
	ledger  *quality.History
	failing error
	wrote   *quality.Session
	quit    bool
	holding bool      // commands are kept instead of run
	held    []tea.Cmd // the commands kept
}

func faults() []simulate.Fault {
	return []simulate.Fault{simulate.None, simulate.StanceSway, simulate.None, simulate.StanceShift, simulate.EarlyLoad}
}

// newBench shows five reps of two athletes and a refused recording.
func newBench(t *testing.T, width, height int, o theme.Options) *bench {
	t.Helper()
	b := blankBench(t, review.Options{Theme: theme.New(o)})
	b.send(tea.WindowSizeMsg{Width: width, Height: height})
	b.fill(len(faults()))
	return b
}

// newBenchOf shows the first n reps on a middling plain screen.
func newBenchOf(t *testing.T, n int) *bench {
	t.Helper()
	b := blankBench(t, review.Options{Theme: theme.New(theme.Options{Plain: true})})
	b.send(tea.WindowSizeMsg{Width: 120, Height: 40})
	b.fill(n)
	return b
}

// newBenchWith shows all reps under further options.
func newBenchWith(t *testing.T, o review.Options) *bench {
	t.Helper()
	o.Theme = theme.New(theme.Options{Plain: true})
	b := blankBench(t, o)
	b.send(tea.WindowSizeMsg{Width: 120, Height: 40})
	b.fill(len(faults()))
	return b
}

func blankBench(t *testing.T, o review.Options) *bench {
	t.Helper()
	b := &bench{t: t, records: map[string]*curve.Recording{}, ledger: &quality.History{}}
	o.Title, o.Method, o.Limits = "Test morning", curve.DefaultMethod(), quality.DefaultLimits()
	whole := func() *quality.History {
		h, _ := quality.Replay(b.ledger.Events())
		return h
	}
	b.model = review.New(review.Deps{Samples: b.samples, Append: b.append, Undo: b.undo, Write: b.write, History: whole,
		Now: func() time.Time { return time.Unix(0, 0) }}, o)
	return b
}

// fill lets the first n reps arrive, with a refused recording after all of them.
func (b *bench) fill(n int) {
	var arrivals []review.Arrival
	for i, fault := range faults()[:n] {
		arrivals = append(arrivals, b.arrival(i, fault))
	}
	if n == len(faults()) {
		arrivals = append(arrivals, review.Arrival{Source: quality.Source{Recording: "notes.txt"},
			Refused: &quality.Refused{Recording: "notes.txt", Reason: "no numbers in it", Hint: "export time and force"}})
	}
	b.send(review.ArrivedMsg{Arrivals: arrivals, Read: len(arrivals), Total: len(arrivals), Done: true})
}

func (b *bench) arrival(i int, fault simulate.Fault) review.Arrival {
	j := simulate.Jump{MassKg: 75, HeightM: 0.34, DipG: 0.5, DipS: 0.35, BrakeG: 1.1, Humps: 1 + i%2, LeftShare: 0.52, StandLeft: 0.5,
		StanceS: 2.2, AfterS: 2.5, RateHz: 1000, NoiseN: 1, SwayPct: 0.2, Fault: fault, Seed: uint64(i + 1)}
	rec, _ := simulate.Record(j)
	rec.Name, rec.SHA256, rec.Athlete = fmt.Sprintf("rep-%d.csv", i+1), fmt.Sprintf("%064d", i+1), []string{"Isla Brandt", "Oona Reku", "Pia Lind"}[i/3]
	b.records[rec.Name] = rec
	reps, err := curve.Analyse(rec, curve.DefaultMethod())
	if err != nil {
		b.t.Fatal(err)
	}
	rep := &quality.Rep{Recording: rec.Name, SHA256: rec.SHA256, Athlete: rec.Athlete, RateHz: rec.RateHz, Plates: 2, Curve: reps[0]}
	quality.Judge(rep, quality.DefaultLimits())
	return review.Arrival{Source: quality.Source{Recording: rec.Name, SHA256: rec.SHA256}, Reps: []*quality.Rep{rep}}
}

func (b *bench) samples(rep *quality.Rep) (*curve.Recording, error) {
	return b.records[rep.Recording], nil
}

func (b *bench) append(events []quality.Event) ([]quality.Event, error) {
	if b.failing != nil {
		return nil, b.failing
	}
	group := b.ledger.NextSeq()
	for i := range events {
		if len(events) > 1 {
			events[i].Group = group
		}
		events[i].Seq, events[i].At = b.ledger.NextSeq(), time.Unix(int64(b.ledger.NextSeq()), 0)
		if err := b.ledger.Apply(events[i]); err != nil {
			return nil, err
		}
	}
	return events, nil
}

func (b *bench) undo() (quality.Event, error) {
	last, ok := b.ledger.LastUndoable()
	if !ok {
		return quality.Event{}, errors.New("there is nothing to undo")
	}
	e := quality.Event{Seq: b.ledger.NextSeq(), Action: quality.ActUndo, Undoes: last.Seq, Key: last.Key, RepID: last.RepID}
	return e, b.ledger.Apply(e)
}

func (b *bench) write(s *quality.Session) (string, error) {
	b.wrote = s
	return "out.session.zip", nil
}

// send gives a message and runs what follows from it until nothing is left to do.
func (b *bench) send(msg tea.Msg) {
	_, cmd := b.model.Update(msg)
	if b.holding {
		b.held = append(b.held, cmd)
		return
	}
	b.run(cmd)
}

// release runs what was held, as a slow disk that answers at last.
func (b *bench) release() {
	b.holding = false
	held := b.held
	b.held = nil
	for _, cmd := range held {
		b.run(cmd)
	}
}

func (b *bench) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			b.run(c)
		}
	case tea.QuitMsg:
		b.quit = true
	default:
		b.send(msg)
	}
}

// press gives keys, named as the terminal library names them or as single characters.
func (b *bench) press(keys ...string) {
	special := map[string]rune{"up": tea.KeyUp, "down": tea.KeyDown, "tab": tea.KeyTab, "enter": tea.KeyEnter, "esc": tea.KeyEscape,
		"right": tea.KeyRight, "left": tea.KeyLeft, "backspace": tea.KeyBackspace, "space": tea.KeySpace}
	for _, k := range keys {
		if code, ok := special[k]; ok {
			b.send(tea.KeyPressMsg{Code: code})
			continue
		}
		for _, r := range k {
			b.send(tea.KeyPressMsg{Code: r, Text: string(r)})
		}
	}
}

func (b *bench) view() string { return ansi.Strip(b.model.View()) }

func (b *bench) rows() []string { return strings.Split(b.view(), "\n") }

// sees fails unless every text is on the screen.
func (b *bench) sees(texts ...string) {
	b.t.Helper()
	for _, text := range texts {
		if !strings.Contains(b.view(), text) {
			b.t.Errorf("the screen does not say %q:\n%s", text, b.view())
		}
	}
}

func (b *bench) decision(i int) quality.Decision {
	return b.ledger.Decision(quality.RepKey{SHA256: b.decisionKey(i), Number: 1})
}

// decisionKey is the hash of the i-th recording.
func (b *bench) decisionKey(i int) string { return fmt.Sprintf("%064d", i) }

func TestKeepRejectUndo(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.sees("Test morning", "5 reps   0 kept   0 rejected   5 open   1 refused", "CLEAR", "Isla Brandt", "nothing decided yet")
	b.press("y")
	if d := b.decision(1); d.Choice != quality.Keep {
		t.Fatalf("rep 1 is %v", d)
	}
	b.sees("JUMP AGAIN", "swayed", "Stand still for two seconds, then go.", "saved 1 decision")
	b.press("n")
	if d := b.decision(2); d.Choice != quality.Reject || d.Reason != quality.StanceSway {
		t.Fatalf("rep 2 is %v", d)
	}
	b.press("8")
	if d := b.decision(2); d.Reason != "arms or technique" {
		t.Fatalf("the digit gave %q", d.Reason)
	}
	b.press("u") // the change of reason
	if d := b.decision(2); d.Reason != quality.StanceSway {
		t.Fatalf("undo gave %q", d.Reason)
	}
	b.press("u", "u")
	if c := b.model.Session().Count(); c.Kept+c.Rejected != 0 {
		t.Fatalf("after three undos %v", c)
	}
	b.sees("undone: keep of rep-1#1", "0 kept")
	b.press("u")
	b.sees("there is no decision to undo")
}

// Pressing the same key twice never takes a decision back, and is no new event.
func TestSameKeyTwice(t *testing.T) {
	b := newBench(t, 80, 24, theme.Options{Plain: true})
	b.press("y", "up", "y")
	if d := b.decision(1); d.Choice != quality.Keep || len(b.ledger.Events()) != 1 {
		t.Fatalf("%v, %d events", d, len(b.ledger.Events()))
	}
	b.press("up", "up", "c")
	if d := b.decision(1); d.Choice != quality.Undecided {
		t.Fatalf("clear gave %v", d)
	}
}

// A decision that cannot be saved stays in memory, is shown, is not lost by quitting, and goes to disk on a retry.
func TestNotSaved(t *testing.T) {
	b := newBench(t, 80, 24, theme.Options{Plain: true})
	b.failing = errors.New("no space left")
	b.press("y", "n")
	b.sees("NOT SAVED (2)", "no space left")
	b.press("q")
	if b.quit {
		t.Fatal("left with unsaved decisions")
	}
	b.sees("2 NOT SAVED")
	b.press("z")
	b.failing = nil
	b.press("r")
	b.sees("saved 2 decisions")
	if b.decision(1).Choice != quality.Keep || b.decision(2).Choice != quality.Reject {
		t.Fatal("the retry lost a decision")
	}
	b.press("q")
	if !b.quit {
		t.Fatal("did not leave")
	}
}

func TestWriteAndNote(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y", "m", "shoes untied", "enter", "w")
	b.sees("written: out.session.zip (1 kept, 0 rejected, 4 open)")
	if b.wrote == nil || b.wrote.Count().Kept != 1 {
		t.Fatal("the wrong session was written")
	}
	if d := b.decision(2); d.Note != "shoes untied" || d.Choice != quality.Undecided {
		t.Fatalf("note %v", d)
	}
}

// A key that cannot be pressed says why.
func TestDisabledKeysSayWhy(t *testing.T) {
	b := newBench(t, 80, 24, theme.Options{Plain: true})
	b.press("c")
	b.sees("this rep carries no decision")
	b.press("3")
	b.sees("a digit changes the reason right after a rejection")
	b.press("G", "y")
	b.sees("a refused recording cannot be decided", "no numbers in it", "export time and force")
}

// Every row fills the window exactly, in every state and size; nothing is drawn outside.
func TestRowsFillTheWindow(t *testing.T) {
	states := map[string][]string{"lanes": {"l", "l", "l", "l"}, "difference": {"d"}, "velocity": {"d", "d"}, "displacement": {"d", "d", "d"}, "power": {"d", "d", "d", "d"},
		"overlay": {"y", "y", "k", "o"}, "best": {"y", "y", "k", "o", "o"}, "low point": {"a"}, "takeoff": {"a", "a"}, "file": {"a", "a", "a"}, "zoom": {"z", "z"},
		"all reps": {"tab", "tab"}, "filter": {"f", "f"}, "marked": {"space", "space"}, "start": nil, "numbers": {"tab"}, "help": {"?"}, "landing": {"v"}, "whole": {"v", "v"}, "own scale": {"s"},
		"body weights": {"b"}, "cursor": {"right", "right", ">"}, "left alone": {"l"}, "refused": {"G"}, "rejected": {"n"}, "note": {"m", "hello"}}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}, {300, 90}} {
		for name, keys := range states {
			b := newBench(t, size[0], size[1], theme.Options{Dark: true, Depth: theme.TrueColour})
			b.press(keys...)
			rows := strings.Split(b.model.View(), "\n")
			if len(rows) != size[1] {
				t.Errorf("%s at %v: %d rows", name, size, len(rows))
			}
			for i, row := range rows {
				if w := ansi.StringWidth(row); w > size[0] || (w < size[0] && name != "help") {
					t.Errorf("%s at %v: row %d is %d wide: %q", name, size, i, w, ansi.Strip(row))
				}
			}
		}
	}
}

// Marks gather reps; one decision takes them all, in one group, and one undo gives them all back.
func TestMarks(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("space", "space", "down", "space")
	b.sees("3 marked")
	b.press("-")
	b.sees("this rep is not marked")
	b.press("up", "-")
	b.sees("2 marked")
	b.press("Y")
	if c := b.ledger.Events(); len(c) != 2 || b.decision(1).Choice != quality.Keep || b.decision(2).Choice != quality.Keep {
		t.Fatalf("%d events, %v, %v", len(c), b.decision(1), b.decision(2))
	}
	b.press("Y")
	b.sees("no rep is marked")
	b.press("u")
	if b.decision(1).Choice != quality.Undecided || b.decision(2).Choice != quality.Undecided {
		t.Errorf("one undo left %v, %v", b.decision(1), b.decision(2))
	}
}

// The filter shows what it says, keeps the selection where it can, and comes back to all.
func TestFilter(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y", "f")
	b.sees("list: open", "0 rejected")
	if strings.Contains(strings.Join(b.rows()[4:], " "), "kept ") {
		t.Errorf("a kept rep is in the list of open ones:\n%s", b.view())
	}
	b.press("f", "f")
	b.sees("list: kept")
	b.press("f", "f")
	if strings.Contains(b.rows()[0], "list:") {
		t.Errorf("the filter did not come back to all: %s", b.rows()[0])
	}
}

// The page of all reps shows every rep of the athlete; arrows move on it.
func TestAllReps(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("tab", "tab")
	b.sees("3 of 3 reps of this athlete")
	b.press("right", "right", "y")
	if b.decision(3).Choice != quality.Keep {
		t.Errorf("the third rep is %v", b.decision(3))
	}
}

// The mouse selects and moves, and leaves the terminal alone when it is off.
func TestMouse(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.send(tea.MouseClickMsg{X: 3, Y: 6, Button: tea.MouseLeft})
	b.press("y")
	if b.decision(2).Choice != quality.Keep {
		t.Errorf("the click did not select the second rep:\n%s", b.view())
	}
	b.press("e")
	if b.model.MouseOn() {
		t.Error("the mouse is still on")
	}
}

func TestTooSmall(t *testing.T) {
	b := newBench(t, 79, 24, theme.Options{Plain: true})
	b.sees("needs 80 x 24", "79 x 24")
}

// Without colour and with plain characters every state is still told apart.
func TestPlainCharacters(t *testing.T) {
	b := newBench(t, 80, 24, theme.Options{Plain: true, ASCII: true})
	b.press("y", "n", "k")
	for _, r := range b.model.View() {
		if r > 0x7e || (r < ' ' && r != '\n') {
			t.Fatalf("the character %q is on a plain screen:\n%s", r, b.model.View())
		}
	}
	b.sees("K kept", "R rejected", "o clear")
}
