package curve

// How sure a rep's numbers are. The 95 % half-widths carry, each as one term of a sum of squares,
//
//	e_W   body weight: velocity error grows as g t e, and jump height changes by 2 e (1 + g T / v) of itself
//	      (differentiate v' = (v + g T)/(1 + e) - g T)
//	rest  the body is not quite at rest at the onset: what the sway of the stance leaves of velocity there
//	noise independent plate noise, which integrates to sd sqrt(T dt) / m
//	t_to  the takeoff instant: near takeoff the body decelerates by g, so a shift of d costs g d of velocity
//
// They are derived here from the equations of motion; the coverage is tested on simulated reps.

import (
	"math"

	"plateside/curve/series"
)

// restLeft is how much of the velocity of the stance's sway is taken to be there still at the onset (project default: a
// jump is begun at rest, and a person about to jump settles).
const restLeft = 0.5

const (
	// instantShare is the 95 % half-width of takeoff in samples, instantFloorS its floor in seconds (project default,
	// from the simulated reps of the tests).
	instantShare  = 0.15
	instantFloorS = 0.0002
	// touchHalfS is the same for landing, whose soft beginning is harder to see.
	touchHalfS = 0.0015
	touchShare = 0.5
	// onsetCalmS is the same for the onset from a calm stance; it grows with the sway, which hides the first moments of
	// the movement, by as much again for each onsetSwayShare of body weight.
	onsetCalmS     = 0.012
	onsetSwayShare = 0.004
)

// takeoffHalfS returns the 95 % half-width of the takeoff instant in seconds.
func (w *workings) takeoffHalfS() float64 { return math.Hypot(instantFloorS, instantShare*w.dt) }

// landingHalfS returns the 95 % half-width of the landing instant in seconds.
func (w *workings) landingHalfS() float64 { return math.Hypot(touchHalfS, touchShare*w.dt) }

// onsetHalfS returns the 95 % half-width of the onset in seconds.
func (w *workings) onsetHalfS() float64 {
	return onsetCalmS * (1 + zeroIfNaN(w.rep.Weighing.Sway.SD)/w.weightN/onsetSwayShare)
}

// velocityHalf returns the 95 % half-width of the velocity v reached lasting seconds after the onset, in m/s.
func (w *workings) velocityHalf(v, lasting float64) float64 {
	weigh := w.rep.Weighing
	rel := weigh.HalfWidthN / w.weightN
	weight := rel * (w.m.GravityMS2*lasting + v)
	noise := normal95 * weigh.NoiseN * math.Sqrt(lasting*w.dt) / w.massKg
	return root(weight, normal95*restLeft*weigh.RestMS, zeroIfNaN(noise))
}

// takeoffVelocityHalf returns the 95 % half-width of takeoff velocity in m/s.
func (w *workings) takeoffVelocityHalf() float64 {
	if w.vHalf == -1 { // asked for by several metrics
		w.vHalf = w.computeTakeoffVelocityHalf()
	}
	return w.vHalf
}

func (w *workings) computeTakeoffVelocityHalf() float64 {
	if w.anyFlatTop(int(w.on), int(w.takeoff)) {
		return math.NaN() // how much force was cut off is not known
	}
	// An offset of the plates makes the mass wrong by as much.
	offset := 0.0
	if lo, hi, ok := w.unloaded(); ok {
		offset = w.takeoffMS * series.Mean(w.total[lo:hi]) / w.weightN
	}
	return root(w.velocityHalf(w.takeoffMS, (w.takeoff-w.on)*w.dt), w.m.GravityMS2*w.takeoffHalfS(), offset)
}

// displacementHalf returns the 95 % half-width of the displacement lasting seconds after the onset, in metres.
func (w *workings) displacementHalf(lasting float64) float64 {
	weigh := w.rep.Weighing
	weight := weigh.HalfWidthN / w.weightN * w.m.GravityMS2 * lasting * lasting / 2
	return root(weight, normal95*restLeft*weigh.RestMS*lasting)
}

// root returns the square root of the sum of squares.
func root(terms ...float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t * t
	}
	return math.Sqrt(sum)
}
