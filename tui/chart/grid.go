package chart

import (
	"math"

	"github.com/NimbleMarkets/ntcharts/v2/canvas"
	"github.com/NimbleMarkets/ntcharts/v2/canvas/graph"
)

// A layer is the dots of one trace: two a cell across, four a cell down.
type layer struct {
	grid         *graph.BrailleGrid
	wide, high   int // in dots
	dashOn, dash int // a dashed trace lights dash columns of every dashOn
	thick        bool
	lit          bool
}

func newLayer(cellsWide, cellsHigh int, form Form) *layer {
	l := &layer{grid: graph.NewBrailleGrid(cellsWide, cellsHigh, 0, 1, 0, 1), wide: 2 * cellsWide, high: 4 * cellsHigh}
	switch form {
	case Dashed:
		l.dashOn, l.dash = 6, 4
	case Double:
		l.thick = true
	case Solid:
	}
	return l
}

// vertical lights the dots of column x between rows a and b, those outside the picture left out.
func (l *layer) vertical(x, a, b int) {
	if x < 0 || x >= l.wide || (l.dashOn > 0 && x%l.dashOn >= l.dash) {
		return
	}
	if a > b {
		a, b = b, a
	}
	if l.thick {
		b++
	}
	for y := max(a, 0); y <= min(b, l.high-1); y++ {
		l.grid.Set(canvas.Point{X: x, Y: y})
		l.lit = true
	}
}

// join lights the straight line between two dots: in each column the rows that the line passes within half a column to
// either side. The rule is the same in both directions, so a picture does not depend on the order of its samples.
func (l *layer) join(x0, y0, x1, y1 int) {
	if x0 == x1 {
		l.vertical(x0, y0, y1)
		return
	}
	if x0 > x1 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	slope := float64(y1-y0) / float64(x1-x0)
	for x := max(x0, -1); x <= min(x1, l.wide); x++ {
		from, to := float64(x)-0.5, float64(x)+0.5
		from, to = math.Max(from, float64(x0)), math.Min(to, float64(x1))
		l.vertical(x, roundHalfUp(float64(y0)+slope*(from-float64(x0))), roundHalfUp(float64(y0)+slope*(to-float64(x0))))
	}
}

func roundHalfUp(v float64) int { return int(math.Floor(v + 0.5)) }

// A mapping turns data into dots.
type mapping struct {
	x, y       Range
	wide, high int
}

// column returns the dot column of a time.
func (m mapping) column(t float64) int {
	return bounded((t - m.x.From) / (m.x.To - m.x.From) * float64(m.wide-1))
}

// row returns the dot row of a value, 0 at the top.
func (m mapping) row(v float64) int {
	return bounded(float64(m.high-1) - (v-m.y.From)/(m.y.To-m.y.From)*float64(m.high-1))
}

// farAway bounds dots outside the picture, so that a wild value cannot overflow.
const farAway = 1 << 20

func bounded(v float64) int {
	return roundHalfUp(math.Max(-farAway, math.Min(farAway, v)))
}
