package chart

import "math"

// A Range is a stretch of an axis.
type Range struct{ From, To float64 }

// usable reports whether something can be drawn over the range.
func (r Range) usable() bool {
	return r.To > r.From && finite(r.To-r.From) && finite(r.From) && finite(r.To)
}

func finite(v float64) bool { return v-v == 0 }

// A mapping turns data into dots. The first and the last dot lie on the ends of the ranges. Both directions are monotone,
// rounding included: that is what lets four values stand for all samples of a column.
type mapping struct {
	x, y       Range
	wide, high int // in dots
}

// column returns the dot column of a time.
func (m mapping) column(t float64) int {
	return bounded((t - m.x.From) / (m.x.To - m.x.From) * float64(m.wide-1))
}

// row returns the dot row of a value, 0 at the top.
func (m mapping) row(v float64) int {
	return bounded(float64(m.high-1) - (v-m.y.From)/(m.y.To-m.y.From)*float64(m.high-1))
}

// farAway bounds dots outside the picture, so that a wild value cannot overflow. It is so far that a line to it leaves
// any picture within half a column, as the line to the value itself does.
const farAway = 1 << 22

func bounded(v float64) int {
	switch {
	case v >= farAway:
		return farAway
	case v > -farAway:
		return roundHalfUp(v)
	}
	return -farAway
}

func roundHalfUp(v float64) int { return int(math.Floor(v + 0.5)) }
