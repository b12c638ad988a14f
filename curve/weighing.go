package curve

// Body weight.
//
//	F |           fidget       still, nearest the onset             still after landing
//	W |~~~~~~~~/\/\~~~~|[ ~ ~ ~ ~ ~ weighed ~ ~ ~ ~ ~ ~]|\      ...  [~ ~ ~ ~ ~ ~]
//	  |                                                    \_/
//
// The stance is weighed over all the stillness there is right before the onset, not over a fixed second: the postural
// sway of quiet standing is slow, so a longer window holds more of its turns and its mean is nearer to the truth.
// Stillness is force within a band around the level at which the stance spends most of its time; fidgets end the window.
//
// Where the athlete stands still again after landing there is a second, sharper way: the body is at rest at both ends,
// so the mean force from rest to rest is body weight, whatever was jumped between (Newton's second law integrated; used
// for weighing in Sampling2010). It is taken only where it agrees with the stance and nothing in the recording speaks
// against it.

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"plateside/curve/series"
)

// The weighing rules.
const (
	// WeighingClosed is the mean of the still stance, sharpened by the impulse from rest to rest where it agrees.
	WeighingClosed = "stance-and-closure"
	// WeighingStance is the mean of the still stance alone (Owen 2014 over one second).
	WeighingStance = "stance"
)

// A Weighing is how body weight was got from the quiet stance.
type Weighing struct {
	// Window is the stance that was weighed, in seconds on the recording's clock.
	Window Span
	// WeightN is body weight in newtons and HalfWidthN its 95 % half-width.
	WeightN, HalfWidthN float64
	// SDN is the standard deviation of the force in the window in newtons, NoiseN the part of it that is independent
	// from sample to sample, Sway the rest.
	SDN, NoiseN float64
	Sway        series.Sway
	// RestMS is the standard deviation of the velocity that the sway means, in m/s.
	RestMS float64
	// StanceN and StanceHalfWidthN are the stance alone.
	StanceN, StanceHalfWidthN float64
	// ClosureN is the mean force from rest to rest, NaN where there is none; Closed says that it was used.
	ClosureN float64
	Closed   bool
	// Still is false where no stillness long enough was found and the window is only the best there was.
	Still bool
}

const (
	// swaySmoothS is the length of the moving mean that separates sway from plate noise, in seconds.
	swaySmoothS = 0.1
	// weighMinS is the shortest stillness that is called still, in seconds.
	weighMinS = 0.4
	// weighMaxS bounds the window: older stillness says less of the stance before this jump.
	weighMaxS = 10.0
	// normal95 is the 97.5 % point of the normal distribution.
	normal95 = 1.959964
	// tauFloorS is the least integral time of postural sway that is believed. The postural rhythm of 4-5 Hz
	// (Rhythm2022) has a quarter period of 0.06 s; slower drift is always there too (project default).
	tauFloorS = 0.08
)

// weigh takes body weight from the stance in samples [from, to) of a total without gaps. smooth is the total under a
// moving mean of swaySmoothS.
func weigh(total, smooth []float64, from, to int, rateHz float64, m Method) Weighing {
	from = max(from, to-int(weighMaxS*rateHz))
	lo, hi, still := stillest(smooth, from, to, rateHz, m)
	w := Weighing{Still: still, ClosureN: math.NaN()}
	window := total[lo:hi]
	w.StanceN = series.Mean(window)
	w.SDN = series.SD(window)
	w.NoiseN = series.WhiteNoiseSD(window)
	w.Sway = series.SwayOf(window, 1/rateHz, tauFloorS)
	w.RestMS = restVelocity(window, w.StanceN, rateHz, m.GravityMS2)
	length := float64(hi-lo) / rateHz
	variance := w.Sway.MeanVariance(length) + w.NoiseN*w.NoiseN/float64(hi-lo)
	if length < weighMinS*2 || math.IsNaN(variance) { // a short window cannot show its own sway
		usual := usualSwayShare * w.StanceN
		assumed := series.Sway{SD: usual, TauS: usualTauS}.MeanVariance(length)
		variance = math.Max(assumed, zeroIfNaN(variance))
	}
	w.StanceHalfWidthN = student95(length/(2*w.Sway.TauS)) * math.Sqrt(variance)
	w.WeightN, w.HalfWidthN = w.StanceN, w.StanceHalfWidthN
	w.Window = Span{float64(lo) / rateHz, float64(hi) / rateHz} // on the rep's own clock; the caller shifts it
	return w
}

