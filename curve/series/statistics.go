package series

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

func nan() float64 { return math.NaN() }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Mean returns the arithmetic mean of x; NaN for an empty series.
func Mean(x []float64) float64 {
	if len(x) == 0 {
		return nan()
	}
	return stat.Mean(x, nil)
}

// SD returns the standard deviation of x with n-1 in the denominator; NaN for fewer than two samples.
func SD(x []float64) float64 {
	if len(x) < 2 {
		return nan()
	}
	return stat.StdDev(x, nil)
}

// Median returns the middle value of x (the mean of the two middle ones for an even count); NaN for an empty series
// or one that holds a NaN.
func Median(x []float64) float64 { return Quantile(x, 0.5) }

// Quantile returns the p-quantile of x by linear interpolation between order statistics; NaN for an empty series or one
// that holds a NaN.
func Quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return nan()
	}
	s := slices.Clone(x)
	slices.Sort(s) // NaN sort first
	if math.IsNaN(s[0]) {
		return nan()
	}
	at := p * float64(len(s)-1)
	lo := int(math.Floor(at))
	hi := min(lo+1, len(s)-1)
	return s[lo] + (s[hi]-s[lo])*(at-float64(lo))
}

// MAD returns the median absolute deviation from the median, times 1.4826 so that it estimates the standard deviation
// of normal data (P. J. Rousseeuw, C. Croux, Alternatives to the median absolute deviation, J Am Stat Assoc 1993;
// factor from memory, checked in a test against the normal quantile).
func MAD(x []float64) float64 {
	m := Median(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
	}
	return 1.4826 * Median(d)
}

// WhiteNoiseSD returns the standard deviation of the part of x that is independent from sample to sample, from the
// squares of second differences, which a slow signal hardly enters:
//
//	sd^2 = sum (x[i-1] - 2 x[i] + x[i+1])^2 / (6 (n-2))
//
// It is the second-order form of the successive-difference estimator (J. von Neumann et al., The mean square successive
// difference, Ann Math Stat 1941; from memory). NaN for fewer than three samples.
func WhiteNoiseSD(x []float64) float64 {
	if len(x) < 3 {
		return nan()
	}
	sum := 0.0
	for i := 1; i < len(x)-1; i++ {
		d := x[i-1] - 2*x[i] + x[i+1]
		sum += d * d
	}
	return math.Sqrt(sum / 6 / float64(len(x)-2))
}

// MidShorth returns the middle of the shortest interval that holds half of x: the level at which the series spends most
// of its time, unmoved by what the other half does (F. R. Hampel, 1975; from memory). NaN for an empty series or one that
// holds a NaN.
func MidShorth(x []float64) float64 {
	if len(x) == 0 {
		return nan()
	}
	s := slices.Clone(x)
	slices.Sort(s) // NaN sort first
	if math.IsNaN(s[0]) {
		return nan()
	}
	h := len(s)/2 + 1
	best, at := math.Inf(1), 0
	for i := 0; i+h <= len(s); i++ {
		if w := s[i+h-1] - s[i]; w < best {
			best, at = w, i
		}
	}
	return Median(s[at : at+h])
}

// Thin returns every k-th value of x, at most most of them, for statistics of a level that need no more.
func Thin(x []float64, most int) []float64 {
	step := (len(x) + most - 1) / max(1, most)
	if step <= 1 {
		return x
	}
	y := make([]float64, 0, most)
	for i := 0; i < len(x); i += step {
		y = append(y, x[i])
	}
	return y
}
