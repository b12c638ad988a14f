package chart

import (
	"strings"
	"unicode/utf8"

	"plateside/tui/theme"
)

// An Ink names a style of the theme, so that a plot can be built without one.
type Ink int

// The inks.
const (
	InkNone Ink = iota
	InkDim
	InkFaint
	InkBand
	InkWeight
	InkTotal
	InkLeft
	InkRight
	InkAccent
	inks
)

func (k Ink) style(t theme.Theme) theme.Style {
	return [inks]theme.Style{{}, t.Dim, t.Faint, t.Band, t.Weight, t.Total, t.Left, t.Right, t.Accent}[k]
}

// A Level is a horizontal line, drawn where no trace is.
type Level struct {
	Value float64
	Ink   Ink
	// Dotted draws it with gaps, for limits.
	Dotted bool
}

// A Flag marks an instant at the top or bottom edge of the area with a short text, such as a peak that is off the scale.
type Flag struct {
	S    float64
	Text string
	Ink  Ink
	// Bottom puts it on the lowest row instead of the highest.
	Bottom bool
}

// A Plot is what is to be drawn.
type Plot struct {
	// Width and Height are in cells, axes included.
	Width, Height int
	X, Y          Range
	// YUnit stands above the labels of the force axis.
	YUnit string
	// YScale divides the labels' values (body weight in newtons for an axis in body weights); 0 is 1.
	YScale float64
	Series []Series
	Levels []Level
	Flags  []Flag
	// XLabels draws a row of times; XOrigin is the time that is written as 0.
	XLabels bool
	XOrigin float64
	XUnit   string
	// CursorS is the time of the cursor; HasCursor says that there is one.
	CursorS   float64
	HasCursor bool
}

const (
	// gutter is the width of the labels and ticks on the left.
	gutter = 7
	// margin is the width of the line labels on the right.
	margin = 2
)

// AreaWidth returns how many cells wide the dots are in a plot of that width.
func AreaWidth(width int) int { return max(0, width-gutter-margin) }

// a cell is one character with its ink.
type cell struct {
	r   rune
	ink Ink
}

// Render returns the rows of the plot, each Width cells wide. A plot too small for its axes gives blank rows.
func Render(p Plot, t theme.Theme) []string {
	wide, high := AreaWidth(p.Width), p.Height
	if p.XLabels {
		high--
	}
	if wide < 4 || high < 2 || !(p.X.To > p.X.From) || !(p.Y.To > p.Y.From) {
		rows := make([]string, max(0, p.Height))
		for i := range rows {
			rows[i] = strings.Repeat(" ", max(0, p.Width))
		}
		return rows
	}
	m := mapping{x: p.X, y: p.Y, wide: 2 * wide, high: 4 * high}
	area := newArea(wide, high)
	area.levels(p.Levels, m, t)
	ends := area.traces(p.Series, m, t.ASCII)
	area.flags(p.Flags, m)
	if p.HasCursor {
		area.cursor(m.column(p.CursorS)/2, t)
	}
	labels, tick := p.yLabels(high, m)
	rows := make([]string, 0, p.Height)
	for y := range high {
		var b strings.Builder
		b.WriteString(t.Dim.Paint(padLeft(labels[y], gutter-1) + axisSign(tick[y], t)))
		area.write(&b, y, t)
		end := ends[y]
		b.WriteString(end.ink.style(t).Paint(padRight(end.text, margin)))
		rows = append(rows, b.String())
	}
	if p.XLabels {
		rows = append(rows, t.Dim.Paint(p.xLabels(wide, m)))
	}
	return rows
}

func axisSign(tick bool, t theme.Theme) string {
	if tick {
		return t.Glyph.TickLeft
	}
	return t.Glyph.AxisV
}

// yLabels returns the label of each row and whether it carries a tick.
func (p Plot) yLabels(high int, m mapping) ([]string, []bool) {
	scale := p.YScale
	if scale == 0 {
		scale = 1
	}
	labels, tick := make([]string, high), make([]bool, high)
	ticks := Ticks(Range{p.Y.From / scale, p.Y.To / scale}, max(3, (high+1)/3))
	for i, text := range TickLabels(ticks) {
		row := m.row(ticks[i]*scale) / 4
		if row >= 0 && row < high && !tick[row] {
			labels[row], tick[row] = text, true
		}
	}
	if labels[0] == "" {
		labels[0] = p.YUnit
	} else if p.YUnit != "" {
		labels[0] = p.YUnit + " " + labels[0]
	}
	return labels, tick
}

// xLabels returns the row of times.
func (p Plot) xLabels(wide int, m mapping) string {
	row := []rune(strings.Repeat(" ", gutter+wide+margin))
	put := func(at int, text string) bool {
		runes := []rune(text)
		at -= len(runes) / 2
		if at < gutter-2 || at+len(runes) > len(row) {
			return false
		}
		for i := max(0, at-1); i < min(len(row), at+len(runes)+1); i++ {
			if row[i] != ' ' {
				return false
			}
		}
		copy(row[at:], runes)
		return true
	}
	put(gutter+wide+margin-utf8.RuneCountInString(p.XUnit)/2-1, p.XUnit)
	ticks := Ticks(Range{p.X.From - p.XOrigin, p.X.To - p.XOrigin}, max(2, wide/9))
	for i, text := range TickLabels(ticks) {
		put(gutter+m.column(ticks[i]+p.XOrigin)/2, text)
	}
	return string(row)
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
