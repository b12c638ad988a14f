package quality_test

import (
	"math"
	"testing"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
)

// TestCutRecordings cuts jumps everywhere, at the beginning and at the end: nothing panics, no number is infinite, and a
// rep without a stance, or one that stops before it flew or landed, is never clear.
func TestCutRecordings(t *testing.T) {
	judgedReps := 0
	for seed := range uint64(6) {
		rec, truth := simulate.Record(simulate.Anyone(seed))
		cut := func(fromS, toS float64) *curve.Recording {
			lo, hi := rec.Sample(fromS), rec.Sample(toS)
			return &curve.Recording{RateHz: rec.RateHz, StartS: rec.TimeS(float64(lo)), Left: rec.Left[lo:hi], Right: rec.Right[lo:hi], Total: rec.Total[lo:hi]}
		}
		end := rec.EndS()
		for at := truth.OnsetS - 0.4; at < truth.LandingS+0.4; at += 0.0137 {
			for _, c := range []struct {
				rec      *curve.Recording
				mayClear bool
			}{
				{cut(at, end), at < truth.OnsetS-0.35 || at > truth.LandingS-0.1},
				{cut(0, at), at > truth.LandingS}, // the touch-down is in it, so flight and push are known
			} {
				reps, err := curve.Analyse(c.rec, curve.DefaultMethod())
				if err != nil {
					continue
				}
				for _, r := range reps {
					rep := &quality.Rep{RateHz: rec.RateHz, Plates: 2, Curve: r}
					quality.Judge(rep, quality.DefaultLimits())
					judgedReps++
					for i, m := range curve.Metrics() {
						if math.IsInf(r.Values[i].Value, 0) || (!r.Values[i].Known() && r.Values[i].Why == "") {
							t.Fatalf("seed %d cut at %.3f: %s is %v, why %q", seed, at, m.Key, r.Values[i].Value, r.Values[i].Why)
						}
					}
					for _, f := range rep.Findings {
						if math.IsInf(f.Value, 0) {
							t.Fatalf("seed %d cut at %.3f: %+v", seed, at, f)
						}
					}
					if rep.Verdict == quality.VerdictClear && !c.mayClear {
						t.Errorf("seed %d (onset %.3f takeoff %.3f landing %.3f) cut at %.3f to %.3f is clear", seed, truth.OnsetS, truth.TakeoffS, truth.LandingS, c.rec.StartS, c.rec.EndS())
					}
				}
			}
		}
	}
	if judgedReps < 500 {
		t.Errorf("only %d reps were judged", judgedReps)
	}
}
