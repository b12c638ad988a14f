package chart

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Ticks returns round numbers within a range, at most most of them: multiples of 1, 2, 2.5 or 5 times a power of ten,
// the finest that have room. They are in order, none twice, and never a negative zero. An empty or backward range, or
// room for none, gives none.
func Ticks(r Range, most int) []float64 {
	if !r.usable() || most < 1 {
		return nil
	}
	span := r.To - r.From
	for step := niceStep(span / float64(most+1)); ; step = niceStep(step * 1.01) {
		first := math.Ceil(r.From/step - 1e-9)
		last := math.Floor(r.To/step + 1e-9)
		if last-first+1 > float64(most) {
			continue
		}
		ticks := make([]float64, 0, most)
		for k := first; k <= last; k++ {
			t := k*step + 0 // + 0 turns a negative zero
			if n := len(ticks); n > 0 && !(t > ticks[n-1]) {
				return nil // the range is too far from zero for its width
			}
			ticks = append(ticks, t)
		}
		return ticks
	}
}

// niceStep returns the least of 1, 2, 2.5, 5 times a power of ten that is not below step.
func niceStep(step float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(step)))
	for _, k := range [4]float64{1, 2, 2.5, 5} {
		if k*base >= step*(1-1e-9) {
			return k * base
		}
	}
	return 10 * base
}

// mostDecimals bounds the labels of ticks.
const mostDecimals = 9

// TickLabels returns the ticks as text, all with as many decimals as the one that needs most.
func TickLabels(ticks []float64) []string {
	step := 0.0
	if len(ticks) > 1 {
		step = ticks[1] - ticks[0]
	} else if len(ticks) == 1 {
		step = math.Abs(ticks[0]) * 1e-6
	}
	decimals := 0
	for scale := 1.0; decimals < mostDecimals && !roundOn(ticks, scale, step); scale *= 10 {
		decimals++
	}
	labels := make([]string, len(ticks))
	for i, t := range ticks {
		label := strconv.FormatFloat(t, 'f', decimals, 64)
		if strings.HasPrefix(label, "-") && strings.Trim(label, "-0.") == "" {
			label = label[1:]
		}
		labels[i] = label
	}
	return labels
}

// roundOn reports whether all ticks are whole multiples of 1/scale, to a thousandth of their step.
func roundOn(ticks []float64, scale, step float64) bool {
	for _, t := range ticks {
		if math.Abs(math.Round(t*scale)-t*scale) > 1e-3*step*scale {
			return false
		}
	}
	return true
}

// leastRowsPerTick is how many rows of a value axis there are for each of its ticks, at least.
const leastRowsPerTick = 3

// An axisRow is what stands left of a row of the area.
type axisRow struct {
	label string
	tick  bool
}

// valueAxis returns the labels of the rows, with the unit at the top.
func (p *Plot) valueAxis(high int, m mapping) []axisRow {
	scale := p.YScale
	if scale == 0 {
		scale = 1
	}
	rows := make([]axisRow, high)
	ticks := Ticks(Range{p.Y.From / scale, p.Y.To / scale}, max(3, (high+1)/leastRowsPerTick))
	for i, label := range TickLabels(ticks) {
		y := m.row(ticks[i]*scale) >> 2
		if y >= 0 && y < high && !rows[y].tick {
			rows[y] = axisRow{label, true}
		}
	}
	p.placeUnit(rows)
	return rows
}

// placeUnit writes the unit above the topmost label, beside it where that is on the first row, below it where it does not
// fit there.
func (p *Plot) placeUnit(rows []axisRow) {
	both := p.YUnit + " " + rows[0].label
	switch {
	case p.YUnit == "":
	case rows[0].label == "":
		rows[0].label = p.YUnit
	case utf8.RuneCountInString(both) < gutter:
		rows[0].label = both
	case len(rows) > 1 && rows[1].label == "":
		rows[1].label = p.YUnit
	}
}

// cellsPerTimeTick is how many cells of the time axis there are for each of its ticks, at least.
const cellsPerTimeTick = 9

// timeAxis returns the row of times under the area, with the unit at the right end.
func (p *Plot) timeAxis(wide int, m mapping) string {
	row := []rune(strings.Repeat(" ", gutter+wide+margin))
	put := func(at int, label string) {
		runes := []rune(label)
		at -= len(runes) / 2
		if at < gutter-2 || at+len(runes) > len(row) {
			return
		}
		for i := max(0, at-1); i < min(len(row), at+len(runes)+1); i++ {
			if row[i] != ' ' {
				return
			}
		}
		copy(row[at:], runes)
	}
	put(len(row)-utf8.RuneCountInString(p.XUnit)/2-1, p.XUnit)
	ticks := Ticks(Range{p.X.From - p.XOrigin, p.X.To - p.XOrigin}, max(2, wide/cellsPerTimeTick))
	for i, label := range TickLabels(ticks) {
		if x := m.column(ticks[i] + p.XOrigin); x >= 0 {
			put(gutter+x>>1, label)
		}
	}
	return string(row)
}
