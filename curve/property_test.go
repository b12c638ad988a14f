package curve_test

import (
	"math"
	"slices"
	"testing"

	"plateside/curve"
	"plateside/curve/simulate"
)

// plain is a rep without plate noise or sway, so that properties hold to rounding.
func plain(seed uint64) (*curve.Recording, simulate.Truth) {
	j := simulate.Anyone(seed)
	j.NoiseN, j.SwayPct, j.RateHz = 0, 0, 1000
	return simulate.Record(j)
}

func eachPlain(t *testing.T, check func(t *testing.T, rec *curve.Recording, rep *curve.Rep)) {
	t.Helper()
	for seed := range uint64(40) {
		rec, _ := plain(seed)
		check(t, rec, analysed(t, rec))
	}
}

// Newton: the impulses of the phases before takeoff add up to mass times takeoff velocity, and unweighting cancels
// braking.
func TestImpulsesAddUp(t *testing.T) {
	eachPlain(t, func(t *testing.T, _ *curve.Recording, r *curve.Rep) {
		momentum := r.Metric("body_mass_kg").Value * r.Metric("takeoff_velocity_ms").Value
		sum := r.Metric("unweighting_impulse_ns").Value + r.Metric("braking_impulse_ns").Value + r.Metric("propulsion_impulse_ns").Value
		near(t, "sum of impulses", sum, momentum, 0.003*momentum) // the last partial sample is a straight line in both, not the same one
		near(t, "braking impulse", r.Metric("braking_impulse_ns").Value, -r.Metric("unweighting_impulse_ns").Value, 0.002*momentum)
		near(t, "halves", r.Metric("early_propulsion_impulse_ns").Value+r.Metric("late_propulsion_impulse_ns").Value,
			r.Metric("propulsion_impulse_ns").Value, 1e-9*momentum+1e-3)
	})
}

// Shifting the clock shifts landmarks and moves no metric.
func TestClockShift(t *testing.T) {
	eachPlain(t, func(t *testing.T, rec *curve.Recording, r *curve.Rep) {
		moved := *rec
		moved.StartS = 1234.5
		s := analysed(t, &moved)
		for i, l := range r.Landmarks.List() {
			near(t, l.Name, s.Landmarks.List()[i].S-1234.5, l.S, 1e-9)
		}
		sameMetrics(t, r, s, func(string) float64 { return 1 })
	})
}

// sameMetrics fails unless every metric of s is that of r times a factor.
func sameMetrics(t *testing.T, r, s *curve.Rep, factor func(key string) float64) {
	t.Helper()
	for i, m := range curve.Metrics() {
		want := r.Values[i].Value * factor(m.Key)
		if math.IsNaN(want) && math.IsNaN(s.Values[i].Value) {
			continue
		}
		near(t, m.Key, s.Values[i].Value, want, 1e-6*math.Abs(want)+1e-9)
	}
}

// Scaling force scales what is in newtons and moves no time, velocity or height. Thresholds in newtons do not scale, so
// the method is given without them.
func TestForceScale(t *testing.T) {
	m := curve.DefaultMethod()
	for seed := range uint64(20) {
		rec, _ := plain(seed)
		const k = 1.25
		big := *rec
		big.Left, big.Right, big.Total = scaled(rec.Left, k), scaled(rec.Right, k), scaled(rec.Total, k)
		mk := m
		mk.OnsetFloorN, mk.FlightFloorN = m.OnsetFloorN*k, m.FlightFloorN*k
		r, s := analysedBy(t, rec, m), analysedBy(t, &big, mk)
		near(t, "takeoff", s.Landmarks.TakeoffS, r.Landmarks.TakeoffS, 2e-4) // the trace to takeoff ends at a force in newtons
		near(t, "height", s.Metric("jump_height_m").Value, r.Metric("jump_height_m").Value, 2e-4)
		near(t, "weight", s.Metric("body_weight_n").Value, k*r.Metric("body_weight_n").Value, 1e-6*k*r.Metric("body_weight_n").Value)
		near(t, "peak force", s.Metric("peak_propulsion_force_n").Value, k*r.Metric("peak_propulsion_force_n").Value, 1e-9*s.Metric("peak_propulsion_force_n").Value)
		near(t, "onset", s.Landmarks.OnsetS, r.Landmarks.OnsetS, 1e-6)
	}
}

func scaled(x []float64, k float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v * k
	}
	return y
}

// Swapping the sides negates every asymmetry and moves nothing else.
func TestSwapSides(t *testing.T) {
	eachPlain(t, func(t *testing.T, rec *curve.Recording, r *curve.Rep) {
		swapped := *rec
		swapped.Left, swapped.Right = rec.Right, rec.Left
		sameMetrics(t, r, analysed(t, &swapped), func(key string) float64 {
			if len(key) > 14 && key[len(key)-14:] == "_asymmetry_pct" {
				return -1
			}
			return 1
		})
	})
}

