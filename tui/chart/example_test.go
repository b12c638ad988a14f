package chart_test

import (
	"fmt"
	"strings"

	"plateside/tui/chart"
	"plateside/tui/theme"
)

func Example() {
	plain := theme.New(theme.Options{ASCII: true, Plain: true})
	left, right := make([]float64, 600), make([]float64, 600)
	for i := range left {
		left[i], right[i] = 400, 350
		if i > 200 && i < 400 {
			left[i], right[i] = 900, 700
		}
	}
	plot := chart.Plot{
		Width: 50, Height: 9, X: chart.Range{From: 0, To: 0.6}, Y: chart.Range{From: 0, To: 1000}, YUnit: "N", XLabels: true, XUnit: "s",
		Levels: []chart.Level{{Value: 500, Ink: chart.InkWeight}},
		Series: []chart.Series{
			{Values: left, StepS: 0.001, Form: chart.Solid, Ink: chart.InkLeft, Label: "L"},
			{Values: right, StepS: 0.001, Form: chart.Dashed, Ink: chart.InkRight, Label: "R"},
		},
	}
	rows := chart.Draw(plot, plain).RowsWithCursor(0.5)
	rows = append(rows, chart.Strip([]chart.Segment{{Name: "stance", FromS: 0, ToS: 0.2}, {Name: "push", FromS: 0.2, ToS: 0.4}, {Name: "rest", FromS: 0.4, ToS: 0.6}}, plot.X, 50, plain))
	for _, row := range rows {
		fmt.Println(strings.TrimRight(row, " "))
	}
	// Output:
	// N 1000+             lllllllllllllll      |
	//       |             l             l      |
	//       |             xrrrrrrrrrrrrrx      |
	//       |             x             x      |
	//    500+lllllllllllllx-------------xlllllllllllll L
	//       |rrrrrrrrrrrrrr             rrrrrrrrrrrrrr R
	//       |                                  |
	//      0+                                  |
	//       0.0          0.2           0.4             s
	//        |stance      |push         |rest
}
