package quality

import (
	"fmt"
	"time"
)

// ReasonJudgement is the reason of a rejection that no check suggested.
const ReasonJudgement = "tester's judgement"

// Choice is what a person said of a rep.
type Choice int

// The choices. Undecided is the zero value: nothing was said yet.
const (
	Undecided Choice = iota
	Keep
	Reject
)

// String returns the word used in files and on screens.
func (c Choice) String() string {
	switch c {
	case Undecided:
		return "undecided"
	case Keep:
		return "keep"
	case Reject:
		return "reject"
	}
	return fmt.Sprintf("choice(%d)", int(c))
}

// Action is what an event does.
type Action string

// The actions. An event is never removed: undo and clear are events too.
const (
	ActKeep   Action = "keep"
	ActReject Action = "reject"
	ActClear  Action = "clear"
	ActNote   Action = "note"
	ActUndo   Action = "undo"
)

// An Event is one line of the decision history.
type Event struct {
	// Seq counts from 1 and grows by one a line.
	Seq      int
	At       time.Time
	Reviewer string
	Action   Action
	Key      RepKey
	// RepID and Recording are the names at the time; identity is Key.
	RepID     string
	Recording string
	// Reason is set on a rejection, Note on any event that carries one.
	Reason string
	Note   string
	// Verdict is what the checks said when the decision was made.
	Verdict Verdict
	// Group is the Seq of the first event of a decision that covered several reps at once; 0 for a single one. An undo
	// of any of them undoes all.
	Group int
	// Undoes is the Seq of the event that an undo takes back (with its whole group).
	Undoes int
}

// A Decision is what stands for a rep after all events.
type Decision struct {
	Choice   Choice
	Reason   string
	Note     string
	Reviewer string
	At       time.Time
	// Verdict is what the checks said when the decision was made.
	Verdict Verdict
	// Seq is the event that made it; 0 when undecided.
	Seq int
}

// A History is a sequence of events and the decisions that follow from it. The zero value is an empty history.
type History struct {
	events []Event
	undone map[int]bool
	byKey  map[RepKey][]int // indices into events that speak of the rep, undo lines not among them
}

// Replay builds the history of events, which must be in order.
func Replay(events []Event) (*History, error) {
	h := &History{}
	for _, e := range events {
		if err := h.Apply(e); err != nil {
			return h, err
		}
	}
	return h, nil
}

// Apply adds an event. It refuses a sequence number out of order, an unknown action, and an undo of something that is
// not there or already undone; the history is then unchanged.
func (h *History) Apply(e Event) error {
	if e.Seq != h.NextSeq() {
		return fmt.Errorf("event %d does not follow event %d", e.Seq, len(h.events))
	}
	switch e.Action {
	case ActKeep, ActReject, ActClear, ActNote:
		if h.byKey == nil {
			h.byKey = map[RepKey][]int{}
		}
		h.byKey[e.Key] = append(h.byKey[e.Key], len(h.events))
	case ActUndo:
		if e.Undoes < 1 || e.Undoes > len(h.events) || h.events[e.Undoes-1].Action == ActUndo || h.undone[e.Undoes] {
			return fmt.Errorf("event %d undoes event %d, which cannot be undone", e.Seq, e.Undoes)
		}
		if h.undone == nil {
			h.undone = map[int]bool{}
		}
		for _, seq := range h.group(e.Undoes) {
			h.undone[seq] = true
		}
	default:
		return fmt.Errorf("event %d has the unknown action %q", e.Seq, e.Action)
	}
	h.events = append(h.events, e)
	return nil
}

// group returns the sequence numbers of all events that were made together with seq.
func (h *History) group(seq int) []int {
	g := h.events[seq-1].Group
	if g == 0 {
		return []int{seq}
	}
	var all []int
	for _, e := range h.events {
		if e.Group == g && e.Action != ActUndo {
			all = append(all, e.Seq)
		}
	}
	return all
}

// NextSeq returns the sequence number that the next event must carry.
func (h *History) NextSeq() int { return len(h.events) + 1 }

// Events returns all events, undone ones too. The caller must not change it.
func (h *History) Events() []Event { return h.events }

// Undone reports whether event seq was taken back.
func (h *History) Undone(seq int) bool { return h.undone[seq] }

// Decision returns what stands for a rep: the last keep, reject or clear that was not undone, with the last note that
// was not undone.
func (h *History) Decision(k RepKey) Decision {
	var d Decision
	decided, noted := false, false
	for i := len(h.byKey[k]) - 1; i >= 0 && (!decided || !noted); i-- {
		e := h.events[h.byKey[k][i]]
		if h.undone[e.Seq] {
			continue
		}
		if !noted && e.Note != "" {
			d.Note, noted = e.Note, true
		}
		if decided || e.Action == ActNote {
			continue
		}
		decided = true
		if e.Action == ActClear {
			continue
		}
		d.Choice = Keep
		if e.Action == ActReject {
			d.Choice = Reject
		}
		d.Reason, d.Reviewer, d.At, d.Verdict, d.Seq = e.Reason, e.Reviewer, e.At, e.Verdict, e.Seq
	}
	return d
}

// Spoken reports whether anything that still stands was said of a rep: a keep, a reject or a clear.
func (h *History) Spoken(k RepKey) bool {
	for _, i := range h.byKey[k] {
		if e := h.events[i]; e.Action != ActNote && !h.undone[e.Seq] {
			return true
		}
	}
	return false
}

// Standing returns the number of reps that are kept or rejected, those of recordings that are not here included.
func (h *History) Standing() int {
	n := 0
	for k := range h.byKey {
		if h.Decision(k).Choice != Undecided {
			n++
		}
	}
	return n
}

// LastUndoable returns the newest event that is not an undo and was not undone.
func (h *History) LastUndoable() (Event, bool) {
	for i := len(h.events) - 1; i >= 0; i-- {
		if e := h.events[i]; e.Action != ActUndo && !h.undone[e.Seq] {
			return e, true
		}
	}
	return Event{}, false
}