// Standing appended after the landing moves no landmark and no metric: weighing by closure ends at the first stillness.
func TestStandingAppended(t *testing.T) {
	eachPlain(t, func(t *testing.T, rec *curve.Recording, r *curve.Rep) {
		long := *rec
		n := len(rec.Total)
		for range 2000 {
			long.Left = append(slices.Clip(long.Left), rec.Left[n-1])
			long.Right = append(slices.Clip(long.Right), rec.Right[n-1])
			long.Total = append(slices.Clip(long.Total), rec.Total[n-1])
		}
		s := analysed(t, &long)
		near(t, "height", s.Metric("jump_height_m").Value, r.Metric("jump_height_m").Value, 5e-5) // stillness found 1/100 N away
		near(t, "onset", s.Landmarks.OnsetS, r.Landmarks.OnsetS, 1e-4)
		near(t, "landing", s.Landmarks.LandingS, r.Landmarks.LandingS, 1e-9)
	})
}

// Halving the rate moves jump height by no more than published: 0.1 to 0.2 cm from 1000 to 500 Hz (Sampling rate
// influence on vertical jump height in force plate analysis, 2010).
func TestHalfRate(t *testing.T) {
	eachPlain(t, func(t *testing.T, rec *curve.Recording, r *curve.Rep) {
		half := curve.Recording{RateHz: 500}
		for i := 0; i < len(rec.Total); i += 2 {
			half.Left, half.Right, half.Total = append(half.Left, rec.Left[i]), append(half.Right, rec.Right[i]), append(half.Total, rec.Total[i])
		}
		s := analysed(t, &half)
		near(t, "height", s.Metric("jump_height_m").Value, r.Metric("jump_height_m").Value, 0.002)
	})
}

// TestBadInput gives recordings that a measurement must survive: whatever is wrong, no panic, no infinite number, and a
// value that is not known says why.
func TestBadInput(t *testing.T) {
	whole, truth := plain(3)
	cut := func(from, to int) *curve.Recording {
		return &curve.Recording{RateHz: whole.RateHz, Left: whole.Left[from:to], Right: whole.Right[from:to], Total: whole.Total[from:to]}
	}
	n := len(whole.Total)
	holes := cut(0, n)
	holes.Left, holes.Right, holes.Total = slices.Clone(whole.Left), slices.Clone(whole.Right), slices.Clone(whole.Total)
	for i := 100; i < n; i += 97 {
		holes.Total[i], holes.Left[i] = math.NaN(), math.NaN()
	}
	clamped := cut(0, n)
	clamped.Total = slices.Clone(whole.Total)
	for i, v := range clamped.Total {
		if v < 40 {
			clamped.Total[i] = 0
		}
	}
	onePlate := &curve.Recording{RateHz: 1000, Total: whole.Total}
	allNaN := &curve.Recording{RateHz: 1000, Total: make([]float64, 3000)}
	for i := range allNaN.Total {
		allNaN.Total[i] = math.NaN()
	}
	takeoff, landing := whole.Sample(truth.TakeoffS), whole.Sample(truth.LandingS)
	for name, c := range map[string]struct {
		rec  *curve.Recording
		reps int // -1: an error
	}{
		"whole": {whole, 1}, "holes": {holes, 1}, "clamped flight": {clamped, 1}, "one plate": {onePlate, 1},
		"no stance": {cut(whole.Sample(truth.OnsetS)+30, n), 1}, "ends in flight": {cut(0, (takeoff+landing)/2), 1},
		"ends before takeoff": {cut(0, takeoff-20), 1}, "flight only": {cut(takeoff+20, landing-20), -1},
		"landing only": {cut(landing-50, n), 1}, "empty": {cut(0, 0), -1}, "all NaN": {allNaN, -1},
		"zeros": {&curve.Recording{RateHz: 1000, Total: make([]float64, 3000)}, -1}, "no rate": {&curve.Recording{Total: whole.Total}, -1},
	} {
		t.Run(name, func(t *testing.T) {
			reps, err := curve.Analyse(c.rec, curve.DefaultMethod())
			if c.reps < 0 {
				if err == nil {
					t.Fatalf("want an error, got %d reps", len(reps))
				}
				return
			}
			if err != nil || len(reps) != c.reps {
				t.Fatalf("%d reps, want %d (%v)", len(reps), c.reps, err)
			}
			for i, m := range curve.Metrics() {
				v := reps[0].Values[i]
				if math.IsInf(v.Value, 0) || (!v.Known() && v.Why == "") {
					t.Errorf("%s is %v, why %q", m.Key, v.Value, v.Why)
				}
			}
		})
	}
}
