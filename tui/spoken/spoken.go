// Package spoken is the reviewer for people who listen to their screen, and for terminals that cannot place a cursor: no
// drawing characters, one thing after the other, the curve told in words, numbered choices.
package spoken

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"plateside/curve"
	"plateside/quality"
)

// Deps are what the reviewer asks of the world; as in package review, all of it comes as functions.
type Deps struct {
	Append func([]quality.Event) ([]quality.Event, error)
	Undo   func() (quality.Event, error)
	// History returns the history as the ledger has it now.
	History func() *quality.History
	Write   func(*quality.Session) (string, error)
	Place   func(key quality.RepKey, id string)
}

// Options are how the review begins.
type Options struct {
	// Start is the rep to begin at, zero for the first undecided one.
	Start    quality.RepKey
	ReadOnly string
	Cues     map[string]string
	Notices  []string
}

// A talk is a review in progress.
type talk struct {
	session *quality.Session
	deps    Deps
	opt     Options
	in      *bufio.Scanner
	out     io.Writer
	at      int
	err     error // the first failure to write to out
}

// Run reviews a session line by line until the person quits or the input ends. Every decision is on disk before it is
// said to be saved. An error means that the output could not be written.
func Run(s *quality.Session, deps Deps, opt Options, in io.Reader, out io.Writer) error {
	t := &talk{session: s, deps: deps, opt: opt, in: bufio.NewScanner(in), out: out}
	for _, n := range opt.Notices {
		t.say("%s", quality.Printable(n))
	}
	c := s.Count()
	t.say("%s: %d reps, %d kept, %d rejected, %d open, %d recordings refused.", quality.Printable(s.Title), len(s.Reps), c.Kept, c.Rejected, c.Open, len(s.Refused))
	for _, r := range s.Refused {
		t.say("Refused: %s: %s. %s", quality.Printable(r.Recording), quality.Printable(r.Reason), quality.Printable(r.Hint))
	}
	t.say("%s", quality.Cautions)
	if len(s.Reps) == 0 {
		t.say("There is nothing to review.")
		return t.err
	}
	t.at = t.first()
	t.rep()
	for t.err == nil && t.ask() {
	}
	return t.err
}

func (t *talk) say(format string, values ...any) {
	if _, err := fmt.Fprintf(t.out, format+"\n", values...); err != nil && t.err == nil {
		t.err = err
	}
}

// first is the rep to begin at.
func (t *talk) first() int {
	for i, r := range t.session.Reps {
		if r.Key() == t.opt.Start && t.opt.Start != (quality.RepKey{}) {
			return i
		}
	}
	return max(0, t.open(-1))
}

// open is the next undecided rep after i, or before it where none is after; -1 when all are decided.
func (t *talk) open(i int) int {
	is := func(k int) bool {
		return t.session.History.Decision(t.session.Reps[k].Key()).Choice == quality.Undecided
	}
	for k := i + 1; k < len(t.session.Reps); k++ {
		if is(k) {
			return k
		}
	}
	for k := i - 1; k >= 0; k-- {
		if is(k) {
			return k
		}
	}
	return -1
}

// rep tells everything about the rep at hand.
func (t *talk) rep() {
	r := t.session.Reps[t.at]
	if t.deps.Place != nil {
		t.deps.Place(r.Key(), r.ID)
	}
	who := quality.Printable(r.Athlete)
	if who == "" {
		who = "athlete not named"
	}
	t.say("")
	t.say("Rep %d of %d: %s, %s.", t.at+1, len(t.session.Reps), who, quality.Printable(r.ID))
	t.say("Verdict: %s.", r.Verdict)
	for _, f := range r.Findings {
		t.say("Finding, %s, %s: %s.", f.Check, f.Severity, quality.Printable(f.Message))
	}
	if cue := quality.Printable(r.Say(t.opt.Cues)); cue != "" {
		t.say("Say: %s", cue)
	}
	if h := r.Curve.Metric("jump_height_m"); h.Known() {
		t.say("Jump height %.1f centimetres, plus or minus %.1f.", h.Value*100, h.PlusMinus*100)
	}
	t.say("The curve: %s", curve.Describe(r.Curve))
	for _, m := range curve.Metrics() {
		if v := r.Curve.Metric(m.Key); m.Unit == "%" && v.Known() {
			t.say("%s: %.0f per cent %s.", m.Name, math.Abs(v.Value), map[bool]string{true: "left", false: "right"}[v.Value >= 0])
		}
	}
	if r.CopyOf != "" {
		t.say("The same bytes as %s: one decision holds for both.", quality.Printable(r.CopyOf))
	}
	t.say("Decision: %s.", decided(t.session.History.Decision(r.Key())))
}

