package quality_test

import (
	"testing"

	"plateside/quality"
)

func key(n int) quality.RepKey { return quality.RepKey{SHA256: "a", Number: n} }

// told applies events, numbering them, and fails on an error.
func told(t *testing.T, events ...quality.Event) *quality.History {
	t.Helper()
	h := &quality.History{}
	for _, e := range events {
		e.Seq = h.NextSeq()
		if err := h.Apply(e); err != nil {
			t.Fatal(err)
		}
	}
	return h
}

func TestDecisionsFollowFromEvents(t *testing.T) {
	keep := func(n int) quality.Event { return quality.Event{Action: quality.ActKeep, Key: key(n)} }
	reject := func(n int, why string) quality.Event {
		return quality.Event{Action: quality.ActReject, Key: key(n), Reason: why}
	}
	undo := func(seq int) quality.Event { return quality.Event{Action: quality.ActUndo, Undoes: seq} }
	for _, c := range []struct {
		name   string
		events []quality.Event
		want   quality.Choice
		reason string
		note   string
	}{
		{"nothing", nil, quality.Undecided, "", ""},
		{"keep", []quality.Event{keep(1)}, quality.Keep, "", ""},
		{"other rep", []quality.Event{keep(2)}, quality.Undecided, "", ""},
		{"the last one counts", []quality.Event{keep(1), reject(1, "sway")}, quality.Reject, "sway", ""},
		{"undo gives the one before", []quality.Event{keep(1), reject(1, "sway"), undo(2)}, quality.Keep, "", ""},
		{"undo twice", []quality.Event{keep(1), reject(1, "sway"), undo(2), undo(1)}, quality.Undecided, "", ""},
		{"clear", []quality.Event{keep(1), {Action: quality.ActClear, Key: key(1)}}, quality.Undecided, "", ""},
		{"undo of clear", []quality.Event{keep(1), {Action: quality.ActClear, Key: key(1)}, undo(2)}, quality.Keep, "", ""},
		{"a note decides nothing", []quality.Event{{Action: quality.ActNote, Key: key(1), Note: "shoe"}}, quality.Undecided, "", "shoe"},
		{"a note outlives a decision", []quality.Event{{Action: quality.ActNote, Key: key(1), Note: "shoe"}, keep(1)}, quality.Keep, "", "shoe"},
		{"a group is undone whole", []quality.Event{{Action: quality.ActKeep, Key: key(2), Group: 1}, {Action: quality.ActKeep, Key: key(1), Group: 1}, undo(1)}, quality.Undecided, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := told(t, c.events...).Decision(key(1))
			if d.Choice != c.want || d.Reason != c.reason || d.Note != c.note {
				t.Errorf("%+v", d)
			}
		})
	}
}

func TestHistoryRefuses(t *testing.T) {
	h := told(t, quality.Event{Action: quality.ActKeep, Key: key(1)}, quality.Event{Action: quality.ActUndo, Undoes: 1})
	for name, e := range map[string]quality.Event{
		"out of order": {Seq: 9, Action: quality.ActKeep}, "unknown": {Seq: 3, Action: "guess"}, "undone already": {Seq: 3, Action: quality.ActUndo, Undoes: 1},
		"undo of an undo": {Seq: 3, Action: quality.ActUndo, Undoes: 2}, "undo of nothing": {Seq: 3, Action: quality.ActUndo, Undoes: 7},
	} {
		if err := h.Apply(e); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if len(h.Events()) != 2 || h.Standing() != 0 {
		t.Errorf("%d events, %d standing", len(h.Events()), h.Standing())
	}
	if _, ok := h.LastUndoable(); ok {
		t.Error("there is something to undo")
	}
}

func TestSessionMarksCopiesAndNames(t *testing.T) {
	s := &quality.Session{History: &quality.History{}}
	rep := func(recording, sha string) []*quality.Rep {
		r := calm()
		return []*quality.Rep{{Recording: recording, SHA256: sha, Curve: r}}
	}
	s.Add(quality.Source{Recording: "a.csv", SHA256: "1"}, rep("a.csv", "1"), nil)
	s.Add(quality.Source{Recording: "b.csv", SHA256: "1"}, rep("b.csv", "1"), nil)
	s.Add(quality.Source{Recording: "a.txt", SHA256: "2"}, rep("a.txt", "2"), nil)
	s.Add(quality.Source{Recording: "x/c.csv.gz", SHA256: "3"}, rep("x/c.csv.gz", "3"), nil)
	s.Add(quality.Source{Recording: "a.csv.txt", SHA256: "4"}, rep("a.csv.txt", "4"), nil)
	s.NameReps()
	for i, want := range []string{"a.csv#1", "b#1", "a.txt#1", "x/c#1", "a.csv.txt#1"} {
		if s.Reps[i].ID != want {
			t.Errorf("rep %d is %s, want %s", i, s.Reps[i].ID, want)
		}
	}
	if s.Reps[1].CopyOf != "a.csv" || s.Reps[0].CopyOf != "" {
		t.Errorf("copies %q %q", s.Reps[0].CopyOf, s.Reps[1].CopyOf)
	}
	s.Forget("a.txt")
	if len(s.Sources) != 4 {
		t.Errorf("%d sources", len(s.Sources))
	}
}

func TestPrintable(t *testing.T) {
	if got := quality.Printable("a\x1b[31mb\nc\u202ed\x07"); got != "a?[31mb?c?d?" {
		t.Errorf("%q", got)
	}
}
