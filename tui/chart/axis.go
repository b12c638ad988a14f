package chart

import (
	"math"
	"strconv"
)

// A Range is a stretch of an axis.
type Range struct{ From, To float64 }

// Ticks returns round numbers within a range, at most most of them: multiples of 1, 2 or 5 times a power of ten. They
// are in order, none twice, and never a negative zero. An empty or backward range, or room for none, gives none.
func Ticks(r Range, most int) []float64 {
	if !(r.To > r.From) || most < 1 || math.IsInf(r.To-r.From, 0) {
		return nil
	}
	step := niceStep((r.To - r.From) / float64(most))
	for {
		first := math.Ceil(r.From/step - 1e-9)
		last := math.Floor(r.To/step + 1e-9)
		if int(last-first)+1 <= most {
			ticks := make([]float64, 0, most)
			for k := first; k <= last; k++ {
				ticks = append(ticks, k*step+0) // +0 turns a negative zero
			}
			return ticks
		}
		step = niceStep(step * 1.01)
	}
}

// niceStep returns the least of 1, 2, 5 times a power of ten that is not below step.
func niceStep(step float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(step)))
	for _, k := range []float64{1, 2, 5} {
		if k*base >= step*(1-1e-9) {
			return k * base
		}
	}
	return 10 * base
}

// TickLabels returns the ticks as text with as many decimals as their step needs.
func TickLabels(ticks []float64) []string {
	decimals := 0
	if len(ticks) > 1 {
		step := ticks[1] - ticks[0]
		decimals = max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	} else if len(ticks) == 1 && ticks[0] != math.Trunc(ticks[0]) {
		decimals = 2
	}
	labels := make([]string, len(ticks))
	for i, t := range ticks {
		if math.Abs(t) < math.Pow(10, -float64(decimals))/2 {
			t = 0
		}
		labels[i] = strconv.FormatFloat(t, 'f', decimals, 64)
	}
	return labels
}
