package quality_test

import (
	"math"
	"testing"

	"plateside/curve"
	"plateside/quality"
)

// calm is a rep that every check passes: 750 N, two plates, still stance, landed on both.
func calm() *curve.Rep {
	nan := math.NaN()
	span := curve.Span{FromS: nan, ToS: nan}
	plate := func(name string) curve.PlateSigns {
		return curve.PlateSigns{Name: name, ZeroN: 0.3, NoiseN: 1, RangeN: 2000, StandN: 375, LandN: 1500}
	}
	r := &curve.Rep{Number: 1, Flew: true, Values: make([]curve.Value, len(curve.Metrics())),
		Landmarks: curve.Landmarks{OnsetS: 2, MinForceS: 2.2, PeakDownVelocityS: 2.35, LowPointS: 2.5, TakeoffS: 2.8, LandingS: 3.3},
		Weighing:  curve.Weighing{WeightN: 750, HalfWidthN: 0.5, Still: true},
		Signs: curve.Signs{UnloadedS: 0.44, OffsetHeightM: 0.0005, HeightHalfM: 0.004, Plates: []curve.PlateSigns{plate("left"), plate("right"), plate("total")},
			Stance:  curve.StanceSigns{StandingS: 2, StillS: 2, Judged: curve.Span{FromS: 0.97, ToS: 1.97}, SwayN: 2, EarlierSwayN: 2, ShiftPct: 0.5, ShiftSpan: span, BumpN: 3, BumpSpan: curve.Span{FromS: 1.4, ToS: 1.5}},
			Landing: curve.LandingSigns{Hop: span, RestVelocityMS: 0.01, RestForceN: 750.5, Rest: curve.Span{FromS: 4, ToS: 4.8}, AfterS: 3}}}
	set(r, "jump_height_m", 0.35)
	set(r, "flight_height_m", 0.355)
	return r
}

func set(r *curve.Rep, key string, value float64) {
	for i, m := range curve.Metrics() {
		if m.Key == key {
			r.Values[i] = curve.Value{Value: value, PlusMinus: 0.004}
		}
	}
}

func lose(r *curve.Rep, key string) {
	set(r, key, math.NaN())
}

