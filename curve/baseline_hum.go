package curve

// Mains hum.
//
//	power |            |            mean of the three frequencies in the middle, over all segments, against the mean
//	      |  . : . :   |   : . : .  of the neighbours four each side
//	      +--44-----47-50-53----56--> Hz
//
// The recording is cut into segments of a second that overlap by half, each under a Hann window, and the power at the
// mains' frequency is compared with that of its neighbours. A second is short on purpose: the mains wander by some tenths
// of a hertz (from memory), and a longer segment would lose them. In white noise the ratio of the two follows an F
// distribution, so the threshold is a chance: one in a thousand for each frequency of each plate (project default).

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// humSegmentS is the length of a segment in seconds, so that frequencies a hertz apart are told apart.
	humSegmentS = 1.0
	// humChance is the chance that noise alone is taken for hum.
	humChance = 0.001
	// humLeastN is the smallest amplitude that is called hum, in newtons: files carry two decimals.
	humLeastN = 0.01
	// humNear and humFar bound the neighbours, in hertz from the mains' frequency: outside the window's main lobe, and
	// near enough for noise to be level.
	humNear, humFar = 3, 6
	// hannPower is the share of a sine's power, relative to a window of ones, that falls on the three middle frequencies:
	// (1/2)^2 + 2 (1/4)^2. hannTop is that of the middle one.
	hannPower, hannTop = 0.375, 0.25
)

// mainsHum returns the frequency of the mains hum in x that stands out most, 50 or 60 Hz, or 0 for none; its amplitude;
// and the smallest amplitude that would have stood out, of the worse of the two frequencies.
//
// A sampling rate at which either frequency or its neighbours cannot be told from its mirror image (aliasing) gives
// unknown for both: at 110 Hz a hum of 60 Hz looks like one of 50. So does a recording without one segment that is whole.
func mainsHum(x []float64, rateHz float64) (hz float64, amplitude Value, limitN float64) {
	if rateHz <= 2*(60+humFar) {
		return math.NaN(), unknown(fmt.Sprintf("at %g Hz a mains hum of 50 or 60 Hz cannot be told", rateHz)), math.NaN()
	}
	n := int(math.Round(humSegmentS * rateHz))
	segments := wholeSegments(x, n)
	if len(segments) == 0 {
		return math.NaN(), unknown("samples are missing in every second of it"), math.NaN()
	}
	amplitude = exact(0)
	for _, f := range []float64{50, 60} {
		var beside, middle, top float64
		for _, s := range segments {
			b, m, t := humPowers(s, f, rateHz)
			beside, middle, top = beside+b, middle+m, top+t
		}
		k := float64(len(segments))
		beside, middle, top = beside/k, middle/k, top/k
		most := beside * humThreshold(len(segments))
		scale := 2 / float64(n)
		limitN = math.Max(limitN, scale*math.Sqrt((most-beside)/hannTop))
		a := scale * math.Sqrt(math.Max(0, middle-3*beside)/hannPower)
		if top > most && a > math.Max(amplitude.Value, humLeastN) {
			hz, amplitude = f, exact(a)
		}
	}
	return hz, amplitude, math.Max(limitN, humLeastN)
}

// wholeSegments cuts x into segments of n samples that overlap by half, without those that have a gap. Each has its mean
// taken off and lies under a Hann window.
func wholeSegments(x []float64, n int) [][]float64 {
	var out [][]float64
	for from := 0; from+n <= len(x); from += max(1, n/2) {
		s := finiteOf(x[from : from+n])
		if len(s) < n {
			continue
		}
		mean := 0.0
		for _, v := range s {
			mean += v / float64(n)
		}
		for i := range s {
			s[i] = (s[i] - mean) * (1 - math.Cos(2*math.Pi*float64(i)/float64(n))) / 2
		}
		out = append(out, s)
	}
	return out
}

// humPowers returns the mean power beside frequency f, and the power at f and its two neighbours together and at f alone.
func humPowers(s []float64, f, rateHz float64) (beside, middle, top float64) {
	n := 0.0
	for d := humNear; d <= humFar; d++ {
		beside += power(s, f-float64(d), rateHz) + power(s, f+float64(d), rateHz)
		n += 2
	}
	top = power(s, f, rateHz)
	return beside / n, power(s, f-1, rateHz) + top + power(s, f+1, rateHz), top
}

// power returns the squared magnitude of the Fourier sum of s at frequency f, by Goertzel's recursion.
func power(s []float64, f, rateHz float64) float64 {
	c := 2 * math.Cos(2*math.Pi*f/rateHz)
	var a, b float64
	for _, v := range s {
		a, b = v+c*a-b, a
	}
	return a*a + b*b - c*a*b
}

// humThreshold returns how many times the power of its neighbours the power at one frequency must have. Over k segments
// the power of noise is a mean of k exponentials, hence chi-squared with 2 k degrees of freedom over them; overlapping
// segments and neighbours under a Hann window share some of their samples, which leaves fewer.
//
// Correlation of power between segments that overlap by half is 1/36, between neighbouring frequencies 4/9, between the
// next but one 1/36 (from the window's own transform, derived).
func humThreshold(k int) float64 {
	perFrequency := float64(k) / (1 + 2.0/36*float64(k-1)/float64(k))
	const each = humFar - humNear + 1
	const shared = 1 + 2*(3.0/4*4.0/9+2.0/4*1.0/36)
	return distuv.F{D1: 2 * perFrequency, D2: 2 * perFrequency * 2 * each / shared}.Quantile(1 - humChance)
}
