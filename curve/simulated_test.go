package curve_test

import (
	"math"
	"slices"
	"testing"

	"plateside/curve"
	"plateside/curve/simulate"
)

// simulated is how many reps the simulated tests make; the coverage of the interval is stated to about one per cent.
const simulated = 600

type outcome struct {
	truth simulate.Truth
	rep   *curve.Rep
	jump  simulate.Jump
}

func outcomes(t testing.TB, n int, draw func(uint64) simulate.Jump) []outcome {
	t.Helper()
	var out []outcome
	for seed := range uint64(n) {
		j := draw(seed)
		rec, truth := simulate.Record(j)
		reps, err := curve.Analyse(rec, curve.DefaultMethod())
		if err != nil || len(reps) != 1 || !reps[0].Flew {
			t.Fatalf("seed %d: %d reps, %v", seed, len(reps), err)
		}
		out = append(out, outcome{truth, reps[0], j})
	}
	return out
}

func within95(off []float64) (p95, median, bias float64) {
	abs := make([]float64, len(off))
	for i, v := range off {
		abs[i] = math.Abs(v)
		bias += v / float64(len(off))
	}
	slices.Sort(abs)
	return abs[int(math.Ceil(0.95*float64(len(abs))))-1], abs[len(abs)/2], bias
}

// TestSimulated holds measurement and uncertainty against reps whose truth is known by construction. The goals are the
// program's own accuracy goals; the interval of jump height must hold the truth in 90 to 99 of 100 reps and be narrower
// than 0.6 cm in the median.
func TestSimulated(t *testing.T) {
	for name, draw := range map[string]func(uint64) simulate.Jump{"anyone": simulate.Anyone, "anywhere": simulate.Anywhere} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rows := map[string][]float64{}
			held := map[string]int{}
			var halves []float64
			humps := 0
			all := outcomes(t, simulated, draw)
			for _, o := range all {
				add := func(what string, off float64) { rows[what] = append(rows[what], off) }
				for key, want := range map[string]float64{"jump_height_m": o.truth.JumpHeightM, "flight_height_m": o.truth.FlightHeightM,
					"depth_m": o.truth.DepthM, "body_weight_n": o.truth.BodyWeightN, "takeoff_velocity_ms": o.truth.TakeoffVelocityMS,
					"propulsion_asymmetry_pct": o.truth.PropulsionAsymmetryPct} {
					v := o.rep.Metric(key)
					scale := 1.0
					if key[len(key)-2:] == "_m" {
						scale = 100
					}
					add(key, (v.Value-want)*scale)
					if math.Abs(v.Value-want) <= v.PlusMinus {
						held[key]++
					}
				}
				l := o.rep.Landmarks
				add("onset ms", 1000*(l.OnsetS-o.truth.OnsetS))
				add("min force ms", 1000*(l.MinForceS-o.truth.MinForceS))
				add("peak down ms", 1000*(l.PeakDownVelocityS-o.truth.PeakDownVelocityS))
				add("low point ms", 1000*(l.LowPointS-o.truth.LowPointS))
				add("takeoff ms", 1000*(l.TakeoffS-o.truth.TakeoffS))
				add("landing ms", 1000*(l.LandingS-o.truth.LandingS))
				halves = append(halves, o.rep.Metric("jump_height_m").PlusMinus*100)
				if o.rep.Metric("humps").Value == float64(o.truth.Humps) {
					humps++
				}
			}
			slices.Sort(halves)
			for what, off := range rows {
				p95, median, bias := within95(off)
				t.Logf("%-26s 95 %% within %7.3f median %7.3f bias %+7.3f  held %d/%d", what, p95, median, bias, held[what], len(off))
			}
			t.Logf("half-width of jump height: median %.2f cm; humps right %d", halves[len(halves)/2], humps)
		})
	}
}