// TestChecks holds every check of a single rep to both sides of its limits, and to what it cannot judge. The values just
// inside and outside stand a hundredth of the limit away from it.
func TestChecks(t *testing.T) {
	w := 750.0
	for _, c := range []struct {
		name   string
		check  string
		change func(*curve.Rep)
		want   string // "", look, redo or unknown
	}{
		{"calm", quality.StanceSway, func(*curve.Rep) {}, ""},
		{"sway inside", quality.StanceSway, func(r *curve.Rep) { r.Signs.Stance.SwayN = 0.0084 * w }, ""},
		{"sway look", quality.StanceSway, func(r *curve.Rep) { r.Signs.Stance.SwayN = 0.0086 * w }, "look"},
		{"sway below redo", quality.StanceSway, func(r *curve.Rep) { r.Signs.Stance.SwayN = 0.0114 * w }, "look"},
		{"sway redo", quality.StanceSway, func(r *curve.Rep) { r.Signs.Stance.SwayN = 0.0116 * w }, "redo"},
		{"sway unknown", quality.StanceSway, func(r *curve.Rep) { r.Signs.Stance.SwayN = math.NaN() }, "unknown"},
		{"shift inside", quality.StanceShift, func(r *curve.Rep) { r.Signs.Stance.ShiftPct = 2.47 }, ""},
		{"shift look", quality.StanceShift, func(r *curve.Rep) { r.Signs.Stance.ShiftPct = 2.53 }, "look"},
		{"shift redo", quality.StanceShift, func(r *curve.Rep) { r.Signs.Stance.ShiftPct = 3.54 }, "redo"},
		{"shift unknown", quality.StanceShift, func(r *curve.Rep) { r.Signs.Stance.ShiftPct = math.NaN() }, "unknown"},
		{"short enough", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StandingS = 1.01; r.Signs.Stance.StillS = 1.01 }, ""},
		{"short look", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StandingS = 0.99 }, "look"},
		{"short still", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StillS = 0.8 }, "look"},
		{"short redo", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StandingS = 0.49 }, "redo"},
		{"no stance at all", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StandingS = math.NaN() }, "redo"},
		{"short unknown", quality.StanceShort, func(r *curve.Rep) { r.Signs.Stance.StandingS = math.NaN(); r.Flew = false }, "unknown"},
		{"cut short", quality.NoFlight, func(r *curve.Rep) { r.Flew = false; r.Signs.EndsMoving = true }, "redo"},
		{"no landing", quality.Unsettled, func(r *curve.Rep) { r.Landmarks.LandingS = math.NaN() }, "look"},
		{"load inside", quality.EarlyLoad, func(r *curve.Rep) { r.Signs.Stance.BumpN = 0.0218 * w }, ""},
		{"load redo", quality.EarlyLoad, func(r *curve.Rep) { r.Signs.Stance.BumpN = 0.0222 * w }, "redo"},
		{"dip redo", quality.EarlyLoad, func(r *curve.Rep) { r.Signs.Stance.BumpN = -0.0222 * w }, "redo"},
		{"load in a sway", quality.EarlyLoad, func(r *curve.Rep) { r.Signs.Stance.BumpN = 0.03 * w; r.Signs.Stance.EarlierSwayN = 0.02 * w }, ""},
		{"load unknown", quality.EarlyLoad, func(r *curve.Rep) { r.Signs.Stance.BumpN = math.NaN() }, "unknown"},
		{"no flight", quality.NoFlight, func(r *curve.Rep) { r.Flew = false }, "redo"},
		{"gap in the jump", quality.Gap, func(r *curve.Rep) { r.Signs.Missing = []curve.Span{{FromS: 2.6, ToS: 2.65}} }, "redo"},
		{"gap after", quality.Gap, func(r *curve.Rep) { r.Signs.Missing = []curve.Span{{FromS: 4, ToS: 4.1}} }, "look"},
		{"irregular in the jump", quality.Gap, func(r *curve.Rep) { r.Signs.Irregular = []curve.Span{{FromS: 2.1, ToS: 2.2}} }, "redo"},
		{"saturated before", quality.Saturated, func(r *curve.Rep) { r.Signs.Plates[1].FlatTops = []curve.Span{{FromS: 2.7, ToS: 2.72}} }, "redo"},
		{"saturated after", quality.Saturated, func(r *curve.Rep) { r.Signs.Plates[1].FlatTops = []curve.Span{{FromS: 3.35, ToS: 3.36}} }, "look"},
		{"zero inside", quality.ZeroOffset, func(r *curve.Rep) { r.Signs.Plates[0].ZeroN = -4.9 }, ""},
		{"zero look", quality.ZeroOffset, func(r *curve.Rep) { r.Signs.Plates[0].ZeroN = -5.1 }, "look"},
		{"zero redo", quality.ZeroOffset, func(r *curve.Rep) { r.Signs.Plates[2].ZeroN = 12; r.Signs.OffsetHeightM = 0.0101 }, "redo"},
		{"zero unknown", quality.ZeroOffset, func(r *curve.Rep) { r.Signs.UnloadedS = math.NaN() }, "unknown"},
		{"on the edge of the plate", quality.OffPlate, func(r *curve.Rep) { r.Signs.Plates[0].LandN = 0.101 * w }, ""},
		{"off plate", quality.OffPlate, func(r *curve.Rep) { r.Signs.Plates[0].LandN = 0.099 * w }, "look"},
		{"nobody landed", quality.OffPlate, func(r *curve.Rep) { r.Landmarks.LandingS = math.NaN(); r.Signs.UnloadedS = 1.2 }, "look"},
		{"ends in flight", quality.OffPlate, func(r *curve.Rep) { r.Landmarks.LandingS = math.NaN() }, "unknown"},
		{"hop", quality.ExtraHop, func(r *curve.Rep) { r.Signs.Landing.Hop = curve.Span{FromS: 3.9, ToS: 4.1} }, "look"},
		{"heights near", quality.HeightGap, func(r *curve.Rep) { set(r, "flight_height_m", 0.384) }, ""},
		{"heights apart", quality.HeightGap, func(r *curve.Rep) { set(r, "flight_height_m", 0.386) }, "look"},
		{"heights apart below", quality.HeightGap, func(r *curve.Rep) { set(r, "flight_height_m", 0.314) }, "look"},
		{"height unknown", quality.HeightGap, func(r *curve.Rep) { lose(r, "flight_height_m") }, "unknown"},
		{"settled", quality.Unsettled, func(r *curve.Rep) { r.Signs.Landing.RestVelocityMS = -0.24 }, ""},
		{"velocity left", quality.Unsettled, func(r *curve.Rep) { r.Signs.Landing.RestVelocityMS = -0.26 }, "look"},
		{"force left", quality.Unsettled, func(r *curve.Rep) { r.Signs.Landing.RestForceN = w * 1.021 }, "look"},
		{"never still", quality.Unsettled, func(r *curve.Rep) { r.Signs.Landing.RestForceN = math.NaN() }, "look"},
		{"ends too soon", quality.Unsettled, func(r *curve.Rep) { r.Signs.Landing.RestForceN = math.NaN(); r.Signs.Landing.AfterS = 1 }, "unknown"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := calm()
			c.change(r)
			rep := &quality.Rep{RateHz: 1000, Plates: 2, Curve: r}
			quality.Judge(rep, quality.DefaultLimits())
			if got := answer(rep, c.check); got != c.want {
				t.Errorf("%s says %q, want %q; findings %v", c.check, got, c.want, rep.Findings)
			}
			if c.name == "calm" && (rep.Verdict != quality.VerdictClear || len(rep.Unknowns) > 0) {
				t.Errorf("a calm rep is %v, %v", rep.Findings, rep.Unknowns)
			}
			for _, f := range rep.Findings {
				if f.Message == "" || f.Severity == 0 {
					t.Errorf("finding without words or severity: %+v", f)
				}
			}
		})
	}
}

