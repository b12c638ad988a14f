package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/review"
)

// A fault is noted with its place and without what it carried, what is in memory is saved, and the person is told where
// the report is.
func TestFallIsNotedAndTold(t *testing.T) {
	secret := "Isla Brandt"
	saved := 0
	m := review.New(review.Deps{
		Samples: func(*quality.Rep) (*curve.Recording, error) { return nil, errors.New("none") },
		Append: func(e []quality.Event) ([]quality.Event, error) {
			if saved++; saved == 1 {
				return nil, errors.New("disk full")
			}
			return e, nil
		},
		Now: func() time.Time { panic(secret) },
	}, review.Options{Wanted: quality.Wanted{Kept: 3, Attempts: 5}})
	rep := &quality.Rep{ID: "a#1", Recording: "a.csv", SHA256: "1", Athlete: secret, LandedAt: time.Unix(1, 0),
		Curve: &curve.Rep{Number: 1, Values: make([]curve.Value, len(curve.Metrics()))}}
	m.Update(review.ArrivedMsg{Arrivals: []review.Arrival{{Reps: []*quality.Rep{rep}}}, Done: true})
	_, cmd := m.Update(tea.KeyPressMsg{Code: 'y', Text: "y"})
	m.Update(cmd())
	if m.Unsaved() != 1 {
		t.Fatalf("%d unsaved", m.Unsaved())
	}
	m.Update(tea.WindowSizeMsg{Width: 100, Height: 30})
	f := &fall{}
	func() {
		defer func() { _ = recover() }()
		newRoot(m, f, false).View()
	}()
	if f.where == "" {
		t.Fatal("the fault was not noted")
	}
	var kept string
	err := f.tell(m, Options{Report: func(text string) (string, error) { kept = text; return "/reports/1.txt", nil }})
	if err == nil || !strings.Contains(err.Error(), "/reports/1.txt") || strings.Contains(err.Error(), "NOT SAVED") {
		t.Errorf("told %q", err)
	}
	if m.Unsaved() != 0 || saved != 2 {
		t.Errorf("%d unsaved after %d tries", m.Unsaved(), saved)
	}
	if strings.Contains(kept, secret) || !strings.Contains(kept, "tui/review") {
		t.Errorf("the report is\n%s", kept)
	}
}

// Over a slow link the first frame is drawn at once, those right after it are held back, and the last one is drawn.
func TestPacing(t *testing.T) {
	m := review.New(review.Deps{}, review.Options{Title: "t"})
	r := newRoot(m, &fall{}, true)
	r.Update(tea.WindowSizeMsg{Width: 100, Height: 30})
	first := r.View().Content
	r.drawn = time.Now().Add(-time.Second)
	r.Update(tea.KeyPressMsg{Code: '?', Text: "?"})
	help := r.View().Content
	if help == first {
		t.Fatal("the first key after a pause was held back")
	}
	_, cmd := r.Update(tea.KeyPressMsg{Code: 'x', Text: "x"})
	if cmd == nil || r.View().Content != help {
		t.Fatal("the second key was drawn at once")
	}
	r.Update(redrawMsg{})
	if r.View().Content == help {
		t.Error("the last state was never drawn")
	}
}
