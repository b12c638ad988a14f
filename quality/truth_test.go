package quality_test

import (
	"path/filepath"
	"testing"

	"plateside/curve"
	"plateside/curve/curvetest"
	"plateside/quality"
)

// judged analyses and judges every rep of the simulated trials beside the project.
func judged(t *testing.T) map[string][]*quality.Rep {
	t.Helper()
	dir := curvetest.Shared(t, "trials")
	files, _ := filepath.Glob(filepath.Join(dir, "*.csv"))
	out := map[string][]*quality.Rep{}
	for _, path := range files {
		rec := curvetest.ReadPlain(t, path)
		reps, err := curve.Analyse(rec, curve.DefaultMethod())
		if err != nil {
			t.Fatal(err)
		}
		var all []*quality.Rep
		for _, r := range reps {
			rep := &quality.Rep{Recording: rec.Name, RateHz: rec.RateHz, Plates: rec.Plates(), Curve: r}
			quality.Judge(rep, quality.DefaultLimits())
			all = append(all, rep)
		}
		quality.JudgeTogether(all, quality.DefaultLimits())
		name := filepath.Base(path)
		out[name[:len(name)-4]] = all
	}
	return out
}

// expectedFinding is the check that must have a finding for a label, "" for none.
func expectedFinding(label string) string {
	switch label {
	case "clear", "early-fidget-then-still":
		return ""
	case "tuck":
		return quality.HeightGap
	}
	return label
}

// TestFindings holds the findings against the labels of an independent simulator: every spoilt rep must show its fault,
// and no good one any.
func TestFindings(t *testing.T) {
	dir := curvetest.Shared(t, "trials")
	truths := curvetest.Truths(t, filepath.Join(dir, "truth.json"))
	for k, v := range curvetest.Truths(t, filepath.Join(dir, "session-2.truth.json")) {
		truths[k] = v
	}
	for name, reps := range judged(t) {
		for i, rep := range reps {
			want := expectedFinding(truths[name][i].Label)
			found := want == ""
			for _, f := range rep.Findings {
				if f.Check == want {
					found = true
				} else {
					t.Logf("%s#%d is %s: also %s (%s): %s", name, i+1, truths[name][i].Label, f.Check, f.Severity, f.Message)
				}
				// The labels speak of one rep by itself; odd-rep compares it with the others of its recording.
				if want == "" && f.Check != quality.OddRep {
					t.Errorf("%s#%d is good, found %s: %s", name, i+1, f.Check, f.Message)
				}
			}
			if !found {
				t.Errorf("%s#%d: %s was not found; findings %v", name, i+1, want, rep.Findings)
			}
			s := rep.Curve.Signs.Stance
			t.Logf("%s#%d %-14.14s %-5s sway %.2f%% (before %.2f) shift %.2f bump %+.2f%% stand %.2f still %.2f cost %.2f", name, i+1, truths[name][i].Label, rep.Verdict,
				s.SwayN/rep.Curve.Weighing.WeightN*100, s.EarlierSwayN/rep.Curve.Weighing.WeightN*100, s.ShiftPct, s.BumpN/rep.Curve.Weighing.WeightN*100, s.StandingS, s.StillS, rep.Curve.Signs.HeightHalfM*100)
		}
	}
}
