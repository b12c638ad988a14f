package curve

import "plateside/curve/series"

// Spread returns the standard deviation of values with n-1 in the denominator; NaN for fewer than two. It is how much a
// quantity varies from rep to rep.
func Spread(values []float64) float64 { return series.SD(values) }
