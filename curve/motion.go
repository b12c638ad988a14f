package curve

// From force to motion: acceleration is net force over mass, velocity its integral from rest at the onset, displacement
// the integral of velocity (Linthorne2001; Dowling1993). The trapezoid rule is the published choice (Owen2014 takes it
// and Simpson's as equal). Force is not filtered: a low-pass would smear takeoff and landing.

import (
	"math"

	"plateside/curve/series"
)

// A Motion is the movement of the centre of mass over a rep, sample by sample.
type Motion struct {
	// From is the sample of the recording that the first element belongs to.
	From int
	// VelocityMS and DisplacementM are positive upward; both are 0 before the onset.
	VelocityMS, DisplacementM []float64
}

// A start is where an integration begins: at rest, at a fractional sample, with a body weight.
type start struct{ onset, weightN float64 }

// motionFrom integrates the total force of samples [from, to) from rest at the onset.
func motionFrom(total []float64, from, to int, s start, rateHz, gravity float64) Motion {
	n := to - from
	mo := Motion{From: from, VelocityMS: make([]float64, n), DisplacementM: make([]float64, n)}
	mass, dt := s.weightN/gravity, 1/rateHz
	first := max(0, int(math.Ceil(s.onset))-from)
	for i := first; i < n; i++ {
		at := from + i
		step, before := dt, s.weightN // net force is zero at the onset
		v0, y0 := 0.0, 0.0
		if i == first {
			step = (float64(at) - s.onset) * dt
		} else {
			before, v0, y0 = total[at-1], mo.VelocityMS[i-1], mo.DisplacementM[i-1]
		}
		mo.VelocityMS[i] = v0 + step*((before+total[at])/2-s.weightN)/mass
		mo.DisplacementM[i] = y0 + step*(v0+mo.VelocityMS[i])/2
	}
	return mo
}

// displacementAt returns the displacement at a fractional sample of the recording in metres.
func (mo Motion) displacementAt(at float64) float64 {
	return series.At(mo.DisplacementM, at-float64(mo.From))
}
