package series

import "slices"

// MovingMean returns the centred moving mean of x over a window of 2*half+1 samples. At the ends the window shrinks to
// what is there, so a constant stays a constant. A half below 1 returns a copy.
//
//	y[i] = mean(x[i-half .. i+half])
//
// The running sum is kept in order, so the cost does not depend on the window. A NaN spreads to the windows that hold
// it and to none after them, because the sum starts anew behind it.
func MovingMean(x []float64, half int) []float64 {
	y := make([]float64, len(x))
	if half < 1 {
		copy(y, x)
		return y
	}
	prefix := make([]float64, len(x)+1)
	var broken []int // how many NaN so far; nil while there is none
	for i, v := range x {
		if v != v {
			if broken == nil {
				broken = make([]int, len(x)+1)
			}
			prefix[i+1], broken[i+1] = prefix[i], broken[i]+1
			continue
		}
		prefix[i+1] = prefix[i] + v
		if broken != nil {
			broken[i+1] = broken[i]
		}
	}
	for i := range x {
		lo, hi := max(0, i-half), min(len(x), i+half+1)
		if broken != nil && broken[hi] > broken[lo] {
			y[i] = nan()
			continue
		}
		y[i] = (prefix[hi] - prefix[lo]) / float64(hi-lo)
	}
	return y
}

// FillGaps returns x with every run of NaN or infinite samples replaced by the straight line between its neighbours
// (the nearest sample at the ends), and whether there was any. A series without one finite sample is returned as zeros,
// one without a gap as it is: the result must not be written to.
func FillGaps(x []float64) (filled []float64, any bool) {
	if !slices.ContainsFunc(x, func(v float64) bool { return !finite(v) }) {
		return x, false
	}
	filled = make([]float64, len(x))
	copy(filled, x)
	last := -1
	for i := 0; i <= len(x); i++ {
		if i < len(x) && !finite(x[i]) {
			any = true
			continue
		}
		if i-last > 1 {
			bridge(filled, last, i)
		}
		last = i
	}
	return filled, any
}

// bridge fills the samples strictly between lo and hi, either of which may lie outside x.
func bridge(x []float64, lo, hi int) {
	var a, b float64
	switch {
	case lo < 0 && hi >= len(x):
	case lo < 0:
		a, b = x[hi], x[hi]
	case hi >= len(x):
		a, b = x[lo], x[lo]
	default:
		a, b = x[lo], x[hi]
	}
	for i := lo + 1; i < hi; i++ {
		x[i] = a + (b-a)*float64(i-lo)/float64(hi-lo)
	}
}