// student95 returns the 97.5 % point of Student's distribution for a mean of that many independent values: a window that
// holds few turns of the sway cannot know its size well.
func student95(independent float64) float64 {
	freedom := math.Max(2, independent-1)
	if math.IsNaN(freedom) || math.IsInf(freedom, 0) {
		return normal95
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(0.975)
}

const (
	// usualSwayShare and usualTauS are the sway of quiet standing that is assumed where the window is too short to show
	// it: 0.36 % and 0.76 % of body weight in two real jumps, measured here; the postural rhythm is in Rhythm2022.
	usualSwayShare = 0.005
	usualTauS      = 0.15
)

func zeroIfNaN(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// stillest returns the window to weigh within [from, to): the still run nearest to the end that is long enough, else
// the longest still run, else all of the stance.
func stillest(smooth []float64, from, to int, rateHz float64, m Method) (lo, hi int, still bool) {
	if to-from < 2 {
		lo = max(0, min(from, to-2))
		return lo, min(len(smooth), lo+2), false
	}
	level := series.MidShorth(series.Thin(smooth[from:to], levelSamples))
	band := m.StillBandPct / 100 * level
	bestLo, bestHi, best := from, to, math.Inf(-1)
	for i := from; i < to; i++ {
		if math.Abs(smooth[i]-level) > band {
			continue
		}
		j := i
		for j < to && math.Abs(smooth[j]-level) <= band {
			j++
		}
		long, before := float64(j-i)/rateHz, float64(to-j)/rateHz
		if score := math.Min(long, 2) - before/2; long >= weighMinS && score > best {
			best, bestLo, bestHi = score, i, j
		}
		i = j
	}
	if math.IsInf(best, -1) {
		return from, to, false // too short or too restless to call it rest, so closure is not believed either
	}
	return bestLo, bestHi, true
}

// steady reports whether all of x lies within band of level.
func steady(x []float64, level, band float64) bool {
	for _, v := range x {
		if math.Abs(v-level) > band {
			return false
		}
	}
	return true
}

// restVelocity returns the standard deviation of the velocity that the waver of a standing force means, in m/s.
func restVelocity(window []float64, weightN, rateHz, gravity float64) float64 {
	net := make([]float64, len(window))
	for i, f := range window {
		net[i] = (f - weightN) * gravity / weightN
	}
	return zeroIfNaN(series.SD(series.CumulativeTrapezoid(net, 1/rateHz)))
}

const (
	// restVelocityMS is the least of how fast a body in quiet standing moves up and down: a sway of 0.3 % of body weight at 0.7 Hz
	// (project default, on the safe side of the two real recordings measured here).
	restVelocityMS = 0.004
	// closureShare is the least half-width, as a share of body weight, that is claimed for weighing by closure.
	closureShare = 0.0006
	// closureDisagreeShare and closureDisagree are how far closure may lie from the stance and still be taken: a share of
	// body weight beside so many of the stance's own half-widths (project defaults).
	closureDisagree      = 1.5
	closureDisagreeShare = 0.004
)

// close sharpens w by the impulse from rest to rest: before and after are still stretches in samples. The weights rise
// over the first and fall over the second (a trapezoid), which takes the mean over all pairs of rest instants.
func (w *Weighing) close(total []float64, before, after [2]int, rateHz, gravity float64) {
	sum, weights := 0.0, 0.0
	for i := before[0]; i < after[1]; i++ {
		k := math.Min(1, math.Min(float64(i-before[0]+1)/float64(before[1]-before[0]+1),
			float64(after[1]-i)/float64(after[1]-after[0]+1)))
		sum, weights = sum+k*total[i], weights+k
	}
	w.ClosureN = sum / weights
	if math.Abs(w.ClosureN-w.StanceN) > w.StanceHalfWidthN*closureDisagree+closureDisagreeShare*w.StanceN {
		return
	}
	length := weights / rateHz
	half := math.Hypot(normal95*math.Sqrt2*math.Max(restVelocityMS, w.RestMS)*w.StanceN/gravity/length, closureShare*w.StanceN)
	a, b := 1/(half*half), 1/(w.StanceHalfWidthN*w.StanceHalfWidthN)
	if math.IsInf(b, 0) || math.IsNaN(b) {
		a, b = 0, 1
	}
	w.WeightN = (a*w.ClosureN + b*w.StanceN) / (a + b)
	w.HalfWidthN = 1 / math.Sqrt(a+b)
	w.Closed = true
}
