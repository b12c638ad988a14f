package curve

import (
	"math"

	"plateside/curve/series"
)

const (
	// judgedS is how much stance before the onset is judged, in seconds: the second that published protocols weigh.
	judgedS = 1.0
	// bumpWindowS is how close before the onset a loading of its own is looked for, in seconds.
	bumpWindowS = 0.7
	// bumpSmoothS is the moving mean under which it is looked for, in seconds.
	bumpSmoothS = 0.04
	// quietShare bounds the force around body weight that belongs to no bump, as a share of body weight.
	quietShare = 0.01
)

// stanceSigns describes the stance before the onset; all NaN where there is no onset.
func (w *workings) stanceSigns() StanceSigns {
	nan := math.NaN()
	s := StanceSigns{StandingS: nan, StillS: nan, Judged: Span{nan, nan}, SwayN: nan, EarlierSwayN: nan, ShiftPct: nan,
		ShiftSpan: Span{nan, nan}, BumpN: nan, BumpSpan: Span{nan, nan}}
	if math.IsNaN(w.on) {
		return s
	}
	s.StandingS = (w.on - float64(w.stance[0])) * w.dt
	end := max(w.stance[0], int(w.on-w.m.OnsetGuardS*w.rate))
	begin := max(w.stance[0], end-int(judgedS*w.rate))
	s.StillS = w.stillBefore(end)
	if end-begin < 8 {
		return s
	}
	s.Judged = Span{w.timeS(float64(begin)), w.timeS(float64(end))}
	s.SwayN = w.swing(begin, end)
	if earlier := max(w.stance[0], begin-int(judgedS*w.rate)); begin-earlier > int(0.4*w.rate) {
		s.EarlierSwayN = w.swing(earlier, begin)
	}
	s.ShiftPct, s.ShiftSpan = w.shift(begin, end)
	s.BumpN, s.BumpSpan = w.bump(end)
	return s
}

// stillBefore returns for how long before sample end the smoothed force stays in the still band, in seconds.
func (w *workings) stillBefore(end int) float64 {
	band := w.m.StillBandPct / 100 * w.weightN
	x := series.MovingMean(w.total[w.stance[0]:end], w.half(swaySmoothS))
	i := len(x)
	for i > 0 && math.Abs(x[i-1]-w.weightN) <= band {
		i--
	}
	return float64(len(x)-i)*w.dt + w.m.OnsetGuardS
}

// half returns half a moving mean of that many seconds in samples.
func (w *workings) half(seconds float64) int { return max(1, int(math.Round(seconds*w.rate/2))) }

// swing returns the amplitude of the slow waver of the total in samples [lo, hi), in newtons: the square root of twice
// the variance under a moving mean, less what plate noise leaves there.
func (w *workings) swing(lo, hi int) float64 {
	x := w.total[lo:hi]
	half := w.half(swaySmoothS)
	smooth := series.MovingMean(x, half)
	sd, noise := series.SD(smooth), series.WhiteNoiseSD(x)
	return math.Sqrt(math.Max(0, 2*(sd*sd-noise*noise/float64(2*half+1))))
}

// shift returns how far the left side's share travels in samples [lo, hi), in per cent of the total, and between which
// instants. What plate noise alone would show is taken off.
func (w *workings) shift(lo, hi int) (float64, Span) {
	nan := math.NaN()
	if w.left == nil {
		return nan, Span{nan, nan}
	}
	share := make([]float64, hi-lo)
	for i := range share {
		share[i] = 100 * w.left[lo+i] / w.total[lo+i]
	}
	half := w.half(swaySmoothS)
	noise := series.WhiteNoiseSD(share) / math.Sqrt(float64(2*half+1))
	smooth := series.MovingMean(share, half)
	least, most := 0, 0
	for i, v := range smooth {
		if v < smooth[least] {
			least = i
		}
		if v > smooth[most] {
			most = i
		}
	}
	span := Span{w.timeS(float64(lo + min(least, most))), w.timeS(float64(lo + max(least, most)))}
	return math.Max(0, smooth[most]-smooth[least]-noiseRange*noise), span
}

// noiseRange is the usual range of about ten independent normal values in standard deviations (3.08 for ten, from tables
// of the studentised range; from memory).
const noiseRange = 3.1

// bump returns the largest stray of the force from body weight in the last moments before sample end, and the stretch
// around it.
func (w *workings) bump(end int) (float64, Span) {
	begin := max(w.stance[0], end-int(bumpWindowS*w.rate))
	x := series.MovingMean(w.total[begin:end], w.half(bumpSmoothS))
	if len(x) == 0 {
		return math.NaN(), Span{math.NaN(), math.NaN()}
	}
	at := 0
	for i, v := range x {
		if math.Abs(v-w.weightN) > math.Abs(x[at]-w.weightN) {
			at = i
		}
	}
	from, to := len(x), 0
	for i, v := range x {
		if math.Abs(v-w.weightN) > math.Max(quietShare*w.weightN, 0.2*math.Abs(x[at]-w.weightN)) {
			from, to = min(from, i), max(to, i)
		}
	}
	return x[at] - w.weightN, Span{w.timeS(float64(begin + min(from, at))), w.timeS(float64(begin + max(to, at)))}
}
