package review

import (
	"math"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/chart"
)

// A scale is the common scale of a session: how high the forces go and how long the reps last, so that every rep is
// drawn on the same axes.
type scale struct {
	pushN, peakN        float64 // highest force before takeoff, and at all
	pushW, peakW        float64 // the same in body weights
	afterOnsetS         float64 // longest time from onset to landing
	afterTakeoffS       float64 // longest flight
	beforeLowS          float64 // longest time from onset to low point
	beforeTakeoffS      float64 // longest time from onset to takeoff
	wholeFromS, wholeTo float64 // of whole reps, from the onset
}

const (
	leastForceN = 1000.0
	// leadS is how much stance the view of the jump shows before the onset.
	leadS = 0.6
	// tailS is how much it shows after the landing.
	tailS = 0.25
	// landingS is how much the view of the landing shows after touch-down.
	landingS = 1.3
	// mostAfterS and mostWholeS bound what one odd rep can do to the scale of all.
	mostAfterS = 2.6
	mostWholeS = 6.0
)

// scaleOf returns the common scale of the reps.
func scaleOf(reps []*quality.Rep) scale {
	s := scale{pushN: leastForceN, peakN: leastForceN, pushW: 1.5, peakW: 1.5, afterOnsetS: 1.2, afterTakeoffS: 0.4, beforeLowS: 0.4, beforeTakeoffS: 0.6, wholeFromS: -1, wholeTo: 1}
	for _, r := range reps {
		push := pushOf(r.Curve)
		s.pushN, s.peakN = math.Max(s.pushN, push), math.Max(s.peakN, r.Curve.PeakForceN)
		if w := r.Curve.Weighing.WeightN; w > 0 {
			s.pushW, s.peakW = math.Max(s.pushW, push/w), math.Max(s.peakW, r.Curve.PeakForceN/w)
		}
		l := r.Curve.Landmarks
		grow := func(most *float64, v, bound float64) {
			if v > *most {
				*most = math.Min(v, bound)
			}
		}
		grow(&s.afterOnsetS, l.LandingS-l.OnsetS, mostAfterS)
		grow(&s.afterTakeoffS, l.LandingS-l.TakeoffS, mostAfterS)
		grow(&s.beforeLowS, l.LowPointS-l.OnsetS, mostAfterS)
		grow(&s.beforeTakeoffS, l.TakeoffS-l.OnsetS, mostAfterS)
		if at := origin(r); !math.IsNaN(at) {
			from, to := float64(r.Curve.From)/r.RateHz, float64(r.Curve.To)/r.RateHz
			start := r.StartS
			s.wholeFromS = math.Max(-mostWholeS, math.Min(s.wholeFromS, start+from-at))
			s.wholeTo = math.Min(mostWholeS, math.Max(s.wholeTo, start+to-at))
		}
	}
	return s
}

// pushOf is the highest force of a rep before takeoff, or at all where it did not fly.
func pushOf(r *curve.Rep) float64 {
	if v := r.Metric("peak_propulsion_force_n"); v.Known() {
		return v.Value
	}
	if !r.Flew {
		return r.PeakForceN
	}
	return 0
}

// origin is the instant that a rep's time axis counts from: the onset, or the rep's beginning where there is none.
func origin(r *quality.Rep) float64 {
	if on := r.Curve.Landmarks.OnsetS; !math.IsNaN(on) {
		return on
	}
	return r.StartS + float64(r.Curve.From)/r.RateHz + leadS
}

// A zero is the instant that the time axis counts from and that reps are laid on each other by.
type zero int

// The zeros, in the order that the key steps through them.
const (
	zeroOnset zero = iota
	zeroLow
	zeroTakeoff
	zeroFile
	zeros
)

// at returns the instant of a rep that the zero stands for; the onset where a rep lacks it.
func (z zero) at(r *quality.Rep) float64 {
	at := math.NaN()
	switch z {
	case zeroLow:
		at = r.Curve.Landmarks.LowPointS
	case zeroTakeoff:
		at = r.Curve.Landmarks.TakeoffS
	case zeroOnset, zeroFile, zeros:
	}
	if math.IsNaN(at) {
		return origin(r)
	}
	return at
}

// String names the zero for headings.
func (z zero) String() string {
	return [zeros]string{"s from onset", "s from low point", "s from takeoff", "s of the file"}[z]
}

// axes are the ranges of a picture.
type axes struct {
	x, y   chart.Range
	label  float64 // the instant that is written as 0
	factor float64 // how much taller than on the session's scale
}

// axesOf returns the ranges in which a rep is drawn.
func (m *Model) axesOf(r *quality.Rep) axes {
	landing := m.span != spanJump
	if m.zoomed != "" {
		landing = m.zoomed == curve.PhaseLanding
	}
	top := m.sessionTop(r, landing)
	a := axes{y: chart.Range{From: 0, To: top}, factor: 1, label: m.zero.at(r)}
	if m.zero == zeroFile {
		a.label = 0
	}
	if m.ownScale {
		own := pushOf(r.Curve)
		if landing || own == 0 {
			own = r.Curve.PeakForceN
		}
		a.y.To = roundUp(own * headroom)
		a.factor = top / a.y.To
	}
	a.y.From = -0.02 * a.y.To
	a.x = m.timeOf(r)
	return a
}

// timeOf returns the stretch of time in which a rep is drawn. It is equally long for all reps, unless a phase is zoomed
// to.
func (m *Model) timeOf(r *quality.Rep) chart.Range {
	if p, ok := r.Curve.Phase(m.zoomed); ok {
		edge := 0.15 * (p.Span.ToS - p.Span.FromS)
		return chart.Range{From: p.Span.FromS - edge, To: p.Span.ToS + edge}
	}
	at, s := m.zero.at(r), m.scale
	switch m.span {
	case spanLanding:
		takeoff := zeroTakeoff.at(r)
		return chart.Range{From: takeoff - 0.2, To: takeoff + s.afterTakeoffS + landingS}
	case spanWhole:
		on := origin(r)
		return chart.Range{From: on + s.wholeFromS, To: on + s.wholeTo}
	case spanJump, spans:
	}
	before := map[zero]float64{zeroLow: s.beforeLowS, zeroTakeoff: s.beforeTakeoffS}[m.zero]
	return chart.Range{From: at - before - leadS, To: at - before + s.afterOnsetS + tailS}
}

// headroom is how much higher than the highest force an axis goes.
const headroom = 1.06

// sessionTop is the top of the force axis on the session's scale, in newtons.
func (m *Model) sessionTop(r *quality.Rep, landing bool) float64 {
	n, w := m.scale.pushN, m.scale.pushW
	if landing {
		n, w = m.scale.peakN, m.scale.peakW
	}
	if m.unit == BodyWeights && r.Curve.Weighing.WeightN > 0 {
		return math.Ceil(w*headroom*10) / 10 * r.Curve.Weighing.WeightN
	}
	return roundUp(n * headroom)
}

// roundUp rounds a force up to the next hundred newtons.
func roundUp(n float64) float64 { return math.Ceil(n/100) * 100 }
