package chart

import (
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

// An end is a label at the right end of a line.
type end struct {
	text string
	ink  Ink
}

// lineEnds returns the labels right of the area, one a row, each as near to the end of its line as there is room.
func lineEnds(series []*Series, m mapping, high int) []end {
	ends := make([]end, high)
	for _, s := range series {
		if s.Label == "" {
			continue
		}
		if y, ok := s.endRow(m); ok {
			placeEnd(ends, y>>2, end{s.Label, s.Ink})
		}
	}
	return ends
}

// endRow returns the dot row of the last value of a series inside the picture.
func (s *Series) endRow(m mapping) (int, bool) {
	first, last := s.visible(m)
	for i := last; i >= first; i-- {
		if s.at(i) <= m.x.To && finite(s.Values[i]) {
			return max(0, min(m.row(s.Values[i]), m.high-1)), true
		}
	}
	return 0, false
}

// placeEnd puts a label on its row, or on the nearest free one.
func placeEnd(ends []end, row int, e end) {
	for off := range len(ends) {
		for _, y := range [2]int{row - off, row + off} {
			if y >= 0 && y < len(ends) && ends[y].text == "" {
				ends[y] = e
				return
			}
		}
	}
}
