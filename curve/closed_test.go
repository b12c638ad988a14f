package curve_test

import (
	"math"
	"testing"

	"plateside/curve"
	"plateside/curve/curvetest"
)

// near fails unless got is within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// TestAnalyticPrintedDigits holds the closed form itself against the digits worked out by hand for the analytic jump.
func TestAnalyticPrintedDigits(t *testing.T) {
	k := curvetest.Analytic().Known()
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"body weight", k.WeightN, 784.532}, {"peak downward velocity", k.PeakDownVelocityMS, -1.4709975},
		{"depth", k.DepthM, 0.3309744}, {"takeoff displacement", k.TakeoffDisplacementM, 0.0661949},
		{"takeoff velocity", k.TakeoffVelocityMS, 2.6477955}, {"height", k.HeightM, 0.3574524}, {"flight", k.FlightS, 0.54},
		{"unweighting impulse", k.UnweightingNs, -117.6798}, {"braking impulse", k.BrakingNs, 117.6798},
		{"propulsion impulse", k.PropulsionNs, 211.8236}, {"peak power", k.PeakPowerW, 3946.833}, {"least power", k.LeastPowerW, -2308.089},
	} {
		near(t, c.what, c.got, c.want, 5e-5*math.Max(1, math.Abs(c.want)/10)) // the digits printed
	}
}

// analysed measures a recording that must hold one rep.
func analysed(t testing.TB, rec *curve.Recording) *curve.Rep {
	t.Helper()
	return analysedBy(t, rec, curve.DefaultMethod())
}

func analysedBy(t testing.TB, rec *curve.Recording, m curve.Method) *curve.Rep {
	t.Helper()
	reps, err := curve.Analyse(rec, m)
	if err != nil || len(reps) != 1 {
		t.Fatalf("%d reps, %v", len(reps), err)
	}
	return reps[0]
}

// TestClosedForm holds every metric against the closed form, over mass, depth, height, rate and side split. A step
// of force is what sampling likes least: the trapezoid loses half a sample at each, so what is integrated is within
// 0.2 % at 1000 Hz, and instants are within a sample and the smoothing under which they are looked for.
func TestClosedForm(t *testing.T) {
	base := curvetest.Analytic()
	variants := map[string]curvetest.Closed{"analytic": base}
	with := func(name string, change func(*curvetest.Closed)) {
		c := base
		change(&c)
		variants[name] = c
	}
	with("light", func(c *curvetest.Closed) { c.MassKg = 36 })
	with("heavy", func(c *curvetest.Closed) { c.MassKg = 135 })
	with("low", func(c *curvetest.Closed) { c.PropelS, c.PropelF = 0.22, 1.8 })
	with("high", func(c *curvetest.Closed) { c.PropelS = 0.36 })
	with("shallow", func(c *curvetest.Closed) { c.UnweightS, c.BrakeS = 0.2, 0.1 })
	with("2000 Hz", func(c *curvetest.Closed) { c.RateHz = 2000 })
	with("500 Hz", func(c *curvetest.Closed) { c.RateHz = 500 })
	with("right", func(c *curvetest.Closed) { c.LeftShare = 0.4 })
	with("slow", func(c *curvetest.Closed) { c.UnweightS, c.BrakeS, c.PropelS, c.PropelF = 0.44, 0.22, 0.5, 1.55 })
	for name, c := range variants {
		t.Run(name, func(t *testing.T) { holdClosed(t, c) })
	}
}

func holdClosed(t *testing.T, c curvetest.Closed) {
	k, r, g := c.Known(), analysed(t, c.Recording()), curve.StandardGravityMS2
	half := 1000 / c.RateHz // the loss at a step grows with the sample
	step := 1 / c.RateHz
	want := map[string][2]float64{ // value, tolerance
		"body_weight_n": {k.WeightN, 1e-6 * k.WeightN}, // nothing wavers
		"body_mass_kg":  {c.MassKg, 1e-6 * c.MassKg},
		"jump_height_m": {k.HeightM, 0.006 * half * k.HeightM}, "takeoff_velocity_ms": {k.TakeoffVelocityMS, 0.003 * half * k.TakeoffVelocityMS},
		"flight_time_s": {k.FlightS, 2 * step}, "flight_height_m": {k.FlightS * k.FlightS * g / 8, g * k.FlightS / 4 * 2 * step},
		// the onset of a step lies up to a sample and half the 20 ms mean early
		"time_to_takeoff_s": {k.TimeToTakeoffS, 0.015}, "depth_m": {k.DepthM, 0.006 * half * k.DepthM},
		"peak_propulsion_force_n":  {c.PropelF * k.WeightN, 0.06 * k.WeightN}, // a sample of braking force at the low point
		"rsi_modified":             {k.HeightM / k.TimeToTakeoffS, 0.03 * k.HeightM / k.TimeToTakeoffS},
		"flight_contraction_ratio": {k.FlightS / k.TimeToTakeoffS, 0.02},
		"peak_power_w":             {k.PeakPowerW, 0.006 * half * k.PeakPowerW}, "peak_power_wkg": {k.PeakPowerW / c.MassKg, 0.006 * half * k.PeakPowerW / c.MassKg},
		"unweighting_impulse_ns": {k.UnweightingNs, 0.02 * -k.UnweightingNs}, "braking_impulse_ns": {k.BrakingNs, 0.02 * k.BrakingNs}, // edges under the 20 ms mean
		"propulsion_impulse_ns": {k.PropulsionNs, 0.006 * half * k.PropulsionNs},
		// constant force: equal halves
		"early_propulsion_impulse_ns": {k.PropulsionNs / 2, 0.01 * half * k.PropulsionNs}, "late_propulsion_impulse_ns": {k.PropulsionNs / 2, 0.01 * half * k.PropulsionNs},
		"landing_peak_force_n": {c.LandF * k.WeightN, 1e-9 * k.WeightN}, "humps": {1, 0},
		"time_to_stabilisation_s": {k.LandS, 2 * step},
	}
	asymmetry := (2*c.LeftShare - 1) * 100
	for _, phase := range []string{"braking", "propulsion", "early_propulsion", "late_propulsion", "landing"} {
		want[phase+"_asymmetry_pct"] = [2]float64{asymmetry, 1e-9} // the split is constant
	}
	for _, m := range curve.Metrics() {
		w, ok := want[m.Key]
		if !ok {
			continue // force_at_low_point, braking_rfd and loading rate have no single value on a step: see TestSmoothForm
		}
		near(t, m.Key, r.Metric(m.Key).Value, w[0], w[1])
	}
	l := r.Landmarks
	near(t, "onset", l.OnsetS, k.OnsetS, 0.015) // the 20 ms mean
	near(t, "peak downward velocity", l.PeakDownVelocityS, k.PeakDownVelocityS, 0.011+step)
	near(t, "low point", l.LowPointS, k.LowPointS, 2*step)
	near(t, "takeoff", l.TakeoffS, k.TakeoffS, 2*step)
	near(t, "landing", l.LandingS, k.LandingS, 2*step)
}
