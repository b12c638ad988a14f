package curve_test

import (
	"fmt"
	"math"
	"testing"

	"plateside/curve"
	"plateside/curve/curvetest"
	"plateside/curve/series"
	"plateside/curve/simulate"
)

const gravity = curve.StandardGravityMS2

// smoothJumps are jumps of smooth force, without plate noise or sway: their force, velocity and displacement follow from
// the equations of motion and are known as finely as one likes.
func smoothJumps(rateHz float64) []simulate.Jump {
	var out []simulate.Jump
	for seed := range uint64(12) {
		j := simulate.Anyone(seed)
		j.NoiseN, j.SwayPct, j.RateHz = 0, 0, rateHz
		out = append(out, j)
	}
	return out
}

// fineHz is the rate of the computation that the metrics are held against.
const fineHz = 20000.0

// A fine is the plain computation of a smooth jump on a fine grid, from its true weight, onset, takeoff and landing.
type fine struct {
	truth                                          simulate.Truth
	rec                                            *curve.Recording
	force, velocity                                []float64
	peakForceN, peakPowerW, meanRiseNs, riseNs     float64
	landingPeakN, loadNs, toPeakS, settleS         float64
	unweightNs, brakeNs, propelNs, earlyNs, lateNs float64
}

func finely(j simulate.Jump) fine {
	j.RateHz = fineHz
	rec, truth := simulate.Record(j)
	f := fine{truth: truth, rec: rec, force: rec.Total, velocity: make([]float64, len(rec.Total))}
	w, mass := truth.BodyWeightN, truth.BodyWeightN/gravity
	for i := rec.Sample(truth.OnsetS) + 1; i < len(f.velocity); i++ {
		f.velocity[i] = f.velocity[i-1] + ((f.force[i-1]+f.force[i])/2-w)/mass/fineHz
	}
	on, down, low, off := rec.Sample(truth.OnsetS), rec.Sample(truth.PeakDownVelocityS), rec.Sample(truth.LowPointS), rec.Sample(truth.TakeoffS)
	for i := low; i < off; i++ {
		f.peakForceN = math.Max(f.peakForceN, f.force[i])
		f.peakPowerW = math.Max(f.peakPowerW, f.force[i]*f.velocity[i])
	}
	net := func(from, to int) float64 { return mass * (f.velocity[to] - f.velocity[from]) }
	f.unweightNs, f.brakeNs, f.propelNs = net(on, down), net(down, low), net(low, off)
	f.earlyNs, f.lateNs = net(low, (low+off)/2), net((low+off)/2, off)
	f.rises(rec.Sample(truth.MinForceS), off)
	f.lands(rec.Sample(truth.LandingS))
	return f
}

// rises finds how fast force rises from the sample of lowest force on: on the average, and at most over 20 ms. The latter
// is defined on force under a mean of 20 ms, since a plate's noise is the steepest rise otherwise.
func (f *fine) rises(least, off int) {
	top := highest(f.force, least, off)
	f.meanRiseNs = (f.force[top] - f.force[least]) / float64(top-least) * fineHz
	step := int(0.02 * fineHz)
	smooth := series.MovingMean(f.force, step/2)
	for i := least; i+step <= top; i++ {
		f.riseNs = math.Max(f.riseNs, (smooth[i+step]-smooth[i])/0.02)
	}
}

// lands finds the peak of the landing, the time to it, and the time until force stays within 5 % of body weight for 1 s.
func (f *fine) lands(landing int) {
	peak := highest(f.force, landing, landing+int(0.5*fineHz))
	f.landingPeakN = f.force[peak]
	f.toPeakS = f.rec.TimeS(float64(peak)) - f.truth.LandingS
	f.loadNs = f.landingPeakN / f.toPeakS
	settled := landing
	for i := landing; i < settled+int(fineHz) && i < len(f.force); i++ {
		if math.Abs(f.force[i]-f.truth.BodyWeightN) > 0.05*f.truth.BodyWeightN {
			settled = i + 1
		}
	}
	f.settleS = f.rec.TimeS(float64(settled)) - f.truth.LandingS
}

// highest returns the sample of the largest of x in [from, to).
func highest(x []float64, from, to int) int {
	top := from
	for i := from; i < to; i++ {
		if x[i] > x[top] {
			top = i
		}
	}
	return top
}

