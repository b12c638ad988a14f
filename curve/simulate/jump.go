// Package simulate makes recordings of countermovement jumps by people who do not exist. The force is built from the
// equations of motion, so every landmark, velocity and height of a rep is known: the demonstration uses it to have
// something to show, the tests to have something to be held against.
//
//	a/g |            _
//	  B |          ,' `--._           braking up to B, propulsion from there, straight fall to takeoff
//	  0 |--.      /        \     ____
//	 -A |   `.__,'          |   |     dip of depth A, flight at -1, landing as a damped spring
//	    +-----------------------------> t
package simulate

import (
	"math"
	"math/rand/v2"

	"plateside/curve"
)

// A Fault is something wrong with a rep, named by the check that should find it.
type Fault string

// The faults. Fidget is none: fidgeting that is over well before the jump.
const (
	None        Fault = ""
	Fidget      Fault = "early-fidget"
	StanceSway  Fault = "stance-sway"
	StanceShift Fault = "stance-shift"
	StanceShort Fault = "stance-short"
	EarlyLoad   Fault = "early-load"
	NoFlight    Fault = "no-flight"
	Gap         Fault = "gap"
	Saturated   Fault = "saturated"
	ZeroOffset  Fault = "zero-offset"
	OffPlate    Fault = "off-plate"
	ExtraHop    Fault = "extra-hop"
	Tuck        Fault = "height-gap"
)

// A Jump says how a rep is jumped and recorded.
type Jump struct {
	MassKg    float64
	HeightM   float64 // from takeoff velocity
	DipG      float64 // depth of the unweighting in g, 0.3 to 0.8
	DipS      float64 // its length in seconds, 0.25 to 0.5
	BrakeG    float64 // net force at the low point in g, 0.7 to 1.6
	Humps     int     // 1 or 2
	LeftShare float64 // of the force in the push, 0.5 is even
	StandLeft float64 // of the weight in standing
	StanceS   float64 // standing before the onset
	AfterS    float64 // recording after the landing
	RateHz    float64
	NoiseN    float64 // standard deviation of each plate
	SwayPct   float64 // standard deviation of the postural sway in per cent of body weight
	Fault     Fault
	Size      float64 // of the fault, in the unit of its check; 0 takes a plain one
	Seed      uint64
}

// A Truth is what is known of a simulated rep. Times are seconds on the recording's clock; NaN where there is no such
// instant.
type Truth struct {
	BodyWeightN                                                                   float64
	OnsetS, MinForceS, PeakDownVelocityS, LowPointS, TakeoffS, LandingS           float64
	TakeoffVelocityMS, JumpHeightM, FlightHeightM, DepthM, PropulsionAsymmetryPct float64
	Humps                                                                         int
	Fault                                                                         Fault
}

// gravityMS2 is standard gravity.
const gravityMS2 = curve.StandardGravityMS2

// dropFrom is where in the propulsion the force begins its fall to takeoff.
const dropFrom = 0.76

// fineHz is the rate of the inner computation.
const fineHz = 10000.0

// push is the net force of a jump over its phases, in g, as functions of 0..1, with the phases' lengths.
type push struct {
	j                    Jump
	dipS, brakeS, driveS float64
	takeoffMS            float64
	dip, brake, drive    func(x float64) float64
	flightS              float64
}

func newPush(j Jump) *push {
	p := &push{j: j, dipS: j.DipS, takeoffMS: math.Sqrt(2 * gravityMS2 * j.HeightM)}
	p.dip = func(x float64) float64 { return -j.DipG * 27.0 / 4 * x * x * (1 - x) } // smooth start, straight end
	p.brake = func(x float64) float64 { return j.BrakeG * math.Sin(math.Pi/2*x) }
	p.drive = func(x float64) float64 {
		shape := 1 + 0.12*math.Sin(math.Pi*x) - 0.25*x
		if j.Humps == 2 {
			shape = 1 - 0.30*bell(x, 0.36, 0.13) + 0.10*bell(x, 0.64, 0.10)
		}
		fall := 1.0
		if x > dropFrom {
			fall = 1 - math.Pow((x-dropFrom)/(1-dropFrom), 1.6)
		}
		return (1+j.BrakeG*shape)*fall - 1
	}
	down := gravityMS2 * p.dipS * mean(p.dip)
	p.brakeS = -down / (gravityMS2 * mean(p.brake))
	p.driveS = p.takeoffMS / (gravityMS2 * mean(p.drive))
	p.flightS = 2 * p.takeoffMS / gravityMS2
	if j.Fault == Tuck {
		p.flightS *= 1.09
	}
	return p
}

func bell(x, at, width float64) float64 { return math.Exp(-(x - at) * (x - at) / (width * width)) }

// mean is the mean of f over 0..1 by the midpoint rule.
func mean(f func(float64) float64) float64 {
	const n = 4000
	sum := 0.0
	for i := range n {
		sum += f((float64(i) + 0.5) / n)
	}
	return sum / n
}

// lasts is the time from onset to takeoff in seconds.
func (p *push) lasts() float64 { return p.dipS + p.brakeS + p.driveS }

// net returns the net force in g at a time after the onset, before takeoff.
func (p *push) net(t float64) float64 {
	switch {
	case t < 0:
		return 0
	case t < p.dipS:
		return p.dip(t / p.dipS)
	case t < p.dipS+p.brakeS:
		return p.brake((t - p.dipS) / p.brakeS)
	default:
		return p.drive(math.Min(1, (t-p.dipS-p.brakeS)/p.driveS))
	}
}

// A waver is a sum of a few slow sines with random phases, of standard deviation 1.
type waver struct{ hz, phase, size []float64 }

func newWaver(rng *rand.Rand, lowHz, highHz float64) waver {
	const n = 5
	w := waver{}
	for range n {
		w.hz = append(w.hz, lowHz*math.Pow(highHz/lowHz, rng.Float64()))
		w.phase = append(w.phase, 2*math.Pi*rng.Float64())
		w.size = append(w.size, math.Sqrt(2.0/n))
	}
	return w
}

func (w waver) at(t float64) float64 {
	sum := 0.0
	for i := range w.hz {
		sum += w.size[i] * math.Sin(2*math.Pi*w.hz[i]*t+w.phase[i])
	}
	return sum
}