// answer is what a check said of a rep.
func answer(rep *quality.Rep, check string) string {
	for _, f := range rep.Findings {
		if f.Check == check {
			return f.Severity.String()
		}
	}
	for _, u := range rep.Unknowns {
		if u.Check == check {
			return "unknown"
		}
	}
	return ""
}

func TestLowRateAndOnePlate(t *testing.T) {
	slow := &quality.Rep{RateHz: 499, Plates: 1, Curve: calm()}
	quality.Judge(slow, quality.DefaultLimits())
	if answer(slow, quality.LowRate) != "look" || answer(slow, quality.StanceShift) != "unknown" || len(slow.Notes) != 1 {
		t.Errorf("%v %v %v", slow.Findings, slow.Unknowns, slow.Notes)
	}
	fast := &quality.Rep{RateHz: 500, Plates: 2, Curve: calm()}
	quality.Judge(fast, quality.DefaultLimits())
	if answer(fast, quality.LowRate) != "" || len(fast.Notes) != 0 {
		t.Errorf("%v %v", fast.Findings, fast.Notes)
	}
}

// squad is reps of one athlete with the given weights and heights.
func squad(weights, heights []float64) []*quality.Rep {
	var out []*quality.Rep
	for i := range weights {
		r := calm()
		r.Number = i + 1
		r.Weighing.WeightN = weights[i]
		r.Signs.Landing.RestForceN = weights[i]
		set(r, "jump_height_m", heights[i])
		set(r, "flight_height_m", heights[i])
		set(r, "depth_m", 0.3)
		set(r, "time_to_takeoff_s", 0.8)
		rep := &quality.Rep{Athlete: "A", RateHz: 1000, Plates: 2, Curve: r}
		quality.Judge(rep, quality.DefaultLimits())
		out = append(out, rep)
	}
	quality.JudgeTogether(out, quality.DefaultLimits())
	return out
}

func TestTogether(t *testing.T) {
	even := []float64{0.35, 0.36, 0.345, 0.352}
	for _, c := range []struct {
		name             string
		weights, heights []float64
		last             map[string]string
	}{
		{"too few", []float64{750, 790}, []float64{0.35, 0.2}, map[string]string{quality.WeightChange: "unknown", quality.OddRep: "unknown"}},
		{"alike", []float64{750, 751, 749, 750}, even, map[string]string{quality.WeightChange: "", quality.OddRep: ""}},
		{"heavier inside", []float64{750, 751, 749, 761}, even, map[string]string{quality.WeightChange: ""}},
		{"heavier", []float64{750, 751, 749, 762}, even, map[string]string{quality.WeightChange: "look"}},
		{"lower", []float64{750, 751, 749, 750}, []float64{0.35, 0.36, 0.345, 0.24}, map[string]string{quality.OddRep: "look"}},
		{"a little lower", []float64{750, 751, 749, 750}, []float64{0.35, 0.36, 0.345, 0.325}, map[string]string{quality.OddRep: ""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			reps := squad(c.weights, c.heights)
			last := reps[len(reps)-1]
			for check, want := range c.last {
				if got := answer(last, check); got != want {
					t.Errorf("%s says %q, want %q: %v %v", check, got, want, last.Findings, last.Unknowns)
				}
			}
			before := len(last.Findings)
			quality.JudgeTogether(reps, quality.DefaultLimits())
			if len(last.Findings) != before {
				t.Error("asking again adds findings")
			}
		})
	}
}
