package curve_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"plateside/curve"
)

// A still is a made recording of plates that are left alone.
type still struct {
	seconds, rateHz     float64
	leftN, rightN       float64 // what they read
	noiseN              float64 // of each plate
	driftNPerMin        float64 // of the left plate
	humHz, humN, phase  float64 // on the right plate
	waverN, waverPeriod float64 // on the right plate
	seed                uint64
}

func (s still) recording() *curve.Recording {
	rng := rand.New(rand.NewPCG(s.seed, 0x7a65726f))
	rec := &curve.Recording{RateHz: s.rateHz}
	for i := range int(s.seconds * s.rateHz) {
		t := float64(i) / s.rateHz
		l := s.leftN + s.driftNPerMin*(t-s.seconds/2)/60 + s.noiseN*rng.NormFloat64()
		r := s.rightN + s.humN*math.Sin(2*math.Pi*s.humHz*t+s.phase) + s.noiseN*rng.NormFloat64()
		if s.waverPeriod > 0 {
			r += s.waverN * math.Sin(2*math.Pi*t/s.waverPeriod)
		}
		rec.Left, rec.Right, rec.Total = append(rec.Left, l), append(rec.Right, r), append(rec.Total, l+r)
	}
	return rec
}

func baseline(t *testing.T, rec *curve.Recording, loadN float64) map[string]curve.PlateBaseline {
	t.Helper()
	rows, err := curve.Baseline(rec, loadN)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]curve.PlateBaseline{}
	for _, r := range rows {
		out[r.Plate] = r
	}
	return out
}

// Thirty seconds of empty plates with known zero, noise and drift. A mean of 30,000 samples of 1.5 N scatters by 0.009 N,
// four of which are 0.035; an SD from second differences by sd/2 sqrt(35/9/30000) = 0.6 %, four are 2.3 %; the slope by
// sqrt(12) 1.5/sqrt(30000)/30 s = 0.001 N/s, hence 0.06 N a minute, four are 0.25.
func TestBaselineOfEmptyPlates(t *testing.T) {
	for seed := range uint64(5) {
		b := baseline(t, still{seconds: 30, rateHz: 1000, leftN: 4.2, rightN: -1.3, noiseN: 1.5, driftNPerMin: 3, seed: seed}.recording(), 0)
		for plate, want := range map[string]struct{ zero, noise, drift float64 }{
			"left": {4.2, 1.5, 3}, "right": {-1.3, 1.5, 0}, "total": {2.9, 1.5 * math.Sqrt2, 3},
		} {
			near(t, plate+" zero", b[plate].ZeroN.Value, want.zero, 0.05)
			near(t, plate+" noise", b[plate].NoiseN.Value, want.noise, 0.023*want.noise)
			near(t, plate+" drift", b[plate].DriftNPerMin.Value, want.drift, 0.25*math.Sqrt2)
			if b[plate].ErrorN.Known() || b[plate].ErrorN.Why == "" {
				t.Errorf("%s: an error without a load: %+v", plate, b[plate].ErrorN)
			}
		}
	}
}

// The half-widths of zero and drift hold the truth in 95 % of cases: of 400 each, 19 or 20 of 20 on the average; three
// standard deviations of that are 3.3 %. A waver with a period of a tenth of the recording is no noise, yet the scatter
// of block means owns up to it, with room.
func TestBaselineHalfWidths(t *testing.T) {
	const runs = 400
	for name, s := range map[string]still{"white": {}, "wavering": {waverN: 1, waverPeriod: 1}} {
		s.seconds, s.rateHz, s.leftN, s.rightN, s.noiseN, s.driftNPerMin = 10, 240, 3, 5, 1, 2
		zero, slope := 0, 0
		for seed := range uint64(runs) {
			s.seed = seed
			b := baseline(t, s.recording(), 0)
			plate, drift, level := b["left"], 2.0, 3.0
			if s.waverN > 0 {
				plate, drift, level = b["right"], 0, 5
			}
			if math.Abs(plate.ZeroN.Value-level) <= plate.ZeroN.PlusMinus {
				zero++
			}
			if math.Abs(plate.DriftNPerMin.Value-drift) <= plate.DriftNPerMin.PlusMinus {
				slope++
			}
		}
		t.Logf("%s: zero held in %.1f %%, drift in %.1f %%", name, 100*float64(zero)/runs, 100*float64(slope)/runs)
		least, most := 0.917*runs, 0.983*runs
		if s.waverN > 0 {
			most = runs
		}
		if float64(zero) < least || float64(zero) > most || float64(slope) < least || float64(slope) > most {
			t.Errorf("%s: zero held in %d of %d, drift in %d", name, zero, runs, slope)
		}
	}
}

