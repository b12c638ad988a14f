package series

import "math"

// A Sway describes a slow random waver around a level: its variance and how long it stays on one side.
type Sway struct {
	// SD is the standard deviation of the slow part.
	SD float64
	// TauS is the integral time of its autocorrelation in seconds: roughly, samples further apart than 2*TauS are
	// independent.
	TauS float64
}

// SwayOf estimates the slow part of x, sampled every dt seconds: its variance after what is independent from sample to
// sample is taken off, and its integral time as the sum of the autocorrelation up to the first crossing of zero. tauFloor
// is the least integral time that is believed, since a short record cannot show a slow waver. NaN and too-short input
// give a Sway of NaN.
//
// The autocorrelation is taken on means over a hundredth of a second or a sample, whichever is longer, which leaves the
// slow part as it is and averages the noise.
func SwayOf(x []float64, dt, tauFloor float64) Sway {
	block := max(1, int(math.Round(0.01/dt)))
	n := len(x) / block
	mean := Mean(x)
	if n < 4 || math.IsNaN(mean) {
		return Sway{SD: nan(), TauS: nan()}
	}
	b := make([]float64, n)
	for i := range b {
		b[i] = Mean(x[i*block:(i+1)*block]) - mean
	}
	noise := WhiteNoiseSD(x)
	variance := autocovariance(b, 0) - noise*noise/float64(block)
	if !(variance > 0) {
		return Sway{SD: 0, TauS: tauFloor}
	}
	sum := variance / 2
	for lag := 1; lag < n/2; lag++ {
		c := autocovariance(b, lag)
		if c <= 0 {
			break
		}
		sum += c
	}
	tau := sum / variance * float64(block) * dt
	s := Sway{SD: math.Sqrt(variance), TauS: max(tau, tauFloor)}
	// The mean of the window was taken off, and with it the part of the sway that is slower than the window.
	lost := s.MeanVariance(float64(len(x))*dt) / variance
	s.SD /= math.Sqrt(1 - math.Min(lost, mostLost))
	return s
}

// mostLost bounds the share of variance that a window is taken to hide.
const mostLost = 0.6

func autocovariance(x []float64, lag int) float64 {
	sum := 0.0
	for i := lag; i < len(x); i++ {
		sum += x[i] * x[i-lag]
	}
	return sum / float64(len(x)-lag)
}

// MeanVariance returns the variance of the mean of a sway over lengthS seconds, for an exponential autocorrelation with
// integral time TauS:
//
//	var = SD^2 (2 tau/T) (1 - (tau/T) (1 - exp(-T/tau)))
//
// It is SD^2 for a length near 0 and falls as 2 tau/T for a long one (the textbook result for a first-order process;
// derived here by integrating the autocorrelation twice, checked against simulation in the tests).
func (s Sway) MeanVariance(lengthS float64) float64 {
	if !(lengthS > 0) || !(s.TauS > 0) {
		return s.SD * s.SD
	}
	r := s.TauS / lengthS
	return s.SD * s.SD * 2 * r * (1 - r*(1-math.Exp(-1/r)))
}
