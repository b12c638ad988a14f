package series

// A Peak is a local maximum.
type Peak struct {
	// At is the sample, in the middle of a flat top.
	At int
	// Prominence is how far one must come down from the peak before reaching higher ground, in the unit of the series.
	Prominence float64
}

// Peaks returns the local maxima of x with a prominence of at least min, in order. A maximum at the very first or last
// sample is not a peak. The definition is that of topography as used by general-purpose numerical libraries (compared
// with scipy.signal.find_peaks in the tests): on each side go down to the lowest point before higher ground or the end
// of the series; the prominence is the height above the higher of the two.
func Peaks(x []float64, min float64) []Peak {
	var peaks []Peak
	for i := 1; i < len(x)-1; {
		j := i
		for j < len(x)-1 && x[j+1] == x[i] {
			j++
		}
		if x[i-1] < x[i] && j < len(x)-1 && x[j+1] < x[i] {
			at := (i + j) / 2
			if p := prominence(x, at); p >= min {
				peaks = append(peaks, Peak{At: at, Prominence: p})
			}
		}
		i = j + 1
	}
	return peaks
}

func prominence(x []float64, at int) float64 {
	left := x[at]
	for i := at; i >= 0 && x[i] <= x[at]; i-- {
		left = min(left, x[i])
	}
	right := x[at]
	for i := at; i < len(x) && x[i] <= x[at]; i++ {
		right = min(right, x[i])
	}
	return x[at] - max(left, right)
}

// Vertex returns the position, in samples from the first, of the turning point of the least-squares parabola through x.
// ok is false when x is too short or the parabola does not open upward.
func Vertex(x []float64) (at float64, ok bool) {
	n := len(x)
	if n < 3 {
		return nan(), false
	}
	// Positions are centred, so odd sums vanish: x ~ a + b t + c t^2 with b and c decoupled.
	mid := float64(n-1) / 2
	var s2, s4, sx, stx, st2x float64
	for i, v := range x {
		t := float64(i) - mid
		s2, s4 = s2+t*t, s4+t*t*t*t
		sx, stx, st2x = sx+v, stx+t*v, st2x+t*t*v
	}
	b := stx / s2
	c := (st2x - s2*sx/float64(n)) / (s4 - s2*s2/float64(n))
	if !(c > 0) {
		return nan(), false
	}
	return mid - b/(2*c), true
}