// The drift and its half-width as a general-purpose library computes them: testdata/scipy/expected.json.
func TestBaselineDriftAgainstSciPy(t *testing.T) {
	data, err := os.ReadFile("../testdata/scipy/expected.json")
	if err != nil {
		t.Fatal(err)
	}
	var e struct {
		Drift struct {
			X           []float64 `json:"x"`
			RateHz      float64   `json:"rate_hz"`
			SlopePerMin float64   `json:"slope_per_min"`
			HalfPerMin  float64   `json:"half_per_min"`
		} `json:"drift"`
	}
	if err := json.Unmarshal(data, &e); err != nil {
		t.Fatal(err)
	}
	b := baseline(t, &curve.Recording{RateHz: e.Drift.RateHz, Total: e.Drift.X}, 0)["total"]
	near(t, "drift", b.DriftNPerMin.Value, e.Drift.SlopePerMin, 1e-9) // rounding
	near(t, "half-width", b.DriftNPerMin.PlusMinus, e.Drift.HalfPerMin, 1e-9*e.Drift.HalfPerMin+1e-9)
	if b.HumN.Known() || !math.IsNaN(b.HumHz) {
		t.Errorf("hum at 50 Hz sampling: %g Hz, %+v", b.HumHz, b.HumN)
	}
}

// No hum where there is none: of 100 recordings at least 95 report none on any plate. At a chance of one in a thousand
// for two frequencies of three plates, less than one is expected.
func TestNoHum(t *testing.T) {
	for _, s := range []still{{seconds: 10, rateHz: 1000}, {seconds: 3, rateHz: 240}, {seconds: 1, rateHz: 500}} {
		t.Run(fmt.Sprintf("%g s at %g Hz", s.seconds, s.rateHz), func(t *testing.T) {
			clean := 0
			for seed := range uint64(100) {
				s.noiseN, s.seed = 1.5, seed
				none := true
				for plate, b := range baseline(t, s.recording(), 0) {
					if !b.HumN.Known() || !(b.HumLimitN > 0) {
						t.Fatalf("%s: %+v", plate, b)
					}
					if b.HumHz != 0 {
						none = false
					} else if b.HumN.Value != 0 {
						t.Errorf("%s: %g N of no hum", plate, b.HumN.Value)
					}
				}
				if none {
					clean++
				}
			}
			t.Logf("%d of 100 without hum", clean)
			if clean < 95 {
				t.Errorf("only %d of 100 recordings of noise are without hum", clean)
			}
		})
	}
}

// A hum of 1 N in noise of 1.5 N is found on the plate that has it and on the total, not on the other; with its frequency
// and amplitude. An amplitude in noise sd over n samples scatters by sd sqrt(2/n), 0.04 N in 3 s at 1000 Hz; a Hann window
// and what is taken off for noise make that half as much again; four of them, and the 2 % that a frequency between the
// lines of a second loses. Hum on the other plate is a false alarm: of 100 recordings, 0.2 are expected.
func TestHumIsFound(t *testing.T) {
	alarms := 0
	for _, rate := range []float64{240, 500, 1000, 1200.5, 2000} {
		for _, hz := range []float64{49.8, 50, 50.2, 59.95, 60} {
			for k := range uint64(4) {
				seed := k + 4*uint64(10*hz) + 10000*uint64(rate)
				s := still{seconds: 3, rateHz: rate, noiseN: 1.5, humHz: hz, humN: 1, phase: float64(k), seed: seed}
				b := baseline(t, s.recording(), 0)
				for _, plate := range []string{"right", "total"} {
					sd := 1.5
					if plate == "total" {
						sd *= math.Sqrt2
					}
					what := fmt.Sprintf("%s at %g Hz, hum of %g Hz", plate, rate, hz)
					near(t, what+": frequency", b[plate].HumHz, math.Round(hz/10)*10, 0)
					near(t, what+": amplitude", b[plate].HumN.Value, 1, 4*1.5*sd*math.Sqrt(2/(3*rate))+0.02)
					near(t, what+": noise without it", b[plate].NoiseN.Value, sd, 4*sd/2*math.Sqrt(35.0/9/(3*rate))+0.01)
				}
				if b["left"].HumHz != 0 {
					alarms++
				}
			}
		}
	}
	if alarms > 3 {
		t.Errorf("hum in %d of 100 recordings on the plate without", alarms)
	}
}

