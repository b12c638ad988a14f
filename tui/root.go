package tui

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	tea "charm.land/bubbletea/v2"

	"plateside/tui/review"
)

// root adapts the review screen to the terminal library, and catches what must not happen: a fault of the program is
// noted before the library puts the terminal back.
type root struct {
	review *review.Model
	fall   *fall
}

func (r root) Init() tea.Cmd { return r.review.Init() }

func (r root) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	defer r.fall.catch()
	if _, ok := msg.(tea.InterruptMsg); ok {
		return r, r.review.Interrupted()
	}
	_, cmd := r.review.Update(msg)
	return r, cmd
}

func (r root) View() tea.View {
	defer r.fall.catch()
	v := tea.NewView(r.review.View())
	v.AltScreen = true
	if r.review.MouseOn() {
		v.MouseMode = tea.MouseModeCellMotion
	}
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
