package chart

import "math"

// Drawing a trace.
//
// A jump has thousands of samples and a picture a few hundred columns. Drawing every segment lights, in each column,
// all rows between the lowest and the highest sample that falls there, and a line from the last sample of one column to
// the first of the next. So four numbers a column are enough: first, lowest, highest, last (U. Jugel et al., M4: a
// visualization-oriented time series data aggregation, VLDB 2014). The picture is the same to the dot; a test holds it
// against drawing every segment. Three things must be kept for that: samples are grouped by the very rounding that maps
// them to columns, a zoomed picture takes one sample beyond each edge, and the value-to-row mapping is monotone.

// A Series is one trace.
type Series struct {
	// Values may hold NaN or infinities; they break the line.
	Values []float64
	// FirstS is the time of the first value, StepS the time between values, in seconds.
	FirstS, StepS float64
	Form          Form
	Ink           Ink
	// Label stands at the right end of the trace, one cell wide; "" for none.
	Label string
}

// A Form is how a line is drawn, so that traces can be told apart without colour.
type Form uint8

// The forms.
const (
	Solid  Form = iota
	Dashed      // four dots on, two off
	Double      // two dots thick
)

// A raster takes the dots of a trace.
type raster interface {
	// vertical lights the dots of column x between two rows, in either order; those outside the picture are left out.
	vertical(x, a, b int)
}

// A point is a dot, inside the picture or not.
type point struct{ x, y int }

// join lights the straight line between two dots: in each column of the picture the rows that the line passes within half
// a column to either side. The rule is the same in both directions, so a picture does not depend on the order of its
// samples.
func join(r raster, wide int, a, b point) {
	if a.x == b.x {
		r.vertical(a.x, a.y, b.y)
		return
	}
	if a.x > b.x {
		a, b = b, a
	}
	slope := float64(b.y-a.y) / float64(b.x-a.x)
	for x := max(a.x, 0); x <= min(b.x, wide-1); x++ {
		from, to := max(float64(x)-0.5, float64(a.x)), min(float64(x)+0.5, float64(b.x))
		r.vertical(x, roundHalfUp(float64(a.y)+slope*(from-float64(a.x))), roundHalfUp(float64(a.y)+slope*(to-float64(a.x))))
	}
}

// draw lights the dots of a series from first, lowest, highest and last value of each column.
func (s *Series) draw(r raster, m mapping) {
	first, last := s.visible(m)
	have := false
	var before point // the last dot of the column before
	for i := first; i <= last; {
		if !finite(s.Values[i]) {
			have = false
			i++
			continue
		}
		x := m.column(s.at(i))
		lowest, highest, n := extremes(s.Values[i:s.columnEnd(m, i, last)])
		if have {
			join(r, m.wide, before, point{x, m.row(s.Values[i])})
		}
		r.vertical(x, m.row(highest), m.row(lowest))
		before, have = point{x, m.row(s.Values[i+n-1])}, true
		i += n
	}
}

// extremes returns the lowest and highest of the values before the first that is not finite, and how many these are.
func extremes(values []float64) (lowest, highest float64, n int) {
	lowest, highest = values[0], values[0]
	for i, v := range values {
		if v-v != 0 {
			return lowest, highest, i
		}
		if v < lowest {
			lowest = v
		}
		if v > highest {
			highest = v
		}
	}
	return lowest, highest, len(values)
}

// columnEnd returns the index after the last value, up to last, that falls into the same dot column as value i. The
// guess from the column's edge is put right by the mapping itself.
func (s *Series) columnEnd(m mapping, i, last int) int {
	x := m.column(s.at(i))
	edge := m.x.From + (float64(x)+0.5)*(m.x.To-m.x.From)/float64(m.wide-1)
	end := last + 1
	if guess := math.Ceil((edge - s.FirstS) / s.StepS); guess < float64(end) {
		end = max(i+1, int(guess))
	}
	for end > i+1 && m.column(s.at(end-1)) != x {
		end--
	}
	for end <= last && m.column(s.at(end)) == x {
		end++
	}
	return end
}

// at returns the time of value i.
func (s *Series) at(i int) float64 { return s.FirstS + float64(i)*s.StepS }

// visible returns the first and last value that shape a picture: those that fall into its columns, half a column beyond
// the edges included, and at least one more on each side. last is before first when there is none.
func (s *Series) visible(m mapping) (first, last int) {
	if len(s.Values) == 0 || !(s.StepS > 0) || !finite(s.StepS) || !finite(s.FirstS) {
		return 0, -1
	}
	half := (m.x.To - m.x.From) / float64(max(1, m.wide-1)) / 2
	from := math.Floor((m.x.From-half-s.FirstS)/s.StepS) - 2
	to := math.Ceil((m.x.To+half-s.FirstS)/s.StepS) + 2
	n := float64(len(s.Values))
	return int(math.Max(0, math.Min(from, n))), int(math.Max(-1, math.Min(to, n-1)))
}
