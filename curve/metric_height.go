package curve

import "math"

// Whys of values that cannot be determined.
const (
	whyNoFlight  = "the athlete did not leave the plates"
	whyNoLanding = "no landing in the recording"
	whyNoLow     = "no low point was found before takeoff"
	whyNoOnset   = "no start of movement was found"
	whyNoDip     = "no unweighting was found before takeoff"
	whyNoWeight  = "body weight is not known"
	whyOneSided  = "one total only: sides are not known"
)

// pushed returns why nothing can be integrated up to takeoff, or "".
func (w *workings) pushed() string {
	switch {
	case !w.take.flew:
		return whyNoFlight
	case math.IsNaN(w.on):
		return whyNoOnset
	case !(w.weightN > 0):
		return whyNoWeight
	case math.IsNaN(w.takeoffMS):
		return whyNoLow
	}
	return w.lacks(w.on, w.takeoff)
}

// flown returns why the flight cannot be timed, or "".
func (w *workings) flown() string {
	switch {
	case !w.take.flew:
		return whyNoFlight
	case math.IsNaN(w.landing):
		return whyNoLanding
	}
	if why := w.lacks(w.takeoff-2, w.takeoff+2); why != "" {
		return why
	}
	return w.lacks(w.landing-2, w.landing+2)
}

func bodyWeight(w *workings) Value {
	if !(w.weightN > 0) {
		return unknown(whyNoWeight)
	}
	return Value{Value: w.weightN, PlusMinus: w.rep.Weighing.HalfWidthN}
}

func bodyMass(w *workings) Value { return bodyWeight(w).times(1 / w.m.GravityMS2) }

func takeoffVelocity(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	return Value{Value: w.takeoffMS, PlusMinus: w.takeoffVelocityHalf()}
}

func jumpHeight(w *workings) Value {
	v := takeoffVelocity(w)
	return Value{Value: v.Value * v.Value / (2 * w.m.GravityMS2), PlusMinus: v.Value * v.PlusMinus / w.m.GravityMS2, Why: v.Why}
}

func flightTime(w *workings) Value {
	if why := w.flown(); why != "" {
		return unknown(why)
	}
	return Value{Value: (w.landing - w.takeoff) * w.dt, PlusMinus: math.Hypot(w.takeoffHalfS(), w.landingHalfS())}
}

func flightHeight(w *workings) Value {
	t := flightTime(w)
	g := w.m.GravityMS2
	return Value{Value: g * t.Value * t.Value / 8, PlusMinus: g * t.Value * t.PlusMinus / 4, Why: t.Why}
}

func timeToTakeoff(w *workings) Value {
	switch {
	case !w.take.flew:
		return unknown(whyNoFlight)
	case math.IsNaN(w.on):
		return unknown(whyNoOnset)
	}
	return Value{Value: (w.takeoff - w.on) * w.dt, PlusMinus: math.Hypot(w.onsetHalfS(), w.takeoffHalfS())}
}

func depth(w *workings) Value {
	if why := w.pushed(); why != "" {
		return unknown(why)
	}
	return Value{Value: -w.motion.displacementAt(w.low), PlusMinus: w.displacementHalf((w.low - w.on) * w.dt)}
}

func rsiModified(w *workings) Value { return jumpHeight(w).over(timeToTakeoff(w)) }

func flightContraction(w *workings) Value { return flightTime(w).over(timeToTakeoff(w)) }

// times scales a value and its half-width.
func (v Value) times(k float64) Value {
	return Value{Value: v.Value * k, PlusMinus: v.PlusMinus * math.Abs(k), Why: v.Why}
}

// over returns v / d with relative half-widths added in quadrature.
func (v Value) over(d Value) Value {
	if !v.Known() {
		return v
	}
	if !d.Known() {
		return d
	}
	q := v.Value / d.Value
	return Value{Value: q, PlusMinus: math.Abs(q) * math.Hypot(v.PlusMinus/v.Value, d.PlusMinus/d.Value)}
}
