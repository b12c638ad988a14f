package chart

import (
	"strings"
	"unicode/utf8"

	"plateside/tui/theme"
)

// A Segment is a named stretch of time.
type Segment struct {
	Name  string
	FromS float64
	ToS   float64
	Ink   Ink
	// Short is the name where the whole one has no room; "" for its first letters.
	Short string
	// Filler is drawn along the stretch instead of a name, one cell wide.
	Filler string
}

// Strip returns a row of named stretches with the same time axis as a plot of that width: the name where there is room,
// the short one or the first letters where there is not, and a tick where a stretch begins. A name may run on to where
// the next stretch begins.
func Strip(segments []Segment, x Range, width int, t theme.Theme) string {
	wide := AreaWidth(width)
	if wide < leastWide || !x.usable() {
		return strings.Repeat(" ", max(0, width))
	}
	m := mapping{x: x, y: Range{0, 1}, wide: 2 * wide, high: 4}
	a := newArea(wide, 1, t)
	for i, s := range segments {
		if !finite(s.FromS) || !finite(s.ToS) || s.ToS < x.From || s.FromS > x.To {
			continue
		}
		from, to := m.column(s.FromS)>>1, m.column(s.ToS)>>1
		if s.Filler != "" {
			a.write(max(0, from), 0, strings.Repeat(s.Filler, min(wide, max(to, from+1))-max(0, from)), s.Ink)
			continue
		}
		a.name(s, from, a.nextName(segments[i+1:], m), firstRune(t.Glyph.AxisV))
	}
	w := newWriter(paletteOf(t), 1, width)
	w.blanks(gutter)
	w.cells(a.cells)
	w.blanks(margin)
	w.newline()
	return w.rows()[0]
}

// nextName returns the cell where the next named stretch begins, the end of the row where there is none.
func (a *area) nextName(after []Segment, m mapping) int {
	for _, s := range after {
		if s.Filler == "" && finite(s.FromS) {
			return max(0, min(m.column(s.FromS)>>1, a.wide))
		}
	}
	return a.wide
}

// name writes a stretch's tick and as much of its name as there is room for up to a cell.
func (a *area) name(s Segment, from, to int, tick rune) {
	lo := max(0, from)
	if from >= 0 && from < a.wide {
		*a.at(from, 0) = cell{tick, InkDim, text}
		lo++
	}
	if lo < to {
		a.write(lo, 0, s.shortened(to-lo), s.Ink)
	}
}

// shortened fits a name into n cells: whole, short, the first letters, the first letter.
func (s Segment) shortened(n int) string {
	for _, name := range [2]string{s.Name, s.Short} {
		if name != "" && utf8.RuneCountInString(name) <= n {
			return name
		}
	}
	runes := []rune(s.Name)
	const leastLetters = 3 // with a full stop after them
	switch {
	case len(runes) == 0:
		return ""
	case n > leastLetters:
		return string(runes[:n-1]) + "."
	}
	return string(runes[:1])
}
