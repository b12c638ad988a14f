// Package series holds the numerical methods on evenly sampled series that know nothing of jumps: moving means,
// integrals, crossings, peaks, noise, and the uncertainty of a mean of dependent samples.
//
// Series are []float64, sample i at time i*dt with dt in seconds. Unless a comment says otherwise a NaN in the input
// gives a NaN in what depends on it, an input that is too short gives NaN, and nothing changes its argument.
package series