// TestFineGrid holds the fine grid itself against what is known without any grid: velocity is zero at the low point, and at
// takeoff the one that the jump was made with.
func TestFineGrid(t *testing.T) {
	for _, j := range smoothJumps(1000) {
		f := finely(j)
		// files carry 0.01 N a plate, hence some 0.00002 m/s; a step of the grid at 1 g is 0.0005 m/s
		near(t, "velocity at the low point", f.velocity[f.rec.Sample(f.truth.LowPointS)], 0, 1.6*gravity/fineHz)
		near(t, "takeoff velocity", f.velocity[f.rec.Sample(f.truth.TakeoffS)], f.truth.TakeoffVelocityMS, gravity/fineHz+2e-5)
	}
}

// An answer is what a metric of a smooth jump should be, and how near it must come.
type answer struct{ want, tolerance float64 }

// rel is an answer with a relative tolerance.
func rel(want, share float64) answer { return answer{want, share * math.Abs(want)} }

// smoothAnswers are the answers for every metric at a sampling rate.
func smoothAnswers(j simulate.Jump, f fine) map[string]answer {
	t, step := f.truth, 1/j.RateHz
	w := t.BodyWeightN
	brakeS := t.LowPointS - t.PeakDownVelocityS
	contactS, flightS := t.TakeoffS-t.OnsetS, t.LandingS-t.TakeoffS
	// A peak lies up to half a sample from the nearest sample and falls off with the square of that: quarter is one at
	// 240 Hz. 0.01 % is left for the two decimals of a file and the steps of the fine grid.
	quarter := 240 * step * 240 * step
	top := func(want, share float64) answer { return rel(want, share*quarter+1e-4) }
	const (
		takeoffS = 0.0005 // takeoff, carried to the unloaded level: 0.3 ms and its share of the landing's rounding
		landingS = 0.0016 // landing: the foot rolls on softly, where 2 ms is the goal
		onsetS   = 0.006  // onset of a start as smooth as this, where 12 ms is the goal
	)
	// Force passes body weight with a corner, where a slope of fall meets one of rise. Under a mean of half-width h it
	// passes earlier by h (1-r)/(1+r), r^2 the ratio of the slopes (both straight near it, else a fifth more).
	r := math.Sqrt(6.75 * j.DipG / j.DipS / (math.Pi / 2 * j.BrakeG / brakeS))
	cornerS := 1.2 * 0.01 * math.Abs(1-r) / (1 + r)
	flight := (takeoffS + landingS + 0.15*step) / flightS
	height := 4 * gravity * takeoffS / t.TakeoffVelocityMS // at takeoff force is nearly gone: dv = g dt
	return map[string]answer{
		"body_weight_n": {w, 0.01}, "body_mass_kg": {j.MassKg, 0.01 / gravity}, // what a file rounds to
		"takeoff_velocity_ms": rel(t.TakeoffVelocityMS, height/2), "jump_height_m": rel(t.JumpHeightM, height),
		"flight_time_s": rel(flightS, flight), "flight_height_m": rel(t.FlightHeightM, 2*flight),
		"time_to_takeoff_s": {contactS, onsetS}, "depth_m": top(t.DepthM, 6e-4),
		"rsi_modified":             rel(t.JumpHeightM/contactS, height+onsetS/contactS),
		"flight_contraction_ratio": rel(flightS/contactS, flight+onsetS/contactS),
		"peak_propulsion_force_n":  top(f.peakForceN, 5e-4), "peak_power_w": top(f.peakPowerW, 0.0025), "peak_power_wkg": top(f.peakPowerW/j.MassKg, 0.0025),
		"force_at_low_point_n": rel(w*(1+j.BrakeG), 0.003), // the mean of 20 ms rounds the corner between braking and propulsion
		"braking_rfd_ns":       rel(w*j.BrakeG/brakeS, 0.004+cornerS/brakeS),
		// what is lost around the corner is second order: its time times the force there, which is nearly body weight
		"unweighting_impulse_ns": rel(f.unweightNs, 0.001), "braking_impulse_ns": rel(f.brakeNs, 0.001),
		"propulsion_impulse_ns": rel(f.propelNs, height/2), "early_propulsion_impulse_ns": rel(f.earlyNs, 0.002), // half the takeoff's error moves the middle
		"late_propulsion_impulse_ns": rel(f.lateNs, 0.006),       // the takeoff's error whole, on the smaller half
		"mean_rise_ns":               rel(f.meanRiseNs, 0.018),   // the 20 ms mean lowers the peak and moves it along the top
		"peak_rise_ns":               rel(f.riseNs, 0.01+4*step), // 20 ms in whole samples
		"landing_peak_force_n":       top(f.landingPeakN, 0.008), "landing_loading_rate_ns": rel(f.loadNs, 0.004+(landingS+0.65*step)/f.toPeakS),
		"time_to_stabilisation_s": {f.settleS, landingS + step},
		"humps":                   {float64(j.Humps), 0}, "ripples": {0, 0},
		"braking_asymmetry_pct": {t.PropulsionAsymmetryPct, 0.01}, "propulsion_asymmetry_pct": {t.PropulsionAsymmetryPct, 0.01}, // two decimals
		"early_propulsion_asymmetry_pct": {t.PropulsionAsymmetryPct, 0.01}, "late_propulsion_asymmetry_pct": {t.PropulsionAsymmetryPct, 0.01},
		"landing_asymmetry_pct": {t.PropulsionAsymmetryPct, 0.01},
	}
}

