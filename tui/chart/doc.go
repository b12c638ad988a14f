// Package chart turns numbers and marks into rows of styled text. It knows forces, times and inks, and nothing of good or
// bad.
//
// A plot has a gutter of labels on the left, an area of braille dots (two a cell across, four down), a margin for the
// labels of the lines on the right, and a row of times below:
//
//	picture := chart.Draw(chart.Plot{
//		Width: 90, Height: 20, X: chart.Range{From: -0.6, To: 1.8}, Y: chart.Range{From: -50, To: 2500},
//		YUnit: "N", XUnit: "s", XLabels: true,
//		Levels: []chart.Level{{Value: weight, Ink: chart.InkWeight}},
//		Marks:  []chart.Mark{{S: takeoff, Ink: chart.InkDim}},
//		Series: []chart.Series{
//			{Values: total, StepS: 0.001, Form: chart.Double, Ink: chart.InkTotal, Label: "T"},
//			{Values: left, StepS: 0.001, Form: chart.Solid, Ink: chart.InkLeft, Label: "L"},
//			{Values: right, StepS: 0.001, Form: chart.Dashed, Ink: chart.InkRight, Label: "R"},
//		},
//	}, theme)
//	rows := picture.Rows()                  // each exactly 90 cells wide
//	rows = picture.RowsWithCursor(0.312)    // the same picture, nothing drawn again
//	strip := chart.Strip(phases, x, 90, theme) // one row beneath with the same time axis
//
// [Render] does both steps at once, [Thumbnail] draws a small curve without axes. Two pictures with equal ranges are on
// one scale; so lanes are two plots. A limit band is two dotted levels; a window or the place of a finding is a strip of
// segments with a filler.
//
// # What is true of every picture
//
// The lit dots of a trace are those of drawing a line between every two neighbouring samples, whatever the zoom. A value
// that is not finite breaks the line; what lies outside the ranges is cut at the edge. The form tells traces apart without
// colour: the left is solid, the right has two cells of every three, the total is two dots thick. A gap of a dashed line
// never hides a peak by more than one dot.
//
// A cell has one colour. From the bottom: levels, faint traces, the total and all others, left and right; a cell with
// both sides is drawn in the terminal's own foreground, so colour shows where the sides part. Levels and faint traces
// give way to other traces in a cell; all other traces keep their dots. The order in which series are given does not
// matter. Without the braille characters a trace is a letter in each cell that would hold a dot: l, r, x for both, # for
// the total and others, a full stop for faint ones.
package chart