func decided(d quality.Decision) string {
	switch d.Choice {
	case quality.Keep:
		return "kept"
	case quality.Reject:
		return "rejected, " + quality.Printable(d.Reason)
	case quality.Undecided:
	}
	return "none yet"
}

// ask takes one choice; false when the person quits or the input ends.
func (t *talk) ask() bool {
	r := t.session.Reps[t.at]
	t.say("1 keep. 2 reject (%s). 3 clear. 4 undo. 5 next. 6 previous. 7 next undecided. 8 write. 9 say again. 0 quit.", r.SuggestedReason())
	if _, err := fmt.Fprint(t.out, "Choice: "); err != nil {
		t.err = err
		return false
	}
	if !t.in.Scan() {
		return false
	}
	choice, err := strconv.Atoi(strings.TrimSpace(t.in.Text()))
	if err != nil || choice < 0 || choice > 9 {
		t.say("Please give a number from 0 to 9.")
		return true
	}
	return t.do(choice, r)
}

// do does what was chosen.
func (t *talk) do(choice int, r *quality.Rep) bool {
	switch choice {
	case 0:
		return false
	case 1:
		t.decide(r, quality.ActKeep, "")
	case 2:
		t.decide(r, quality.ActReject, r.SuggestedReason())
	case 3:
		t.decide(r, quality.ActClear, "")
	case 4:
		t.undo()
	case 5:
		t.move(t.at + 1)
	case 6:
		t.move(t.at - 1)
	case 7:
		if next := t.open(t.at); next >= 0 {
			t.move(next)
		} else {
			t.say("No undecided rep is left.")
		}
	case 8:
		if path, err := t.deps.Write(t.session); err != nil {
			t.say("NOT WRITTEN: %v", err)
		} else {
			t.say("Written: %s", path)
		}
	case 9:
		t.rep()
	}
	return true
}

func (t *talk) move(to int) {
	if to < 0 || to >= len(t.session.Reps) {
		t.say("There is no rep that way.")
		return
	}
	t.at = to
	t.rep()
}

// decide puts a decision on disk, says so, and goes on to the next undecided rep.
func (t *talk) decide(r *quality.Rep, a quality.Action, reason string) {
	if t.opt.ReadOnly != "" {
		t.say("Nothing can be decided: %s", t.opt.ReadOnly)
		return
	}
	events, err := t.deps.Append([]quality.Event{{Action: a, Key: r.Key(), RepID: r.ID, Recording: r.Recording, Reason: reason, Verdict: r.Verdict}})
	for _, e := range events {
		if err == nil && t.session.History.Apply(e) != nil { // somebody else wrote to the same ledger: take it whole
			t.session.History = t.deps.History()
			break
		}
	}
	if err != nil {
		t.say("NOT SAVED: %v. Free space or make the folder writable, then choose again.", err)
		return
	}
	t.say("Saved: %s is %s.", quality.Printable(r.ID), decided(t.session.History.Decision(r.Key())))
	if next := t.open(t.at); next >= 0 && a != quality.ActClear {
		t.move(next)
	}
}

// undo takes the last decision back and goes to its rep.
func (t *talk) undo() {
	if t.opt.ReadOnly != "" {
		t.say("Nothing can be undone: %s", t.opt.ReadOnly)
		return
	}
	e, err := t.deps.Undo()
	if err != nil {
		t.say("Not undone: %v", err)
		return
	}
	if t.session.History.Apply(e) != nil {
		t.session.History = t.deps.History()
	}
	undone := t.session.History.Events()[e.Undoes-1]
	t.say("Undone: %s of %s.", undone.Action, quality.Printable(undone.RepID))
	for i, r := range t.session.Reps {
		if r.Key() == undone.Key {
			t.move(i)
			return
		}
	}
}
