package chart

import (
	"strings"
	"unicode/utf8"

	"plateside/tui/theme"
)

// A Segment is a named stretch of time.
type Segment struct {
	Name   string
	FromS  float64
	ToS    float64
	Ink    Ink
	Filler string // drawn along the stretch instead of a name, one cell wide
}

// Strip returns a row of named stretches with the same time axis as a plot of that width: the name where there is room,
// its first letters where there is not, and a short tick where a stretch begins.
func Strip(segments []Segment, x Range, width int, t theme.Theme) string {
	wide := AreaWidth(width)
	if wide < 4 || !(x.To > x.From) {
		return strings.Repeat(" ", max(0, width))
	}
	m := mapping{x: x, y: Range{0, 1}, wide: 2 * wide, high: 4}
	row := make([]cell, wide)
	for i := range row {
		row[i].r = ' '
	}
	for i, s := range segments {
		from, to := m.column(s.FromS)/2, m.column(s.ToS)/2
		if s.Filler == "" { // a name may run on to where the next one begins
			to = wide
			if i+1 < len(segments) {
				to = max(0, m.column(segments[i+1].FromS)/2)
			}
		}
		if to < 0 || from >= wide || s.ToS < x.From {
			continue
		}
		lo, hi := max(0, from), min(wide, max(to, from+1))
		if s.Filler != "" {
			for i := lo; i < hi; i++ {
				row[i] = cell{[]rune(s.Filler)[0], s.Ink}
			}
			continue
		}
		if from >= 0 {
			row[lo] = cell{[]rune(t.Glyph.AxisV)[0], InkDim}
			lo++
		}
		for i, r := range []rune(shorten(s.Name, hi-lo)) {
			row[lo+i] = cell{r, s.Ink}
		}
	}
	var b strings.Builder
	b.WriteString(strings.Repeat(" ", gutter))
	(&area{wide: wide, high: 1, cells: row}).write(&b, 0, t)
	b.WriteString(strings.Repeat(" ", margin))
	return b.String()
}

// shorten fits a name into n cells: whole, or its first letters.
func shorten(name string, n int) string {
	if n <= 0 {
		return ""
	}
	if utf8.RuneCountInString(name) <= n {
		return name
	}
	runes := []rune(name)
	if n >= 4 {
		return string(runes[:n-1]) + "."
	}
	return string(runes[:min(n, 1)])
}
