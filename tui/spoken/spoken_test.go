package spoken_test

import (
	"errors"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
	"plateside/tui/spoken"
)

// session is two reps, the second one swaying.
func session(t *testing.T) *quality.Session {
	t.Helper()
	s := &quality.Session{Title: "Morning", History: &quality.History{}}
	for i, fault := range []simulate.Fault{simulate.None, simulate.StanceSway} {
		j := simulate.Anyone(uint64(i + 3))
		j.Fault, j.SwayPct = fault, 0.2
		rec, _ := simulate.Record(j)
		reps, err := curve.Analyse(rec, curve.DefaultMethod())
		if err != nil {
			t.Fatal(err)
		}
		rep := &quality.Rep{Recording: string(rune('a'+i)) + ".csv", SHA256: string(rune('a' + i)), Athlete: "Isla", RateHz: rec.RateHz, Plates: 2, Curve: reps[0]}
		quality.Judge(rep, quality.DefaultLimits())
		s.Add(quality.Source{Recording: rep.Recording}, []*quality.Rep{rep}, nil)
	}
	s.NameReps()
	return s
}

// talk reviews a session with the given lines of input and returns what was said.
func talk(t *testing.T, s *quality.Session, input string, failing error, o spoken.Options) string {
	t.Helper()
	ledger := &quality.History{}
	var out strings.Builder
	deps := spoken.Deps{
		Append: func(events []quality.Event) ([]quality.Event, error) {
			if failing != nil {
				return nil, failing
			}
			for i := range events {
				events[i].Seq = ledger.NextSeq()
				if err := ledger.Apply(events[i]); err != nil {
					return nil, err
				}
			}
			return events, nil
		},
		Undo: func() (quality.Event, error) {
			last, ok := ledger.LastUndoable()
			if !ok {
				return quality.Event{}, errors.New("there is nothing to undo")
			}
			e := quality.Event{Seq: ledger.NextSeq(), Action: quality.ActUndo, Undoes: last.Seq}
			return e, ledger.Apply(e)
		},
		History: func() *quality.History { return ledger },
		Write:   func(*quality.Session) (string, error) { return "out.zip", nil },
	}
	if err := spoken.Run(s, deps, o, strings.NewReader(input), &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestReviewInWords(t *testing.T) {
	s := session(t)
	said := talk(t, s, "1\n2\n4\n8\nx\n0\n", nil, spoken.Options{})
	for _, want := range []string{"Morning: 2 reps, 0 kept", "Verdict: clear", "The curve: stands at", "takes off at", "Saved: a#1 is kept", "Verdict: redo",
		"Finding, stance-sway, redo", "Say: Stand still", "Saved: b#1 is rejected, stance-sway", "Undone: reject of b#1", "Written: out.zip", "Please give a number", "pain"} {
		if !strings.Contains(said, want) {
			t.Errorf("it never said %q:\n%s", want, said)
		}
	}
	if c := s.Count(); c.Kept != 1 || c.Rejected != 0 {
		t.Errorf("%+v", c)
	}
	for _, r := range said {
		if r >= 0x2500 && r <= 0x28ff {
			t.Fatalf("a drawing character %q would be read aloud", r)
		}
	}
}

func TestNotSavedIsSaid(t *testing.T) {
	s := session(t)
	said := talk(t, s, "1\n", errors.New("disk full"), spoken.Options{})
	if !strings.Contains(said, "NOT SAVED: disk full") || strings.Contains(said, "Saved:") || s.Count().Kept != 0 {
		t.Errorf("%+v\n%s", s.Count(), said)
	}
}

func TestReadOnlyIsSaid(t *testing.T) {
	said := talk(t, session(t), "1\n4\n", nil, spoken.Options{ReadOnly: "held by another"})
	if strings.Count(said, "held by another") != 2 || strings.Contains(said, "Saved:") {
		t.Errorf("%s", said)
	}
}

// The end of the input ends the review, wherever it comes.
func TestInputEnds(t *testing.T) {
	for _, input := range []string{"", "5", "5\n5\n", "1"} {
		talk(t, session(t), input, nil, spoken.Options{})
	}
}
