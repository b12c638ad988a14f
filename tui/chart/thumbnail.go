package chart

import (
	"github.com/NimbleMarkets/ntcharts/v2/canvas"
	"github.com/NimbleMarkets/ntcharts/v2/canvas/graph"

	"plateside/tui/theme"
)

// A Thumb is a small curve without axes, one of many on a page. The caller gives all of them the same ranges.
type Thumb struct {
	// Width and Height are in cells.
	Width, Height int
	X, Y          Range
	// Series are drawn solid, or double where they say so: dashes would not be seen at this size.
	Series []Series
	Levels []Level
}

// Thumbnail returns the rows of a small curve, each Width cells wide.
func Thumbnail(p Thumb, t theme.Theme) []string {
	wide, high := max(0, p.Width), max(0, p.Height)
	a := newArea(wide, high, t)
	if wide > 0 && p.X.usable() && p.Y.usable() {
		m := mapping{x: p.X, y: p.Y, wide: 2 * wide, high: 4 * high}
		a.levels(p.Levels, m)
		for _, s := range inOrder(p.Series) {
			g := newGrid(wide, high, s.Form == Double)
			s.draw(g, m)
			a.layGrid(g, s.Ink)
		}
		if t.ASCII {
			a.plain()
		}
	}
	w := newWriter(paletteOf(t), high, wide)
	for y := range high {
		w.cells(a.cells[y*wide : (y+1)*wide])
		w.newline()
	}
	return w.rows()
}

// A grid is the dots of one trace in ntcharts' grid.
type grid struct {
	*graph.BrailleGrid
	high  int // in dots
	thick bool
}

func newGrid(cellsWide, cellsHigh int, thick bool) *grid {
	return &grid{graph.NewBrailleGrid(cellsWide, cellsHigh, 0, 1, 0, 1), 4 * cellsHigh, thick}
}

func (g *grid) vertical(x, a, b int) {
	from, to, ok := clip(a, b, g.high, g.thick)
	for y := from; ok && y <= to; y++ {
		g.Set(canvas.Point{X: x, Y: y})
	}
}

// layGrid puts the patterns of a grid over what is there.
func (a *area) layGrid(g *grid, ink Ink) {
	for y, row := range g.BraillePatterns() {
		for x, r := range row {
			if r != emptyBraille {
				a.lay(y*a.wide+x, r, ink)
			}
		}
	}
}
