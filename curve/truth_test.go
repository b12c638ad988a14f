package curve_test

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"plateside/curve"
	"plateside/curve/curvetest"
)

// A goal is how far from the truth the program may be on 95 of 100 good reps.
type goal struct {
	name   string
	within float64
	off    func(curvetest.Truth, *curve.Rep) float64
}

func metricOff(key string, truth func(curvetest.Truth) *float64, scale float64) func(curvetest.Truth, *curve.Rep) float64 {
	return func(t curvetest.Truth, r *curve.Rep) float64 { return scale * (r.Metric(key).Value - *truth(t)) }
}

func landmarkOff(pick func(curve.Landmarks) float64, truth func(curvetest.Truth) *float64) func(curvetest.Truth, *curve.Rep) float64 {
	return func(t curvetest.Truth, r *curve.Rep) float64 { return 1000 * (pick(r.Landmarks) - *truth(t)) }
}

func goals() []goal {
	return []goal{
		{"jump height, cm", 0.4, metricOff("jump_height_m", func(t curvetest.Truth) *float64 { return t.JumpHeightM }, 100)},
		{"flight height, cm", 0.3, metricOff("flight_height_m", func(t curvetest.Truth) *float64 { return t.FlightHeightM }, 100)},
		{"depth, cm", 0.22, metricOff("depth_m", func(t curvetest.Truth) *float64 { return t.DepthM }, 100)},
		{"body weight, N", 1, metricOff("body_weight_n", func(t curvetest.Truth) *float64 { return &t.BodyWeightN }, 1)},
		{"onset, ms", 12, landmarkOff(func(l curve.Landmarks) float64 { return l.OnsetS }, func(t curvetest.Truth) *float64 { return t.OnsetS })},
		{"takeoff, ms", 0.3, landmarkOff(func(l curve.Landmarks) float64 { return l.TakeoffS }, func(t curvetest.Truth) *float64 { return t.TakeoffS })},
		{"landing, ms", 2, landmarkOff(func(l curve.Landmarks) float64 { return l.LandingS }, func(t curvetest.Truth) *float64 { return t.LandingS })},
		{"low point, ms", 4, landmarkOff(func(l curve.Landmarks) float64 { return l.LowPointS }, func(t curvetest.Truth) *float64 { return t.LowPointS })},
		{"peak downward velocity, ms", 4, landmarkOff(func(l curve.Landmarks) float64 { return l.PeakDownVelocityS }, func(t curvetest.Truth) *float64 { return t.PeakDownVelocityS })},
		{"minimum force, ms", 12, landmarkOff(func(l curve.Landmarks) float64 { return l.MinForceS }, func(t curvetest.Truth) *float64 { return t.MinForceS })},
		{"propulsion asymmetry, points", 0.5, func(t curvetest.Truth, r *curve.Rep) float64 {
			return r.Metric("propulsion_asymmetry_pct").Value - (2**t.LeftShare-1)*100
		}},
	}
}

// good are the labels of reps that nothing spoils before or during the jump.
func good(label string) bool { return label == "clear" || label == "early-fidget-then-still" }

// TestTruth holds the measurement against reps whose truth an independent simulator knows.
func TestTruth(t *testing.T) {
	dir := curvetest.Shared(t, "trials")
	truths := curvetest.Truths(t, filepath.Join(dir, "truth.json"))
	for k, v := range curvetest.Truths(t, filepath.Join(dir, "session-2.truth.json")) {
		truths[k] = v
	}
	offs := map[string][]float64{}
	humpsWrong, humpsSeen, held, intervals := 0, 0, 0, 0
	var halves []float64
	for name, truth := range truths {
		rec := curvetest.ReadPlain(t, filepath.Join(dir, name+".csv"))
		reps, err := curve.Analyse(rec, curve.DefaultMethod())
		if err != nil || len(reps) != len(truth) {
			t.Errorf("%s: %d reps, want %d (%v)", name, len(reps), len(truth), err)
			continue
		}
		for i, want := range truth {
			rep := reps[i]
			if rep.Flew != (want.TakeoffS != nil) {
				t.Errorf("%s rep %d: flew is %t", name, i+1, rep.Flew)
			}
			if !good(want.Label) {
				continue
			}
			line := ""
			for _, g := range goals() {
				off := g.off(want, rep)
				offs[g.name] = append(offs[g.name], off)
				if math.Abs(off) > g.within {
					line += "  " + g.name
					t.Logf("%s#%d %s %s: %s off by %.3f", name, i+1, want.Label, want.Kind, g.name, off)
				}
			}
			humpsSeen++
			if rep.Metric("humps").Value != float64(*want.Humps) {
				humpsWrong++
				t.Logf("%s#%d %s: %v humps, want %d", name, i+1, want.Kind, rep.Metric("humps").Value, *want.Humps)
			}
			h := rep.Metric("jump_height_m")
			intervals++
			halves = append(halves, h.PlusMinus*100)
			if math.Abs(h.Value-*want.JumpHeightM) <= h.PlusMinus {
				held++
			}
		}
	}
	for _, g := range goals() {
		abs, bias := make([]float64, 0, 64), 0.0
		for _, v := range offs[g.name] {
			abs, bias = append(abs, math.Abs(v)), bias+v/float64(len(offs[g.name]))
		}
		slices.Sort(abs)
		p95 := abs[int(math.Ceil(0.95*float64(len(abs))))-1]
		t.Logf("%-28s goal %6.2f  95 %% within %7.3f  median %6.3f  bias %+.3f  (%d reps)", g.name, g.within, p95, abs[len(abs)/2], bias, len(abs))
		if !(p95 <= g.within) {
			t.Errorf("%s: 95 %% of the reps are within %.3f only, want %.2f", g.name, p95, g.within)
		}
	}
	slices.Sort(halves)
	t.Logf("humps wrong in %d of %d; interval of jump height holds the truth in %d of %d, median half-width %.2f cm",
		humpsWrong, humpsSeen, held, intervals, halves[len(halves)/2])
}
