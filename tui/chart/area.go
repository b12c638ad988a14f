package chart

import (
	"cmp"
	"slices"

	"plateside/tui/theme"
)

// A cell is one character with its ink.
type cell struct {
	r    rune
	ink  Ink
	kind kind
}

// A kind is what a cell holds; what is drawn later gives way to, or comes over, what is there.
type kind uint8

const (
	blank kind = iota
	level      // a horizontal line
	trace
	text
)

// emptyBraille is the pattern without dots.
const emptyBraille = 0x2800

// An area is the cells in which traces are drawn.
type area struct {
	wide, high int
	ascii      bool
	cells      []cell
}

func newArea(wide, high int, t theme.Theme) *area {
	a := &area{wide: wide, high: high, ascii: t.ASCII, cells: make([]cell, wide*high)}
	for i := range a.cells {
		a.cells[i].r = ' '
	}
	return a
}

func (a *area) at(x, y int) *cell { return &a.cells[y*a.wide+x] }

// levels draws the horizontal lines; those that pass through one cell are both seen.
func (a *area) levels(levels []Level, m mapping) {
	for _, l := range levels {
		if !finite(l.Value) {
			continue
		}
		y := m.row(l.Value)
		if y < 0 || y >= m.high {
			continue
		}
		r := [4]rune{'⠉', '⠒', '⠤', '⣀'}[y%4]
		if a.ascii {
			r = '-'
		}
		for x := range a.wide {
			if l.Dotted && x%2 == 1 {
				continue
			}
			c := a.at(x, y/4)
			if c.kind == blank || a.ascii {
				c.r = r
			}
			c.r, c.ink, c.kind = c.r|r, l.Ink, level
		}
	}
}

// inOrder returns the series from the bottom to the top of the picture.
func inOrder(series []Series) []*Series {
	sorted := make([]*Series, len(series))
	for i := range series {
		sorted[i] = &series[i]
	}
	slices.SortStableFunc(sorted, func(a, b *Series) int { return cmp.Compare(a.Ink.rank(), b.Ink.rank()) })
	return sorted
}

// traces draws the series.
func (a *area) traces(series []*Series, m mapping) {
	b := newBitmap(a.wide, a.high)
	for _, s := range series {
		b.reset(s.Form == Double)
		s.draw(b, m)
		if s.Form == Dashed && !a.ascii {
			b.dash()
		}
		for i, bits := range b.bits {
			if bits != 0 {
				a.lay(i, emptyBraille+rune(bits), s.Ink)
			}
		}
	}
}

// lay puts the dots of one trace in a cell over what is there. Dots of two traces in one cell are all lit; only faint
// traces and horizontal lines give way.
func (a *area) lay(i int, r rune, ink Ink) {
	c := &a.cells[i]
	if c.kind == trace {
		if c.ink.rank() > 0 || ink.rank() == 0 {
			r |= c.r
		}
		ink = meet(c.ink, ink)
	}
	*c = cell{r, ink, trace}
}

// plain turns the dots into letters for terminals that show only plain characters.
func (a *area) plain() {
	for i := range a.cells {
		if c := &a.cells[i]; c.kind == trace {
			c.r = c.ink.letter()
		}
	}
}

// write puts a text into a row beginning at a cell, as far as it fits.
func (a *area) write(x, y int, s string, ink Ink) {
	for _, r := range s {
		if x >= 0 && x < a.wide {
			*a.at(x, y) = cell{r, ink, text}
		}
		x++
	}
}

// flags writes the short texts at the edges, each beginning at its instant.
func (a *area) flags(flags []Flag, m mapping) {
	for _, f := range flags {
		if !finite(f.S) {
			continue
		}
		x, y := m.column(f.S)>>1, 0
		if f.Bottom {
			y = a.high - 1
		}
		if x >= 0 && x < a.wide {
			a.write(max(0, min(x, a.wide-len([]rune(f.Text)))), y, f.Text, f.Ink)
		}
	}
}

// markDepth is how many rows a mark may go inwards to find a cell without a trace.
const markDepth = 3

// marks draws the short ticks at the edges, in the first free cell from the edge inwards: they never hide a trace.
func (a *area) marks(marks []Mark, m mapping, g theme.Glyphs) {
	for _, k := range marks {
		if !finite(k.S) {
			continue
		}
		x := m.column(k.S) >> 1
		if x < 0 || x >= a.wide {
			continue
		}
		y, step, r := a.high-1, -1, firstRune(g.TickBottom)
		if k.Top {
			y, step, r = 0, 1, firstRune(g.TickTop)
		}
		for range min(markDepth, a.high) {
			if c := a.at(x, y); c.kind < trace {
				*c = cell{r, k.Ink, text}
				break
			}
			y += step
		}
	}
}

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return ' '
}
