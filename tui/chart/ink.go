package chart

import "plateside/tui/theme"

// An Ink names a style of the theme, so that a plot can be built without one.
type Ink uint8

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
	InkBoth // left and right in one cell; chosen by the chart
	inks
)

// A palette is the style of every ink.
type palette [inks]theme.Style

func paletteOf(t theme.Theme) palette {
	return palette{{}, t.Dim, t.Faint, t.Band, t.Weight, t.Total, t.Left, t.Right, t.Accent, t.Both}
}

// rank orders traces from the bottom of the picture to its top, whatever order they are given in.
func (k Ink) rank() int {
	switch k {
	case InkFaint:
		return 0
	case InkLeft, InkRight, InkBoth:
		return 2
	case InkNone, InkDim, InkBand, InkWeight, InkTotal, InkAccent, inks:
	}
	return 1
}

// letter is what a trace is drawn with in plain characters.
func (k Ink) letter() rune {
	switch k {
	case InkLeft:
		return 'l'
	case InkRight:
		return 'r'
	case InkBoth:
		return 'x'
	case InkFaint:
		return '.'
	case InkNone, InkDim, InkBand, InkWeight, InkTotal, InkAccent, inks:
	}
	return '#'
}

// meet is the ink of a cell in which a trace comes over another. A cell has one colour, so there is a fixed order: the
// sides come over the total, every trace over the faint ones; a cell that holds left and right belongs to neither and is
// drawn in the terminal's own foreground. So colour shows where the sides part.
func meet(under, over Ink) Ink {
	if under == InkBoth || under == InkLeft && over == InkRight || under == InkRight && over == InkLeft {
		return InkBoth
	}
	return over
}
