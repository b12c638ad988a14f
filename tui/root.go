package tui

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"plateside/tui/review"
)

// root adapts the review screen to the terminal library, and catches what must not happen: a fault of the program is
// noted before the library puts the terminal back.
//
// Over a slow link a held key makes frames faster than they travel; they pile up in the buffers of the link and are shown
// for seconds after the key is let go. So there frames are paced: the first is drawn at once, and while keys follow closely
// only one in paceGap is drawn, the last one always.
type root struct {
	review *review.Model
	fall   *fall
	paced  bool
	drawn  time.Time // when the last frame was drawn
	held   bool      // a frame is being held back; a redrawMsg will come
	frame  tea.View  // the last frame
}

// paceGap is the least time between two frames over a slow link. A frame of the next rep is some 2.3 kB: at 100 kbit/s
// four of them a second use three quarters of the link.
const paceGap = 250 * time.Millisecond

// redrawMsg ends the holding back of a frame.
type redrawMsg struct{}

func newRoot(m *review.Model, f *fall, paced bool) *root {
	return &root{review: m, fall: f, paced: paced}
}

func (r *root) Init() tea.Cmd { return r.review.Init() }

func (r *root) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	defer r.fall.catch()
	switch msg := msg.(type) {
	case tea.InterruptMsg:
		return r, r.review.Interrupted()
	case redrawMsg:
		r.held = false
		return r, nil
	case idleMsg:
		return r, r.whenIdle(msg)
	}
	_, cmd := r.review.Update(msg)
	if _, key := msg.(tea.KeyPressMsg); key && r.paced && !r.held {
		if wait := paceGap - time.Since(r.drawn); wait > 0 {
			r.held = true
			return r, tea.Batch(cmd, tea.Tick(wait, func(time.Time) tea.Msg { return redrawMsg{} }))
		}
	}
	return r, cmd
}

// An idleMsg asks to be told when everything that was asked for so far is done: a test driver waits for that instead of
// looking again and again.
type idleMsg struct{ done chan struct{} }

// whenIdle tells the asker, now or when the work in flight has come back.
func (r *root) whenIdle(msg idleMsg) tea.Cmd {
	if r.review.Idle() {
		close(msg.done)
		return nil
	}
	return tea.Tick(time.Millisecond, func(time.Time) tea.Msg { return msg })
}

func (r *root) View() tea.View {
	defer r.fall.catch()
	if r.held {
		return r.frame
	}
	v := tea.NewView(r.review.View())
	v.AltScreen = true
	if r.review.MouseOn() {
		v.MouseMode = tea.MouseModeCellMotion
	}
	if v.Content != r.frame.Content {
		r.drawn = time.Now()
	}
	r.frame = v
	return v
}

// A fall is a fault of the program: what it was and where.
type fall struct{ what, where string }

// catch notes a panic and lets it go on, so that the library puts the terminal back.
func (f *fall) catch() {
	if p := recover(); p != nil {
		f.what, f.where = kindOf(p), string(debug.Stack())
		panic(p)
	}
}

// kindOf describes a panic without what it may carry of an athlete: only the runtime's own words are repeated.
func kindOf(p any) string {
	if e, ok := p.(runtime.Error); ok {
		return e.Error()
	}
	return fmt.Sprintf("a value of type %T", p)
}

// tell saves what is still in memory, keeps the report and says where it is.
func (f *fall) tell(m *review.Model, o Options) error {
	unsaved := m.Rescue()
	words := []string{"the program failed; this is a fault of its own, not of your files", "every decision that was said to be saved is on disk"}
	if unsaved > 0 {
		words = append(words, fmt.Sprintf("%d decisions were NOT SAVED", unsaved))
	}
	if o.Report != nil {
		if path, err := o.Report(f.report()); err == nil {
			words = append(words, "a report without athlete data is in "+path)
		} else {
			words = append(words, "the report could not be kept: "+err.Error())
		}
	}
	return fmt.Errorf("%s", strings.Join(words, "; "))
}

// report is the text of a report: what happened and where in the program, nothing of the session.
func (f *fall) report() string {
	what, where := f.what, f.where
	if what == "" {
		what, where = "a fault beside the screen", "no trace"
	}
	return fmt.Sprintf("plateside report\nsystem: %s/%s, %s\nwhat: %s\n\n%s\n", runtime.GOOS, runtime.GOARCH, runtime.Version(), what, where)
}
