package chart

import (
	"strings"

	"plateside/tui/theme"
)

// An area is the cells in which traces are drawn.
type area struct {
	wide, high int
	cells      []cell
}

func newArea(wide, high int) *area {
	a := &area{wide: wide, high: high, cells: make([]cell, wide*high)}
	for i := range a.cells {
		a.cells[i].r = ' '
	}
	return a
}

func (a *area) at(x, y int) *cell { return &a.cells[y*a.wide+x] }

// levels draws the horizontal lines.
func (a *area) levels(levels []Level, m mapping, t theme.Theme) {
	for _, l := range levels {
		y := m.row(l.Value)
		if y < 0 || y >= m.high {
			continue
		}
		for x := range a.wide {
			if l.Dotted && x%2 == 1 {
				continue
			}
			*a.at(x, y/4) = cell{levelRune(y%4, t.ASCII), l.Ink}
		}
	}
}

// levelRune is a horizontal line at one of the four heights of a cell.
func levelRune(quarter int, ascii bool) rune {
	if ascii {
		return '-'
	}
	return [4]rune{'⠉', '⠒', '⠤', '⣀'}[quarter]
}

// an end is a label at the right end of a line.
type end struct {
	text string
	ink  Ink
}

// traces draws the series, the first at the bottom, and returns the labels at their ends, a row each. A cell has one
// colour: where two traces share it the later one's, except that left and right on each other take turns.
func (a *area) traces(series []Series, m mapping, ascii bool) []end {
	ends := make([]end, a.high)
	for _, s := range series {
		l := newLayer(a.wide, a.high, s.Form)
		l.trace(s, m)
		if l.lit {
			a.lay(l.grid.BraillePatterns(), s, ascii)
		}
		if row, ok := s.endRow(m); ok && s.Label != "" {
			placeEnd(ends, row/4, end{" " + s.Label, s.Ink})
		}
	}
	return ends
}

// emptyBraille is the pattern without dots.
const emptyBraille = 0x2800

// lay puts the patterns of one trace over what is there.
func (a *area) lay(patterns [][]rune, s Series, ascii bool) {
	for y, row := range patterns {
		for x, r := range row {
			if r == emptyBraille || y >= a.high || x >= a.wide {
				continue
			}
			c := a.at(x, y)
			if ascii {
				*c = cell{asciiRune(c, s), s.Ink}
				continue
			}
			line := c.ink == InkWeight || c.ink == InkBand || c.ink == InkDim
			if !line && c.r >= emptyBraille && c.r <= emptyBraille+0xff {
				r |= c.r
			}
			*c = cell{r, mixed(c.ink, s.Ink, x)}
		}
	}
}

// mixed is the ink of a cell in which a trace meets another. Where left and right lie on each other the cells take their
// colours in turn, so that neither hides the other.
func mixed(under, over Ink, x int) Ink {
	if over != InkRight || (under != InkLeft && under != InkRight) {
		return over
	}
	if x%2 == 0 {
		return InkLeft
	}
	return InkRight
}

// asciiRune is the letter of a trace in plain characters; left and right on each other are an x.
func asciiRune(under *cell, s Series) rune {
	letter := '#'
	switch s.Ink { //nolint:exhaustive // the others are drawn as the total
	case InkLeft:
		letter = 'l'
	case InkRight:
		letter = 'r'
	case InkFaint:
		letter = '.'
	}
	if under.r == 'l' && letter == 'r' {
		return 'x'
	}
	return letter
}

// endRow returns the dot row of the last value of a series inside the picture.
func (s Series) endRow(m mapping) (int, bool) {
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
		for _, y := range []int{row - off, row + off} {
			if y >= 0 && y < len(ends) && ends[y].text == "" {
				ends[y] = e
				return
			}
		}
	}
}

// flags writes the short texts at the edges, each beside its instant.
func (a *area) flags(flags []Flag, m mapping) {
	for _, f := range flags {
		x := m.column(f.S) / 2
		y := 0
		if f.Bottom {
			y = a.high - 1
		}
		text := []rune(f.Text)
		if x < 0 || x >= a.wide {
			continue
		}
		x = min(x, a.wide-len(text))
		for i, r := range text {
			if x+i >= 0 && x+i < a.wide {
				*a.at(x+i, y) = cell{r, f.Ink}
			}
		}
	}
}

// cursor draws a vertical line where no trace is and paints the trace under it.
func (a *area) cursor(x int, t theme.Theme) {
	if x < 0 || x >= a.wide {
		return
	}
	for y := range a.high {
		c := a.at(x, y)
		if c.r == ' ' || c.ink == InkWeight || c.ink == InkBand {
			c.r = []rune(t.Glyph.Cursor)[0]
		}
		c.ink = InkAccent
	}
}

// write appends row y, cells of one ink in one run.
func (a *area) write(b *strings.Builder, y int, t theme.Theme) {
	row := a.cells[y*a.wide : (y+1)*a.wide]
	for i := 0; i < len(row); {
		j := i
		for j < len(row) && (row[j].ink == row[i].ink || row[j].r == ' ') {
			j++
		}
		style := row[i].ink.style(t)
		b.WriteString(style.Open())
		for _, c := range row[i:j] {
			b.WriteRune(c.r)
		}
		b.WriteString(style.Close())
		i = j
	}
}
