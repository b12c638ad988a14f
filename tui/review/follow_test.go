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

// The first recording to arrive in an empty folder is selected and can be decided.
func TestFirstArrivalInAnEmptyFolder(t *testing.T) {
	b := newBenchOf(t, 0)
	b.sees("no recordings here")
	first := b.arrival(0, simulate.None)
	b.send(review.FollowedMsg{Arrival: &first})
	b.press("y")
	if b.decision(1).Choice != quality.Keep {
		t.Errorf("the first arrival was not decided:\n%s", b.view())
	}
}

// A file that goes and comes back under its name is one rep, not two, and keeps its decision.
func TestGoneAndBack(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y", "k")
	b.send(review.FollowedMsg{Gone: "rep-1.csv"})
	back := b.arrival(0, simulate.None)
	b.send(review.FollowedMsg{Arrival: &back})
	b.press("g")
	b.sees("5 reps   1 kept")
	if strings.Contains(b.view(), "file gone") || strings.Contains(b.view(), "same bytes") {
		t.Errorf("it is still called gone, or a copy of itself:\n%s", b.view())
	}
}

// When another file changes, the selection stays on its rep, so a decision cannot land on the wrong one.
func TestSelectionStaysWithItsFile(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("j", "j")
	changed := b.changed(0, "f")
	b.send(review.FollowedMsg{Arrival: &changed, Changed: true})
	b.press("y")
	if b.decision(3).Choice != quality.Keep {
		t.Errorf("rep 3 is %v after its key:\n%s", b.decision(3), b.view())
	}
}

// changed is a recording whose file holds other bytes now.
func (b *bench) changed(i int, digit string) review.Arrival {
	a := b.arrival(i, simulate.StanceSway)
	a.Source.SHA256 = strings.Repeat(digit, 64)
	for _, r := range a.Reps {
		r.SHA256 = a.Source.SHA256
	}
	return a
}

// What was decided on earlier bytes is still seen after a second change, and a clear takes it away.
func TestChangedTwice(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.press("y")
	for _, digit := range []string{"e", "f"} {
		changed := b.changed(0, digit)
		b.send(review.FollowedMsg{Arrival: &changed, Changed: true})
	}
	b.press("g")
	for range 6 {
		if strings.Contains(b.view(), "rep-1#1") {
			break
		}
		b.press("j")
	}
	b.sees("kept (on earlier bytes)")
	b.press("c")
	if strings.Contains(b.view(), "on earlier bytes") {
		t.Errorf("clear left the earlier decision standing:\n%s", b.view())
	}
}

// Keys pressed while the disk is slow count from what will stand, not from what stands: reject, undo, reject again
// ends rejected.
func TestKeysAheadOfASlowDisk(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	b.holding = true
	b.press("n", "u", "g", "n")
	b.release()
	if d := b.decision(1); d.Choice != quality.Reject {
		t.Errorf("the ledger says %v after reject, undo, reject", d)
	}
	if d := b.model.Session().History.Decision(quality.RepKey{SHA256: b.decisionKey(1), Number: 1}); d.Choice != quality.Reject {
		t.Errorf("the screen says %v", d)
	}
}

// Another process that wrote to the same ledger is taken in: what is on disk is what the screen shows.
func TestForeignWriter(t *testing.T) {
	b := newBench(t, 120, 40, theme.Options{Plain: true})
	foreign := quality.Event{Seq: 1, Action: quality.ActReject, Key: quality.RepKey{SHA256: b.decisionKey(5), Number: 1}, Reason: "arms"}
	if err := b.ledger.Apply(foreign); err != nil {
		t.Fatal(err)
	}
	b.press("y")
	b.sees("5 reps   1 kept   1 rejected")
}

// A blind reviewer sees neither verdict nor finding, on any page or filter.
func TestBlind(t *testing.T) {
	b := newBenchWith(t, review.Options{Blind: true})
	for range 3 {
		for _, key := range []string{"j", "j", "j"} {
			for _, word := range []string{"JUMP AGAIN", "swayed", "stance-", "early-load", "redo", "not judged"} {
				if strings.Contains(b.view(), word) {
					t.Fatalf("the screen says %q:\n%s", word, b.view())
				}
			}
			b.press(key)
		}
		b.press("g", "tab")
	}
	b.press("n")
	if d := b.decision(1); d.Reason != quality.ReasonJudgement {
		t.Errorf("the reason %q tells a finding", d.Reason)
	}
}
