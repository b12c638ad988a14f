package curve

// A first look at the plates, from a recording in which nobody jumps.
//
//	F |  ..:.:..::.:.:..::..     zero   = the mean
//	  |.::.:.:..::.:.::..:.      noise  = what changes from sample to sample
//	0 |---------------------     drift  = the slope
//	                             hum    = a sine of the mains' frequency in the noise
//
// Each of these moves a number that somebody will act on: a zero of 5 N is half the takeoff threshold, noise widens the
// band of the onset, drift of 1 N a minute is a millimetre of jump height between two reps, and hum says that a cable or
// an earth is wrong. They are told and not removed from recordings.

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"plateside/curve/series"
)

// A PlateBaseline is what one plate, or their total, reads when it is left alone. Values that could not be determined say
// why.
type PlateBaseline struct {
	// Plate is "left", "right" or "total".
	Plate string
	// ZeroN is the mean reading in newtons, with the half-width that noise and slow waver give it. With a known load it
	// is the reading under that load.
	ZeroN Value
	// NoiseN is the standard deviation of what is independent from sample to sample, in newtons; a hum that was found is
	// not part of it.
	NoiseN Value
	// DriftNPerMin is the slope of the reading in newtons a minute, with its 95 % half-width. A drift that is smaller
	// than its half-width was not seen.
	DriftNPerMin Value
	// HumHz is the frequency of the mains hum, 50 or 60; 0 where none stands out, NaN where it cannot be told.
	HumHz float64
	// HumN is the amplitude of that hum in newtons (half of peak to peak); 0 where none stands out.
	HumN Value
	// HumLimitN is the amplitude from which a hum would have stood out, in newtons; NaN where none can be told.
	HumLimitN float64
	// ErrorN and ErrorPct are the reading less the known load, in newtons and in per cent of the load; the zero is part
	// of it. Unknown without a load.
	ErrorN, ErrorPct Value
}

const (
	// baselineLeastS is the shortest baseline, in seconds: one second is the shortest stretch in which a hum can be told
	// from its neighbours 3 Hz away (project default).
	baselineLeastS = 1.0
	// baselineMovesN and baselineMovesShare are how far the reading may wander within a baseline, in newtons and as a
	// share of the load: beyond it somebody is on the plates or puts a weight down (project default; a warming plate
	// drifts by a few newtons an hour).
	baselineMovesN, baselineMovesShare = 20.0, 0.05
	// baselineBlocks is the number of stretches whose means the drift is taken from, fewer than samples: what wavers
	// faster than a block then counts as the scatter it is (project default).
	baselineBlocks = 20
	// loadedShare and emptyShare say on which plate a known load stands: one reads nearly all of it, the other nearly
	// nothing.
	loadedShare, emptyShare = 0.9, 0.05
)

// Baseline measures a recording of plates that are left alone: empty for a loadN of 0, else under a known load of loadN
// newtons. It returns a row for left and right where the recording tells them apart, and always one for the total.
//
//	zero  = mean F,  noise = sd of second differences / sqrt(6),  drift = least-squares slope of 20 block means
//
// The error says why the recording is no baseline: shorter than a second, a negative or unknown load, a load on plates
// that should be empty, a reading that moves. Samples that are not finite are left out; a plate with less than a second
// of others gives unknown values, and so does a drift in fewer than three blocks.
//
// With a known load the error of a single plate is known only where the whole load stands on it.
func Baseline(rec *Recording, loadN float64) ([]PlateBaseline, error) {
	switch {
	case !(loadN >= 0) || math.IsInf(loadN, 1):
		return nil, fmt.Errorf("a load of %g N cannot be known", loadN)
	case !(rec.RateHz > 0) || float64(len(rec.Total)) < baselineLeastS*rec.RateHz:
		return nil, errors.New("it is shorter than the second that a baseline needs")
	}
	if err := leftAlone(rec, loadN); err != nil {
		return nil, err
	}
	var rows []PlateBaseline
	if rec.HasSides() {
		rows = append(rows, plateBaseline("left", rec.Left, rec.RateHz), plateBaseline("right", rec.Right, rec.RateHz))
	}
	rows = append(rows, plateBaseline("total", rec.Total, rec.RateHz))
	for i := range rows {
		rows[i].against(loadN, rows)
	}
	return rows, nil
}

// leftAlone returns an error where somebody or something is on plates that should be empty, or moves.
func leftAlone(rec *Recording, loadN float64) error {
	level := series.Median(finiteOf(rec.Total))
	if loadN == 0 && level >= leastLoadN {
		return fmt.Errorf("the plates are not empty: they read %.0f N; a known load has to be given", level)
	}
	least, most := math.Inf(1), math.Inf(-1)
	block := max(1, int(math.Round(rec.RateHz/4)))
	for i := 0; i+block <= len(rec.Total); i += block {
		if m := series.Mean(finiteOf(rec.Total[i : i+block])); !math.IsNaN(m) {
			least, most = math.Min(least, m), math.Max(most, m)
		}
	}
	if most-least > baselineMovesN+baselineMovesShare*loadN {
		return fmt.Errorf("the reading moves between %.0f and %.0f N: a baseline needs plates that are left alone", least, most)
	}
	return nil
}

