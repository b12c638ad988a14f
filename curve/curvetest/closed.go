package curvetest

import (
	"math"

	"plateside/curve"
)

// A Closed is a jump in closed form: stretches of constant force, so velocity is piecewise linear, displacement
// piecewise parabolic, and every metric is a few lines of arithmetic.
//
//	F/W  3 |                                      __
//	     2 |              __                     |  |
//	   1.9 |             |  |______              |  |
//	     1 |____         |         |             |  |______
//	   0.5 |    |________|         |             |
//	     0 |                       |_____________|
//	        quiet  unweight brake propel  flight  land  quiet
type Closed struct {
	MassKg, GravityMS2                         float64
	QuietS, UnweightS, BrakeS, PropelS, AfterS float64
	UnweightF, BrakeF, PropelF, LandF          float64 // multiples of body weight
	LeftShare                                  float64
	RateHz                                     float64
}

// Analytic is the analytic jump with printed digits: 80 kg, g = 9.80665 m/s2, quiet 1.5 s, 0.30 s at 0.5 W, 0.15 s at
// 2 W, 0.30 s at 1.9 W, flight 0.54 s, landing 0.135 s at 3 W.
func Analytic() Closed {
	return Closed{MassKg: 80, GravityMS2: 9.80665, QuietS: 1.5, UnweightS: 0.30, BrakeS: 0.15, PropelS: 0.30, AfterS: 2,
		UnweightF: 0.5, BrakeF: 2, PropelF: 1.9, LandF: 3, LeftShare: 0.55, RateHz: 1000}
}

// Known are the exact answers of a closed jump. Times are seconds from the first sample.
type Known struct {
	WeightN                                                             float64
	OnsetS, PeakDownVelocityS, LowPointS, TakeoffS, LandingS            float64
	PeakDownVelocityMS, TakeoffVelocityMS, DepthM, TakeoffDisplacementM float64
	HeightM, FlightS, UnweightingNs, BrakingNs, PropulsionNs            float64
	PeakPowerW, LeastPowerW, TimeToTakeoffS                             float64
	LandS                                                               float64 // until the landing is absorbed
}

// Known returns the answers by the equations of uniformly accelerated motion.
func (c Closed) Known() Known {
	g, w := c.GravityMS2, c.MassKg*c.GravityMS2
	k := Known{WeightN: w, OnsetS: c.QuietS}
	k.PeakDownVelocityS = k.OnsetS + c.UnweightS
	v1 := (c.UnweightF - 1) * g * c.UnweightS
	y1 := v1 * c.UnweightS / 2
	v2 := v1 + (c.BrakeF-1)*g*c.BrakeS // zero in a well-made jump
	y2 := y1 + (v1+v2)/2*c.BrakeS
	v3 := v2 + (c.PropelF-1)*g*c.PropelS
	k.LowPointS = k.PeakDownVelocityS + c.BrakeS
	k.TakeoffS = k.LowPointS + c.PropelS
	k.PeakDownVelocityMS, k.DepthM, k.TakeoffVelocityMS = v1, -y2, v3
	k.TakeoffDisplacementM = y2 + (v2+v3)/2*c.PropelS
	k.HeightM, k.FlightS = v3*v3/(2*g), 2*v3/g
	k.LandingS = k.TakeoffS + k.FlightS
	k.UnweightingNs, k.BrakingNs, k.PropulsionNs = c.MassKg*v1, c.MassKg*(v2-v1), c.MassKg*(v3-v2)
	k.PeakPowerW = c.PropelF * w * v3
	k.LeastPowerW = c.BrakeF * w * v1
	k.TimeToTakeoffS = k.TakeoffS - k.OnsetS
	k.LandS = v3 / ((c.LandF - 1) * g)
	return k
}

// force is the total force at time t in multiples of body weight.
func (c Closed) force(t float64) float64 {
	k := c.Known()
	switch {
	case t < k.OnsetS:
		return 1
	case t < k.PeakDownVelocityS:
		return c.UnweightF
	case t < k.LowPointS:
		return c.BrakeF
	case t < k.TakeoffS:
		return c.PropelF
	case t < k.LandingS:
		return 0
	case t < k.LandingS+k.LandS:
		return c.LandF
	}
	return 1
}

// Recording samples the jump. A sample that lies on a step takes the value after it.
func (c Closed) Recording() *curve.Recording {
	k := c.Known()
	n := int(math.Round((k.LandingS + k.LandS + c.AfterS) * c.RateHz))
	rec := &curve.Recording{Name: "closed.csv", RateHz: c.RateHz}
	for i := range n {
		f := c.force((float64(i)+1e-6)/c.RateHz) * c.MassKg * c.GravityMS2
		l := f * c.LeftShare
		rec.Left, rec.Right, rec.Total = append(rec.Left, l), append(rec.Right, f-l), append(rec.Total, f)
	}
	return rec
}
