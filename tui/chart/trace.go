package chart

// Drawing a trace.
//
// A jump has thousands of samples and a picture a few hundred columns. Drawing every segment lights, in each column,
// all rows between the lowest and the highest sample that falls there, and a line from the last sample of one column to
// the first of the next. So four numbers a column are enough: first, lowest, highest, last (U. Jugel et al., M4: a
// visualization-oriented time series data aggregation, VLDB 2014). The picture is the same to the dot; a test holds it
// against drawing every segment. Two things must be kept for that: samples are grouped by the very rounding that maps
// them to columns, and a zoomed picture takes one sample beyond each edge.

import "math"

// A Series is one trace.
type Series struct {
	Values []float64
	// FirstS is the time of the first value, StepS the time between values, in seconds.
	FirstS, StepS float64
	Form          Form
	Ink           Ink
	// Label stands at the right end of the trace; "" for none.
	Label string
}

// A Form is how a line is drawn, so that traces can be told apart without colour.
type Form int

// The forms.
const (
	Solid  Form = iota
	Dashed      // four dots on, two off
	Double      // two dots thick
)

// trace lights the dots of a series.
func (l *layer) trace(s Series, m mapping) {
	first, last := s.visible(m)
	have := false
	var px, py int // the last dot of the column before
	for i := first; i <= last; {
		if !finite(s.Values[i]) {
			have = false
			i++
			continue
		}
		x := m.column(s.at(i))
		y := m.row(s.Values[i])
		lowest, highest, end := y, y, y
		j := i + 1
		for ; j <= last && finite(s.Values[j]); j++ {
			if m.column(s.at(j)) != x {
				break
			}
			end = m.row(s.Values[j])
			lowest, highest = min(lowest, end), max(highest, end)
		}
		l.vertical(x, lowest, highest)
		if have {
			l.join(px, py, x, y)
		}
		px, py, have = x, end, true
		i = j
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// at returns the time of value i.
func (s Series) at(i int) float64 { return s.FirstS + float64(i)*s.StepS }

// visible returns the first and last value that shape a picture: those that fall into its columns, half a column beyond
// the edges included, and one more on each side. last is before first when there is none.
func (s Series) visible(m mapping) (first, last int) {
	if len(s.Values) == 0 || !(s.StepS > 0) {
		return 0, -1
	}
	half := (m.x.To - m.x.From) / float64(max(1, m.wide-1)) / 2
	first = int(math.Floor((m.x.From-half-s.FirstS)/s.StepS)) - 1
	last = int(math.Ceil((m.x.To+half-s.FirstS)/s.StepS)) + 1
	return max(0, min(first, len(s.Values))), max(-1, min(last, len(s.Values)-1))
}
