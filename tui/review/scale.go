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
	s := scale{pushN: leastForceN, peakN: leastForceN, pushW: 1.5, peakW: 1.5, afterOnsetS: 1.2, afterTakeoffS: 0.4, wholeFromS: -1, wholeTo: 1}
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

// axes are the ranges of a picture.
type axes struct {
	x, y   chart.Range
	factor float64 // how much taller than on the session's scale
}

// axesOf returns the ranges in which a rep is drawn.
func (m *Model) axesOf(r *quality.Rep) axes {
	top := m.sessionTop(r, m.span != spanJump)
	a := axes{y: chart.Range{From: 0, To: top}, factor: 1}
	if m.ownScale {
		own := pushOf(r.Curve)
		if m.span != spanJump || own == 0 {
			own = r.Curve.PeakForceN
		}
		a.y.To = roundUp(own * headroom)
		a.factor = top / a.y.To
	}
	a.y.From = -0.02 * a.y.To
	at := origin(r)
	switch m.span {
	case spanLanding:
		takeoff := r.Curve.Landmarks.TakeoffS
		if math.IsNaN(takeoff) {
			takeoff = at
		}
		a.x = chart.Range{From: takeoff - 0.2, To: takeoff + m.scale.afterTakeoffS + landingS}
	case spanWhole:
		a.x = chart.Range{From: at + m.scale.wholeFromS, To: at + m.scale.wholeTo}
	default:
		a.x = chart.Range{From: at - leadS, To: at + m.scale.afterOnsetS + tailS}
	}
	return a
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
