package chart

import (
	"cmp"
	"slices"

	"plateside/tui/theme"
)

// withCursor returns a copy of the area with a vertical line in a column: a line where no trace is, the trace in the
// cursor's ink where there is one.
func (a *area) withCursor(x int, g theme.Glyphs) *area {
	c := *a
	c.cells = slices.Clone(a.cells)
	line := firstRune(g.Cursor)
	for y := range c.high {
		at := c.at(x, y)
		if at.kind <= level {
			at.r = line
		}
		at.ink, at.kind = InkAccent, text
	}
	return &c
}

// cursorLabels writes the labels of the series beside the cursor, right of it or else left of it, where no trace is.
func (a *area) cursorLabels(series []*Series, m mapping, cursor int, s float64) {
	for _, k := range series {
		if k.Label == "" || !(k.StepS > 0) {
			continue
		}
		i := roundHalfUp((s - k.FirstS) / k.StepS)
		if i < 0 || i >= len(k.Values) || !finite(k.Values[i]) {
			continue
		}
		y := max(0, min(m.row(k.Values[i])>>2, a.high-1))
		for _, x := range [2]int{cursor + 1, cursor - 1} {
			if x >= 0 && x < a.wide && a.at(x, y).kind <= level {
				*a.at(x, y) = cell{firstRune(k.Label), k.Ink, text}
				break
			}
		}
	}
}

// TimeAt returns the time in the middle of a column of cells, counted from the left edge of the plot, as for a click of
// the mouse. ok is false where there are no dots.
func (d *Picture) TimeAt(column int) (s float64, ok bool) {
	if d.area == nil || column < gutter || column >= gutter+d.area.wide {
		return 0, false
	}
	dot := 2*float64(column-gutter) + 0.5
	return d.m.x.From + dot/float64(d.m.wide-1)*(d.m.x.To-d.m.x.From), true
}

// An end is a label at the right end of a line.
type end struct {
	text string
	ink  Ink
	row  int // in dots, where the line ends
}

// lineEnds returns the labels right of the area, one a row, each as near to the end of its line as there is room and in
// the order of the lines, left above right where they end in one dot.
func lineEnds(series []*Series, m mapping, high int) []end {
	var labels []end
	for _, s := range series {
		if y, ok := s.endRow(m); ok && s.Label != "" {
			labels = append(labels, end{s.Label, s.Ink, y})
		}
	}
	slices.SortStableFunc(labels, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.ink, b.ink), cmp.Compare(a.text, b.text))
	})
	labels = labels[:min(len(labels), high)]
	rows := make([]int, len(labels))
	for i, e := range labels { // downwards, none above the one before
		rows[i] = e.row >> 2
		if i > 0 {
			rows[i] = max(rows[i], rows[i-1]+1)
		}
	}
	ends := make([]end, high)
	for i, below := len(labels)-1, high; i >= 0; i-- { // and up again from the lower edge
		below = min(rows[i], below-1)
		ends[below] = labels[i]
	}
	return ends
}

// endRow returns the dot row of the last value of a series inside the picture.
func (s *Series) endRow(m mapping) (int, bool) {
	first, last := s.visible(m)
	for i := last; i >= first; i-- {
		if t := s.at(i); t >= m.x.From && t <= m.x.To && finite(s.Values[i]) {
			return max(0, min(m.row(s.Values[i]), m.high-1)), true
		}
	}
	return 0, false
}