// The limit that is reported keeps its word: half of it is mostly not found, twice of it always, in 100 recordings each.
func TestHumLimit(t *testing.T) {
	s := still{seconds: 3, rateHz: 500, noiseN: 1.5, humHz: 50}
	limit := baseline(t, s.recording(), 0)["right"].HumLimitN
	found := func(n float64) (many int) {
		for seed := range uint64(100) {
			s.humN, s.seed, s.phase = n, seed+100, float64(seed)
			if baseline(t, s.recording(), 0)["right"].HumHz == 50 {
				many++
			}
		}
		return many
	}
	half, twice := found(limit/2), found(2*limit)
	t.Logf("limit %.3f N: half of it found in %d of 100, twice in %d", limit, half, twice)
	if half > 20 || twice < 99 {
		t.Errorf("half the limit of %.3f N is found in %d of 100, twice in %d", limit, half, twice)
	}
}

// Other sines are no hum: 47, 55, 100 Hz, nor a slow waver; hum without any noise is.
func TestOtherSines(t *testing.T) {
	for _, hz := range []float64{5, 47, 53, 55, 100, 240} {
		b := baseline(t, still{seconds: 5, rateHz: 1000, noiseN: 0.5, humHz: hz, humN: 3, seed: 1}.recording(), 0)["right"]
		if b.HumHz != 0 {
			t.Errorf("a sine of %g Hz is called a hum of %g Hz", hz, b.HumHz)
		}
	}
	b := baseline(t, still{seconds: 5, rateHz: 1000, humHz: 50, humN: 0.5}.recording(), 0)["right"]
	near(t, "hum of a noiseless plate", b.HumN.Value, 0.5, 1e-6) // rounding and the window's far lobes
	b = baseline(t, still{seconds: 5, rateHz: 240, humHz: 60, humN: 2}.recording(), 0)["right"]
	near(t, "noise of a noiseless plate that hums", b.NoiseN.Value, 0, 0.002) // the root of what rounding leaves of 2 N
	b = baseline(t, still{seconds: 5, rateHz: 1000, rightN: 5.3}.recording(), 0)["right"]
	near(t, "hum of a constant", b.HumHz, 0, 0)
	near(t, "noise of a constant", b.NoiseN.Value, 0, 1e-9) // rounding
}

// At 100 Hz nothing can be said of 50 and 60 Hz, nor at 120, where 60 is its own mirror image.
func TestHumNeedsARate(t *testing.T) {
	for _, rate := range []float64{50, 100, 110, 120, 132} {
		b := baseline(t, still{seconds: 5, rateHz: rate, noiseN: 1.5}.recording(), 0)["left"]
		if b.HumN.Known() || !math.IsNaN(b.HumHz) || !math.IsNaN(b.HumLimitN) || !strings.Contains(b.HumN.Why, fmt.Sprint(rate)) {
			t.Errorf("at %g Hz: %g Hz, %+v", rate, b.HumHz, b.HumN)
		}
		if !b.ZeroN.Known() || !b.NoiseN.Known() || !b.DriftNPerMin.Known() {
			t.Errorf("at %g Hz: %+v", rate, b)
		}
	}
}

func TestBaselineUnderALoad(t *testing.T) {
	// 196.13 N is 20 kg at standard gravity; the plate reads 1 % too much and has a zero of 0.5 N.
	const load = 20 * curve.StandardGravityMS2
	on := still{seconds: 10, rateHz: 1000, leftN: 1.01*load + 0.5, rightN: 0.2, noiseN: 1, seed: 3}
	b := baseline(t, on.recording(), load)
	near(t, "error of the left plate", b["left"].ErrorN.Value, 0.01*load+0.5, 0.05) // four standard errors of a mean of 10,000
	near(t, "in per cent", b["left"].ErrorPct.Value, 100*(0.01*load+0.5)/load, 0.03)
	near(t, "error of the total", b["total"].ErrorN.Value, 0.01*load+0.7, 0.06)
	near(t, "its half-width in per cent", b["total"].ErrorPct.PlusMinus, b["total"].ErrorN.PlusMinus/load*100, 1e-12) // rounding
	if b["right"].ErrorN.Known() || b["right"].ErrorPct.Why == "" {
		t.Errorf("the empty plate has an error: %+v", b["right"].ErrorN)
	}
	on.leftN, on.rightN = load/2, load/2 // across both
	b = baseline(t, on.recording(), load)
	if b["left"].ErrorN.Known() || b["right"].ErrorN.Known() || !b["total"].ErrorN.Known() {
		t.Errorf("a load across both plates: %+v", b)
	}
	one := on.recording()
	one.Left, one.Right = nil, nil
	if b = baseline(t, one, load); len(b) != 1 || !b["total"].ErrorN.Known() {
		t.Errorf("one total only: %+v", b)
	}
}

