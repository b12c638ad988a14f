package curve

// Takeoff and landing to a fraction of a sample.
//
//	F |  o
//	  |   o                 fall of force before takeoff: nearly straight
//	  |    o
//	  |     o
//	  |      `o             last sample above the threshold
//	  +--------x--o-o-o-o   x = where the straight line through the last steep samples meets the unloaded level
//
// The threshold is the published one (five standard deviations of the flight force, not below 10 N): it says between
// which samples the plates were left. Within that step a threshold is early or late by its own height, which at 240 Hz
// is milliseconds, so the last steep samples are carried on to the unloaded level by a straight line. The result never
// leaves the neighbourhood of the threshold's crossing.
//
// Landing begins softly (force grows with the square of time while the forefoot rolls on), so there the square root of
// force is carried back to zero.

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Sources: 5 SD of flight force, McMahon 2018 (from memory); 10 N and its comparison with 5 SD, Perez-Castilla 2021;
// carrying the edge to the unloaded level is this project's own refinement.

const (
	// steepTopN bounds the samples that are carried to zero at takeoff, in newtons above the unloaded level: below it the
	// fall of force is nearly on one line (project default).
	steepTopN = 400.0
	// steepS is how much of the fall before takeoff is carried to zero, in seconds (project default).
	steepS = 0.012
	// edgeSteps is how far, in samples, the result may lie from the step in which the threshold was crossed.
	edgeSteps = 1.0
)

// flightThreshold returns the force above the unloaded level at which the plates count as touched, in newtons.
func flightThreshold(f flight, m Method) float64 {
	return math.Max(m.FlightSDs*f.noiseSD, m.FlightFloorN)
}

// takeoff returns the fractional sample at which the force of flight f reaches the unloaded level.
func takeoff(total []float64, f flight, rateHz float64, m Method) float64 {
	threshold := f.level + flightThreshold(f, m)
	last := f.from // the last sample above the threshold: f.from is below lowShare, maybe not below the threshold
	mid := (f.from + min(f.to, f.from+int(rateHz*m.FlightMaxS))) / 2
	for i := mid; i >= 0; i-- {
		if total[i] >= threshold {
			last = i
			break
		}
	}
	top := f.level + steepTopN
	var x, y []float64
	for i := last; i >= 0 && i > last-int(math.Ceil(steepS*rateHz))-2; i-- {
		if len(x) >= 2 && (total[i] > top || total[i] < total[i+1]) {
			break
		}
		x, y = append(x, float64(i)), append(y, total[i]-f.level)
	}
	at := crossing(total, last, threshold)
	if len(x) >= 2 {
		if a, b := stat.LinearRegression(x, y, nil, false); b < 0 {
			at = -a / b
		}
	}
	return math.Max(float64(last), math.Min(at, float64(last)+1+edgeSteps))
}

// crossing returns where the straight line between sample i and i+1 passes level.
func crossing(x []float64, i int, level float64) float64 {
	if i+1 >= len(x) || x[i] == x[i+1] {
		return float64(i)
	}
	return float64(i) + math.Max(0, math.Min(1, (level-x[i])/(x[i+1]-x[i])))
}

// landing returns the fractional sample at which the force of flight f leaves the unloaded level again.
func landing(total []float64, f flight, rateHz float64, m Method) float64 {
	threshold := f.level + flightThreshold(f, m)
	first := f.to
	for i := (f.from + f.to) / 2; i < len(total); i++ {
		if total[i] >= threshold && i+1 < len(total) && total[i+1] >= threshold {
			first = i
			break
		}
	}
	if first == 0 || first+1 >= len(total) {
		return float64(first)
	}
	at := crossing(total, first-1, threshold)
	var x, y []float64
	for i := first; i < len(total) && i < first+max(2, int(landingTraceS*rateHz)); i++ {
		if i > first && total[i] <= total[i-1] {
			break
		}
		x, y = append(x, float64(i)), append(y, math.Sqrt(total[i]-f.level))
	}
	if len(x) >= 2 {
		if a, b := stat.LinearRegression(x, y, nil, false); b > 0 {
			at = -a / b
		}
	}
	return math.Max(float64(first)-1-edgeSteps, math.Min(at, float64(first)))
}

// landingTraceS is how much of the beginning of a landing is carried back to the unloaded level, in seconds.
const landingTraceS = 0.004
