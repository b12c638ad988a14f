package curve

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plateside/curve/series"
)

// recorded reads the last column of a recording that lies beside the project; the test is skipped where it is absent.
func recorded(t *testing.T, name string, rateHz float64) *Recording {
	t.Helper()
	path := filepath.Join("..", "..", "shared", "recordings", name)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Skipf("the measured recordings are kept beside the project, not in it: %v", err)
	}
	rec := &Recording{Name: name, RateHz: rateHz}
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		cells := strings.Fields(line)
		if v, err := strconv.ParseFloat(cells[len(cells)-1], 64); err == nil {
			rec.Total = append(rec.Total, v)
		}
	}
	return rec
}

// TestWorkedExample repeats, step by step and in its order, the published worked example on the recording GRFZjump:
// M. Duarte, R. N. Watanabe, Notes on Scientific Computing for Biomechanics and Motor Control, notebook "Biomechanical
// analysis of vertical jumps" (CC BY 4.0). g = 9.8 m/s2; weight from the first 0.1 s before the minimum is subtracted;
// first and last sample below 10 N after it; start at the first force below 95 % of that weight. The printed figures are
// takeoff 0.907 s, landing 1.323 s, height 0.213 m, start 0.188 s, low point 0.438 s after the start.
func TestWorkedExample(t *testing.T) {
	rec := recorded(t, "GRFZjump.txt", 600)
	const g = 9.8
	weight := series.Mean(rec.Total[:60])
	force := slices.Clone(rec.Total)
	least := slices.Min(force)
	for i := range force {
		force[i] -= least
	}
	takeoff := slices.IndexFunc(force, func(f float64) bool { return f < 10 })
	landing := len(force) - 1
	for force[landing] >= 10 {
		landing--
	}
	onset := slices.IndexFunc(force, func(f float64) bool { return f < 0.95*weight })
	flight := float64(landing-takeoff) / 600
	mo := motionFrom(force, 0, len(force), start{float64(onset), weight}, 600, g)
	rise := slices.IndexFunc(mo.VelocityMS[onset+30:], func(v float64) bool { return v > 0 }) + onset + 30
	for _, c := range []struct {
		what                 string
		got, want, tolerance float64
	}{
		// the digits printed; one sample is 0.0017 s
		{"weight, N", weight, 628.326, 5e-4}, {"takeoff, s", float64(takeoff) / 600, 0.907, 5e-4}, {"landing, s", float64(landing) / 600, 1.323, 5e-4},
		{"height from flight time, m", g * flight * flight / 8, 0.213, 5e-4}, {"start, s", float64(onset) / 600, 0.188, 5e-4},
		{"low point after the start, s", float64(rise-onset) / 600, 0.438, 1e-3},
		// worked out from the notebook's steps with a general-purpose numerical library
		{"takeoff velocity, m/s", mo.VelocityMS[takeoff], 2.2372, 0.008}, {"lowest velocity, m/s", slices.Min(mo.VelocityMS[:takeoff]), -0.8772, 0.003},
		{"depth, m", slices.Min(mo.DisplacementM[:takeoff]), -0.2251, 0.002},
	} {
		if !(math.Abs(c.got-c.want) <= c.tolerance) {
			t.Errorf("%s is %.4f, want %.4f", c.what, c.got, c.want)
		}
	}
}

// TestWorkedExampleByOurMethod: the program's own way through the same recording lands where the published one does, as
// far as two methods can agree. Takeoff is carried to the unloaded level, so it lies within a few milliseconds of the
// first sample below 10 N; a stance of 0.15 s cannot be weighed well, and the half-width must own up to it.
func TestWorkedExampleByOurMethod(t *testing.T) {
	reps, err := Analyse(recorded(t, "GRFZjump.txt", 600), DefaultMethod())
	if err != nil || len(reps) != 1 {
		t.Fatalf("%d reps, %v", len(reps), err)
	}
	r := reps[0]
	within := func(what string, got, want, tolerance float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s is %.4f, want %.4f ± %.4f", what, got, want, tolerance)
		}
	}
	within("takeoff", r.Landmarks.TakeoffS, 0.905, 0.003) // two samples
	within("landing", r.Landmarks.LandingS, 1.328, 0.003)
	within("flight height", r.Metric("flight_height_m").Value, 0.2195, 0.004) // two samples of flight
	within("low point", r.Landmarks.LowPointS, 0.188+0.438, 0.015)
	h := r.Metric("jump_height_m")
	within("jump height", h.Value, (0.2554+0.2312)/2, 0.02) // the two published weights give 0.2554 and 0.2312
	if h.PlusMinus < 0.02 {
		t.Errorf("the half-width of jump height is %.3f m after 0.15 s of stance", h.PlusMinus)
	}
	if s := r.Signs.Stance.StandingS; s > 0.2 {
		t.Errorf("stance of %.2f s", s)
	}
}

// TestRealJump goes through a good real jump (jump1, 450 Hz, small forces clamped to zero by the exporter). Expected
// values were worked out with a general-purpose numerical library: quietest second 692.60 N, onset by 5 SD, takeoff at
// the first sample below 10 N; flight 248 samples; velocity at touch-down -2.755 m/s; landing peak 4696.75 N.
func TestRealJump(t *testing.T) {
	reps, err := Analyse(recorded(t, "jump1.txt", 450), DefaultMethod())
	if err != nil || len(reps) != 1 {
		t.Fatalf("%d reps, %v", len(reps), err)
	}
	r := reps[0]
	for _, c := range []struct {
		key             string
		want, tolerance float64
	}{
		{"body_weight_n", 692.60, 0.5}, {"body_mass_kg", 70.63, 0.05}, {"takeoff_velocity_ms", 2.645, 0.03}, {"jump_height_m", 0.3568, 0.006},
		{"depth_m", 0.325, 0.012}, {"force_at_low_point_n", 1354.2, 25}, {"peak_power_w", 3600, 60},
		{"flight_time_s", 248.0 / 450, 2.5 / 450}, {"landing_peak_force_n", 4696.75, 0.01}, {"humps", 1, 0},
	} {
		if got := r.Metric(c.key).Value; !(math.Abs(got-c.want) <= c.tolerance) {
			t.Errorf("%s is %.4f, want %.4f ± %.4f", c.key, got, c.want, c.tolerance)
		}
	}
}