// TestSmoothForm holds every metric of smooth jumps against the equations of motion, at four rates. A metric without an
// answer here fails.
func TestSmoothForm(t *testing.T) {
	for _, rate := range []float64{240, 500, 1000, 2000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			nearest := map[string]float64{} // the largest error as a share of its tolerance
			for _, j := range smoothJumps(rate) {
				rec, _ := simulate.Record(j)
				r, answers := analysed(t, rec), smoothAnswers(j, finely(j))
				for _, m := range curve.Metrics() {
					a, ok := answers[m.Key]
					if !ok {
						t.Fatalf("no known answer for %s", m.Key)
					}
					got := r.Metric(m.Key).Value
					near(t, fmt.Sprintf("jump %d: %s", j.Seed, m.Key), got, a.want, a.tolerance)
					if a.tolerance > 0 {
						nearest[m.Key] = math.Max(nearest[m.Key], math.Abs(got-a.want)/a.tolerance)
					}
				}
			}
			for key, share := range nearest {
				t.Logf("%-32s %3.0f %% of the tolerance", key, 100*share)
			}
		})
	}
}

// TestSides: 600 N left and 500 N right are (600-500)/(600+500) = 9.0909 %, in every phase.
func TestSides(t *testing.T) {
	c := curvetest.Analytic()
	c.LeftShare = 600.0 / 1100
	r := analysed(t, c.Recording())
	n := 0
	for _, m := range curve.Metrics() {
		if m.Unit == "%" {
			near(t, m.Key, r.Metric(m.Key).Value, 9.0909, 5e-5) // the digits printed
			n++
		}
	}
	if n != 5 {
		t.Errorf("%d asymmetries", n)
	}
}

// TestRipple puts two dips into the flat push of the analytic jump, which leave two tops in it. The dips' depth, in per
// cent of the peak force of 2 W, says what the tops are: nothing below 0.8 %, a ripple up to 2.5 %, humps from there. The
// mean of 20 ms takes (20/100)^2 pi^2/6 = 7 % of a raised cosine of 0.1 s.
func TestRipple(t *testing.T) {
	for _, c := range []struct{ dipPct, humps, ripples float64 }{{0, 1, 0}, {0.6, 1, 0}, {1.2, 1, 1}, {2.2, 1, 1}, {3.2, 2, 0}, {10, 2, 0}} {
		closed := curvetest.Analytic()
		k := closed.Known()
		rec := closed.Recording()
		for i := range rec.Total {
			for _, at := range []float64{0.08, 0.2} {
				x := (rec.TimeS(float64(i)) - k.LowPointS - at) / 0.05
				if math.Abs(x) < 1 {
					dip := c.dipPct / 100 * 2 * k.WeightN * (1 + math.Cos(math.Pi*x)) / 2
					rec.Left[i], rec.Total[i] = rec.Left[i]-dip, rec.Total[i]-dip
				}
			}
		}
		r := analysed(t, rec)
		near(t, fmt.Sprintf("humps with a dip of %g %%", c.dipPct), r.Metric("humps").Value, c.humps, 0)
		near(t, fmt.Sprintf("ripples with a dip of %g %%", c.dipPct), r.Metric("ripples").Value, c.ripples, 0)
	}
}
