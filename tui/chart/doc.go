// Package chart turns numbers and marks into rows of styled text. It knows forces, times and inks, and nothing of good or
// bad.
//
// A plot has a gutter of labels on the left, an area of braille dots (two a cell across, four down), a margin for the
// labels of the lines on the right, and a row of times below. The braille patterns come from ntcharts' grid, one a trace;
// its own line drawing and view are not used, because they restyle every cell by itself and cost hundreds of times as
// much (see the benchmark).
package chart