func finiteOf(x []float64) []float64 {
	out := make([]float64, 0, len(x))
	for _, v := range x {
		if finite(v) {
			out = append(out, v)
		}
	}
	return out
}

// plateBaseline measures one plate; the error against a load is left open.
func plateBaseline(name string, x []float64, rateHz float64) PlateBaseline {
	b := PlateBaseline{Plate: name, HumHz: math.NaN(), HumLimitN: math.NaN()}
	there := finiteOf(x)
	if float64(len(there)) < baselineLeastS*rateHz {
		why := unknown("less than a second of its samples is there")
		b.ZeroN, b.NoiseN, b.DriftNPerMin, b.HumN = why, why, why, why
		return b
	}
	b.HumHz, b.HumN, b.HumLimitN = mainsHum(x, rateHz)
	noise := noiseBetweenGaps(x)
	if b.HumHz > 0 {
		// A second difference multiplies a sine by 2 - 2 cos(w); six is what it does to the variance of noise.
		gain := 2 - 2*math.Cos(2*math.Pi*b.HumHz/rateHz)
		noise = math.Sqrt(math.Max(0, noise*noise-b.HumN.Value*b.HumN.Value/2*gain*gain/6))
	}
	b.NoiseN = exact(noise)
	if math.IsNaN(noise) {
		b.NoiseN = unknown("there are never three samples in a row")
	}
	drift, zeroHalf := drift(x, rateHz)
	b.DriftNPerMin = drift
	b.ZeroN = Value{Value: series.Mean(there), PlusMinus: zeroHalf}
	return b
}

// noiseBetweenGaps is series.WhiteNoiseSD over the stretches without a gap; NaN where none is three samples long.
func noiseBetweenGaps(x []float64) float64 {
	sum, n := 0.0, 0
	for i := 0; i < len(x); i++ {
		j := i
		for j < len(x) && finite(x[j]) {
			j++
		}
		if j-i >= 3 {
			sd := series.WhiteNoiseSD(x[i:j])
			sum, n = sum+sd*sd*float64(j-i-2), n+j-i-2
		}
		i = j
	}
	return math.Sqrt(sum / float64(n)) // 0/0 is NaN
}

// drift returns the slope of x in newtons a minute by the least-squares line through the means of blocks, with the
// half-width t(n-2) times its standard error; and the half-width of the level of that line. A block of which more than
// half is missing is left out.
func drift(x []float64, rateHz float64) (slope Value, levelHalfN float64) {
	var at, mean []float64
	for k := range baselineBlocks {
		lo, hi := k*len(x)/baselineBlocks, (k+1)*len(x)/baselineBlocks
		there := finiteOf(x[lo:hi])
		if len(there) == 0 || 2*len(there) < hi-lo {
			continue
		}
		at, mean = append(at, float64(lo+hi)/2/rateHz), append(mean, series.Mean(there))
	}
	n := float64(len(at))
	if n < 3 {
		return unknown("too many samples are missing to see a drift"), math.NaN()
	}
	a, b := stat.LinearRegression(at, mean, nil, false)
	left, spread := 0.0, 0.0
	centre := series.Mean(at)
	for i := range at {
		e := mean[i] - a - b*at[i]
		left, spread = left+e*e, spread+(at[i]-centre)*(at[i]-centre)
	}
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 2}.Quantile(0.975) * math.Sqrt(left/(n-2))
	return Value{Value: 60 * b, PlusMinus: 60 * half / math.Sqrt(spread)}, half / math.Sqrt(n)
}

// against fills in the error against a known load.
func (b *PlateBaseline) against(loadN float64, rows []PlateBaseline) {
	why := ""
	switch {
	case loadN == 0:
		why = "no load was given"
	case !b.ZeroN.Known():
		why = b.ZeroN.Why
	case b.Plate != "total" && !b.bears(loadN, rows):
		why = "the load does not stand on this plate alone"
	}
	if why != "" {
		b.ErrorN, b.ErrorPct = unknown(why), unknown(why)
		return
	}
	b.ErrorN = Value{Value: b.ZeroN.Value - loadN, PlusMinus: b.ZeroN.PlusMinus}
	b.ErrorPct = b.ErrorN.times(100 / loadN)
}

// bears reports whether the whole load stands on a plate: it reads nearly all of it and the other nearly nothing.
func (b *PlateBaseline) bears(loadN float64, rows []PlateBaseline) bool {
	for _, other := range rows {
		if other.Plate != b.Plate && other.Plate != "total" && !(math.Abs(other.ZeroN.Value) < emptyShare*loadN) {
			return false
		}
	}
	return b.ZeroN.Value > loadedShare*loadN
}
