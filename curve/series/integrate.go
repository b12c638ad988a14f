package series

import "math"

// CumulativeTrapezoid returns the running integral of f by the trapezoid rule, 0 at the first sample:
//
//	y[0] = 0, y[i] = y[i-1] + dt (f[i-1] + f[i]) / 2
//
// For a band-limited series it is exact up to terms of dt^2; for a step it loses half a sample. An empty series gives
// an empty one.
func CumulativeTrapezoid(f []float64, dt float64) []float64 {
	y := make([]float64, len(f))
	for i := 1; i < len(f); i++ {
		y[i] = y[i-1] + dt*(f[i-1]+f[i])/2
	}
	return y
}

// At returns x at a fractional position by straight-line interpolation; positions outside are held at the ends. NaN for
// an empty series or a NaN position.
func At(x []float64, at float64) float64 {
	if len(x) == 0 || math.IsNaN(at) {
		return nan()
	}
	if at <= 0 {
		return x[0]
	}
	i := int(at)
	if i >= len(x)-1 {
		return x[len(x)-1]
	}
	return x[i] + (x[i+1]-x[i])*(at-float64(i))
}

// IntegralBetween returns the integral of f from position a to position b (fractional, in samples) by the trapezoid rule
// on the straight lines between samples. Positions outside the series are held at its ends; b before a gives 0.
func IntegralBetween(f []float64, a, b, dt float64) float64 {
	if len(f) < 2 || math.IsNaN(a) || math.IsNaN(b) {
		return nan()
	}
	a, b = max(0, a), min(float64(len(f)-1), b)
	if b <= a {
		return 0
	}
	i, j := int(math.Ceil(a)), int(math.Floor(b))
	if j < i { // both inside one step
		return dt * (b - a) * (At(f, a) + At(f, b)) / 2
	}
	sum := (float64(i) - a) * (At(f, a) + f[i]) / 2
	for k := i; k < j; k++ {
		sum += (f[k] + f[k+1]) / 2
	}
	sum += (b - float64(j)) * (f[j] + At(f, b)) / 2
	return dt * sum
}