// What is no baseline is refused with the reason.
func TestNoBaseline(t *testing.T) {
	empty := still{seconds: 5, rateHz: 1000, noiseN: 1}
	standing := still{seconds: 5, rateHz: 1000, leftN: 350, rightN: 350, noiseN: 1}
	step := empty.recording()
	for i := 2000; i < 4000; i++ {
		step.Left[i], step.Total[i] = step.Left[i]+60, step.Total[i]+60
	}
	jump, _ := plain(2)
	for name, c := range map[string]struct {
		rec  *curve.Recording
		load float64
		want string
	}{
		"short":            {still{seconds: 0.99, rateHz: 1000}.recording(), 0, "shorter than the second"},
		"empty":            {&curve.Recording{RateHz: 1000}, 0, "shorter"},
		"no rate":          {&curve.Recording{Total: make([]float64, 3000)}, 0, "shorter"},
		"standing":         {standing.recording(), 0, "not empty: they read 700 N"},
		"a jump":           {jump, 0, "not empty"},
		"a jump as a load": {jump, 700, "moves between"},
		"a step":           {step, 0, "moves between"},
		"negative load":    {empty.recording(), -1, "cannot be known"},
		"NaN load":         {empty.recording(), math.NaN(), "cannot be known"},
		"infinite load":    {empty.recording(), math.Inf(1), "cannot be known"},
	} {
		rows, err := curve.Baseline(c.rec, c.load)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %d rows, error %v, want %q", name, len(rows), err, c.want)
		}
	}
}

// Missing samples are left out; what cannot be told then says why.
func TestBaselineWithGaps(t *testing.T) {
	s := still{seconds: 20, rateHz: 1000, leftN: 4, rightN: 2, noiseN: 1, humHz: 50, humN: 1, driftNPerMin: 6, seed: 5}
	rec := s.recording()
	nan := math.NaN()
	for i := 3000; i < 9000; i++ {
		rec.Left[i], rec.Total[i] = nan, nan
	}
	b := baseline(t, rec, 0)
	near(t, "drift over a gap", b["left"].DriftNPerMin.Value, 6, 0.5)   // as without it, a little worse
	near(t, "noise beside a gap", b["left"].NoiseN.Value, 1, 0.03)      // as without it
	near(t, "hum beside a gap", b["total"].HumHz, 50, 0)                // on whole segments
	near(t, "hum beside a gap", b["total"].HumN.Value, 1, 0.1)          // sd sqrt(2/n) = 0.02 N, half as much again, four of them
	near(t, "the plate without a gap", b["right"].ZeroN.Value, 2, 0.03) // four standard errors
	for i := range rec.Right {
		switch {
		case i%500 == 0: // never a whole second
			rec.Right[i] = math.Inf(1)
		case i > 900:
			rec.Left[i] = nan
		}
	}
	b = baseline(t, rec, 0)
	if r := b["right"]; r.HumN.Known() || !math.IsNaN(r.HumHz) || !r.NoiseN.Known() || !r.DriftNPerMin.Known() {
		t.Errorf("a sample lost every half second: %+v", r)
	}
	for what, v := range map[string]curve.Value{"zero": b["left"].ZeroN, "noise": b["left"].NoiseN, "drift": b["left"].DriftNPerMin, "hum": b["left"].HumN} {
		if v.Known() || v.Why == "" {
			t.Errorf("%s of a plate with less than a second: %+v", what, v)
		}
	}
	for i := range rec.Right {
		if i%3 == 0 {
			rec.Right[i] = nan
		}
	}
	if v := baseline(t, rec, 0)["right"].NoiseN; v.Known() || v.Why == "" {
		t.Errorf("noise without three samples in a row: %+v", v)
	}
	all := slices.Repeat([]float64{nan}, 3000)
	if v := baseline(t, &curve.Recording{RateHz: 1000, Total: all}, 0)["total"]; v.ZeroN.Known() || v.ErrorN.Known() {
		t.Errorf("nothing but NaN: %+v", v)
	}
}
