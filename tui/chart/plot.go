package chart

import (
	"strings"
	"unicode/utf8"

	"plateside/tui/theme"
)

// A Level is a horizontal line, drawn where no trace is.
type Level struct {
	Value float64
	Ink   Ink
	// Dotted draws it with gaps, for limits.
	Dotted bool
}

// A Flag marks an instant at the top or bottom edge of the area with a short text, such as a peak that is off the scale.
// It comes over the traces.
type Flag struct {
	S    float64
	Text string
	Ink  Ink
	// Bottom puts it on the lowest row instead of the highest.
	Bottom bool
}

// A Mark is a short tick at the bottom edge of the area, or at the top; it never hides a trace.
type Mark struct {
	S   float64
	Ink Ink
	Top bool
}

// A Plot is what is to be drawn.
type Plot struct {
	// Width and Height are in cells, axes included.
	Width, Height int
	X, Y          Range
	// YUnit stands above the labels of the value axis.
	YUnit string
	// YScale divides the labels' values (body weight in newtons for an axis in body weights); 0 is 1.
	YScale float64
	Series []Series
	Levels []Level
	Flags  []Flag
	Marks  []Mark
	// XLabels draws a row of times; XOrigin is the time that is written as 0.
	XLabels bool
	XOrigin float64
	XUnit   string
	// CursorS is the time of the cursor; HasCursor says that there is one.
	CursorS   float64
	HasCursor bool
	// CursorLabels writes the labels of the series beside the cursor too.
	CursorLabels bool
}

const (
	// gutter is the width of the labels and ticks on the left.
	gutter = 7
	// margin is the width of the line labels on the right.
	margin = 2
	// leastWide and leastHigh are the smallest area that is drawn, in cells.
	leastWide = 4
	leastHigh = 2
)

// AreaWidth returns how many cells wide the dots are in a plot of that width.
func AreaWidth(width int) int { return max(0, width-gutter-margin) }

// A Picture is a drawn plot. Its rows can be had again and again, with the cursor somewhere else, without drawing the
// traces again. It may be used from several goroutines.
type Picture struct {
	plot  Plot
	theme theme.Theme
	m     mapping
	area  *area // nil where the plot is too small
	axis  []axisRow
	ends  []end
	times string
}

// Draw draws a plot. It reads the plot's series but keeps nothing of the values beyond what a cursor needs, and must be
// called again when they change.
func Draw(p Plot, t theme.Theme) *Picture {
	wide, high := AreaWidth(p.Width), p.Height
	d := &Picture{plot: p, theme: t}
	if p.XLabels {
		high--
	}
	if wide < leastWide || high < leastHigh || !p.X.usable() || !p.Y.usable() {
		return d
	}
	d.m = mapping{x: p.X, y: p.Y, wide: 2 * wide, high: 4 * high}
	d.area = newArea(wide, high, t)
	d.area.levels(p.Levels, d.m)
	series := inOrder(p.Series)
	d.area.traces(series, d.m)
	if t.ASCII {
		d.area.plain()
	}
	d.area.marks(p.Marks, d.m, t.Glyph)
	d.area.flags(p.Flags, d.m)
	d.axis = p.valueAxis(high, d.m)
	d.ends = lineEnds(series, d.m, high)
	if p.XLabels {
		d.times = p.timeAxis(wide, d.m)
	}
	return d
}

// Render draws a plot and returns its rows, each Width cells wide. A plot too small for its axes gives blank rows.
func Render(p Plot, t theme.Theme) []string {
	d := Draw(p, t)
	if p.HasCursor {
		return d.RowsWithCursor(p.CursorS)
	}
	return d.Rows()
}

// Rows returns the rows of the picture without a cursor.
func (d *Picture) Rows() []string { return d.rows(-1, 0) }

// RowsWithCursor returns the rows with the cursor at a time. A time outside the picture gives no cursor.
func (d *Picture) RowsWithCursor(s float64) []string {
	if d.area == nil || !finite(s) {
		return d.rows(-1, s)
	}
	return d.rows(d.m.column(s)>>1, s)
}

// rows writes the picture with the cursor in a column of cells; there is none outside the area.
func (d *Picture) rows(cursor int, s float64) []string {
	p := &d.plot
	if d.area == nil {
		rows := make([]string, max(0, p.Height))
		for i := range rows {
			rows[i] = strings.Repeat(" ", max(0, p.Width))
		}
		return rows
	}
	a := d.area
	if cursor >= 0 && cursor < a.wide {
		a = a.withCursor(cursor, d.theme.Glyph)
		if p.CursorLabels {
			a.cursorLabels(inOrder(p.Series), d.m, cursor, s)
		}
	}
	w := newWriter(paletteOf(d.theme), p.Height, p.Width)
	for y := range a.high {
		sign := d.theme.Glyph.AxisV
		if d.axis[y].tick {
			sign = d.theme.Glyph.TickLeft
		}
		w.text(padLeft(d.axis[y].label, gutter-1)+sign, InkDim)
		w.cells(a.cells[y*a.wide : (y+1)*a.wide])
		if e := d.ends[y]; e.text == "" {
			w.blanks(margin)
		} else {
			w.text(padRight(" "+e.text, margin), e.ink)
		}
		w.newline()
	}
	if p.XLabels {
		w.text(d.times, InkDim)
		w.newline()
	}
	return w.rows()
}

func padLeft(s string, n int) string {
	have := utf8.RuneCountInString(s)
	if have > n {
		return string([]rune(s)[:n])
	}
	return strings.Repeat(" ", n-have) + s
}

func padRight(s string, n int) string {
	have := utf8.RuneCountInString(s)
	if have > n {
		return string([]rune(s)[:n])
	}
	return s + strings.Repeat(" ", n-have)
}
