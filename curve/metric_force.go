package curve

import (
	"math"
	"slices"

	"plateside/curve/series"
)

// largest returns the position of the largest of f(i) over the whole samples between two positions.
func largest(from, to float64, f func(i int) float64) (at int, value float64) {
	at, value = -1, math.Inf(-1)
	for i := int(math.Ceil(from)); i <= int(to); i++ {
		if v := f(i); v > value {
			at, value = i, v
		}
	}
	return at, value
}

func peakPropulsionForce(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	_, v := largest(w.low, w.takeoff, func(i int) float64 { return w.total[i] })
	return exact(v)
}

func forceAtLowPoint(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	return exact(series.At(w.fine, w.low))
}

func brakingRFD(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	seconds := (w.low - w.peakDown) * w.dt
	if !(seconds > 0) {
		return unknown("there is no braking phase")
	}
	return exact((series.At(w.fine, w.low) - w.weightN) / seconds) // braking starts where force is body weight
}

func peakPower(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	v := w.motion.VelocityMS
	at, p := largest(w.low, w.takeoff, func(i int) float64 { return w.total[i] * v[i-w.take.from] })
	half := w.total[at] * w.velocityHalf(v[at-w.take.from], (float64(at)-w.on)*w.dt)
	return Value{Value: p, PlusMinus: half}
}

func peakPowerPerMass(w *workings) Value {
	p := peakPower(w)
	if !p.Known() {
		return p
	}
	rel := math.Hypot(p.PlusMinus/p.Value, w.rep.Weighing.HalfWidthN/w.weightN)
	return Value{Value: p.Value / w.massKg, PlusMinus: p.Value / w.massKg * rel}
}

// impulse returns the net impulse of a phase with the half-width that body weight brings.
func (w *workings) impulse(name string) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	for _, p := range w.rep.Phases {
		if p.Name == name {
			seconds := p.Span.ToS - p.Span.FromS
			return Value{Value: p.ImpulseNs, PlusMinus: w.rep.Weighing.HalfWidthN * seconds}
		}
	}
	return unknown("there is no phase of " + name)
}

func unweightingImpulse(w *workings) Value     { return w.impulse(PhaseUnweighting) }
func brakingImpulse(w *workings) Value         { return w.impulse(PhaseBraking) }
func propulsionImpulse(w *workings) Value      { return w.impulse(PhasePropulsion) }
func earlyPropulsionImpulse(w *workings) Value { return w.impulse(PhaseEarlyPropulsion) }
func latePropulsionImpulse(w *workings) Value  { return w.impulse(PhaseLatePropulsion) }

// asymmetry returns the asymmetry of mean force in a phase in per cent, positive for left.
func (w *workings) asymmetry(name string) Value {
	if w.left == nil {
		return unknown(whyOneSided)
	}
	if !w.take.flew {
		return unknown(whyNoFlight)
	}
	for _, p := range w.rep.Phases {
		if p.Name != name {
			continue
		}
		if math.IsNaN(p.LeftShare) {
			return unknown(w.lacks(w.rec.Index(p.Span.FromS), w.rec.Index(p.Span.ToS)))
		}
		return exact((2*p.LeftShare - 1) * 100)
	}
	return unknown("there is no phase of " + name)
}

func brakingAsymmetry(w *workings) Value         { return w.asymmetry(PhaseBraking) }
func propulsionAsymmetry(w *workings) Value      { return w.asymmetry(PhasePropulsion) }
func earlyPropulsionAsymmetry(w *workings) Value { return w.asymmetry(PhaseEarlyPropulsion) }
func latePropulsionAsymmetry(w *workings) Value  { return w.asymmetry(PhaseLatePropulsion) }
func landingAsymmetry(w *workings) Value         { return w.asymmetry(PhaseLanding) }

// humpSmoothS is the moving mean under which humps are counted, in seconds: longer than plate noise, shorter than a
// hump.
const humpSmoothS = 0.02

// flatTopGrain is the grain, as a share of the peak, below which two heights are the same.
const flatTopGrain = 1e-6

// pushPeaks returns the force peaks between peak downward velocity and takeoff, under the hump mean, with a prominence of
// at least pct per cent of the peak force. The prominence is held against the peak force, so a noisy plate does not make
// a second hump.
func (w *workings) pushPeaks(pct float64) ([]series.Peak, bool) {
	from, to := int(w.minForce), int(w.takeoff) // from the lowest force, so that the first peak has its rise before it
	if math.IsNaN(w.minForce) || to-from < 5 {
		return nil, false
	}
	smooth := series.MovingMean(w.total[from:to], int(math.Round(humpSmoothS*w.rate/2)))
	_, top := largest(0, float64(len(smooth)-1), func(i int) float64 { return smooth[i] })
	for i, v := range smooth { // rounding errors of the mean make hills on a flat top
		smooth[i] = math.Round(v/top/flatTopGrain) * flatTopGrain * top
	}
	peaks := series.Peaks(smooth, pct/100*top)
	return slices.DeleteFunc(peaks, func(p series.Peak) bool { return smooth[p.At] < w.weightN }), true
}

// humps counts the force peaks before takeoff: 1, or 2 for two or more.
func humps(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	peaks, ok := w.pushPeaks(w.m.HumpProminencePct)
	if !ok {
		return unknown(whyNoLow)
	}
	if len(peaks) >= 2 {
		return exact(2)
	}
	return exact(1)
}

// ripples counts the force peaks before takeoff that are too small to be humps.
func ripples(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	all, ok := w.pushPeaks(math.Min(w.m.RipplePct, w.m.HumpProminencePct))
	large, _ := w.pushPeaks(w.m.HumpProminencePct)
	if !ok {
		return unknown(whyNoLow)
	}
	return exact(float64(max(0, len(all)-max(1, len(large)))))
}

// rose returns why no rise of force before takeoff can be measured, or "".
func (w *workings) rose() string {
	if why := w.pushed(); why != "" {
		return why
	}
	if math.IsNaN(w.minForce) {
		return whyNoDip
	}
	return ""
}

// topOfPush returns the sample of the highest smoothed force before takeoff.
func (w *workings) topOfPush() int {
	at, _ := largest(w.minForce, w.takeoff, func(i int) float64 { return w.fine[i] })
	return at
}

func meanRise(w *workings) Value {
	if why := w.rose(); why != "" {
		return unknown(why)
	}
	top := w.topOfPush()
	seconds := (float64(top) - w.minForce) * w.dt
	if !(seconds > 0) {
		return unknown("force does not rise before takeoff")
	}
	return exact((w.fine[top] - series.At(w.fine, w.minForce)) / seconds)
}

func peakRise(w *workings) Value {
	if why := w.rose(); why != "" {
		return unknown(why)
	}
	step := max(1, int(math.Round(riseS*w.rate)))
	_, rise := largest(w.minForce, float64(w.topOfPush()-step), func(i int) float64 { return w.fine[i+step] - w.fine[i] })
	if math.IsInf(rise, -1) {
		return unknown("force does not rise before takeoff")
	}
	return exact(rise / (float64(step) * w.dt))
}

// riseS is the time over which the steepest rise is taken, in seconds (project default).
const riseS = 0.02
