package review_test

import (
	"strings"
	"testing"

	"plateside/curve/simulate"
	"plateside/quality"
	"plateside/tui/review"
	"plateside/tui/theme"
)

// A recording that arrives is added at the end; the selection stays, unless the tester follows.
func TestArrivals(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.send(review.FollowedMsg{Arriving: "rep-6.csv"})
	b.sees("arriving: rep-6.csv")
	late := b.arrival(5, simulate.None)
	b.send(review.FollowedMsg{Arrival: &late})
	b.sees("arrived: rep-6.csv", "6 reps")
	if strings.Contains(b.view(), "arriving: rep-6.csv") {
		t.Error("it is still called arriving")
	}
	b.press("y")
	if b.decision(1).Choice != quality.Keep {
		t.Error("the selection moved when a recording arrived")
	}
	b.press("F")
	b.sees("following")
	another := b.arrival(6, simulate.StanceSway)
	b.send(review.FollowedMsg{Arrival: &another})
	b.press("n")
	if b.decision(7).Choice != quality.Reject {
		t.Errorf("the arrival was not selected:\n%s", b.view())
	}
}

// A recording that changes after it was decided keeps the decision, marked as made on the earlier bytes.
func TestChangedAfterDecision(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y")
	changed := b.arrival(0, simulate.StanceSway)
	changed.Source.SHA256 = strings.Repeat("f", 64)
	for _, r := range changed.Reps {
		r.SHA256 = changed.Source.SHA256
	}
	b.send(review.FollowedMsg{Arrival: &changed, Changed: true})
	b.press("g")
	for range 6 {
		if strings.Contains(b.view(), "kept (on earlier bytes)") {
			break
		}
		b.press("j")
	}
	b.sees("kept (on earlier bytes)", "5 reps")
	if c := b.model.Session().Count(); c.Kept != 0 {
		t.Errorf("the new bytes count as kept: %+v", c)
	}
	b.press("y")
	if d := b.model.Session().History.Decision(quality.RepKey{SHA256: changed.Source.SHA256, Number: 1}); d.Choice != quality.Keep {
		t.Errorf("keeping the changed rep gave %v", d)
	}
}

// A file that is gone stays in the list with its decision.
func TestGone(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y", "k")
	b.send(review.FollowedMsg{Gone: "rep-1.csv"})
	b.sees("kept, file gone", "5 reps")
}
