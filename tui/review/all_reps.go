package review

import (
	"fmt"

	"plateside/quality"
	"plateside/tui/chart"
)

// The size of a thumbnail: the least width, and its height with the line of words above it, in cells.
const (
	thumbWidth  = 24
	thumbHeight = 6
)

// groupReps are the reps that the page of all reps shows: the selected rep's athlete.
func (m *Model) groupReps() []*quality.Rep {
	rep := m.selected().rep
	if rep == nil {
		return nil
	}
	var out []*quality.Rep
	for _, r := range m.rows {
		if r.rep != nil && r.rep.Athlete == rep.Athlete {
			out = append(out, r.rep)
		}
	}
	return out
}

// pageShape returns how many thumbnails fit beside and above each other, and their width.
func pageShape(width, high int) (columns, rows, cell int) {
	columns = max(1, width/thumbWidth)
	return columns, max(1, (high-1)/thumbHeight), width / columns
}

// repsOnPage are the reps whose thumbnails are in sight.
func (m *Model) repsOnPage() []*quality.Rep {
	all := m.groupReps()
	columns, rows, _ := pageShape(m.width-m.listWidth()-1, m.listHeight())
	at := 0
	for i, r := range all {
		if r == m.selected().rep {
			at = i
		}
	}
	fit := columns * rows
	first := at / fit * fit
	return all[first:min(len(all), first+fit)]
}

// allReps draws every rep of the athlete small, on one scale, with verdict and decision.
func (m *Model) allReps(width, high int) []string {
	t := m.opt.Theme
	reps := m.repsOnPage()
	columns, _, cell := pageShape(width, high)
	top := m.scale.pushN
	rows := []string{t.Dim.Paint(fit(fmt.Sprintf("%d of %d reps of this athlete, total, 0 to %.0f N, %s", len(reps), len(m.groupReps()), roundUp(top*headroom), m.zero), width))}
	for i := 0; i < len(reps); i += columns {
		block := make([]string, thumbHeight)
		for _, r := range reps[i:min(len(reps), i+columns)] {
			for k, line := range m.thumb(r, cell, roundUp(top*headroom)) {
				block[k] += line
			}
		}
		rows = append(rows, block...)
	}
	return rows
}

// thumb draws one rep small: a line of words, then the curve.
func (m *Model) thumb(r *quality.Rep, width int, top float64) []string {
	t := m.opt.Theme
	glyph, word, ink := m.standing(r)
	label := ""
	for _, row := range m.rows {
		if row.rep == r {
			label = row.label
		}
	}
	height := t.Glyph.Dash
	if v := r.Curve.Metric("jump_height_m"); v.Known() {
		height = fmt.Sprintf("%.1f", v.Value*100)
	}
	sign, paint := "  ", plain
	if r == m.selected().rep {
		sign, paint = t.Glyph.Selected+" ", t.Accent.Paint
	} else if m.marks[r.Key()] {
		sign = t.Glyph.Marked + " "
	}
	words := fit(glyph+" "+word, 10)
	rows := []string{pad(paint(sign+fit(label, max(3, width-22)))+" "+ink.Paint(words)+fmt.Sprintf("%5s", height), width)}
	tr := m.traces[traceKeyOf(r)]
	one := *m
	one.zoomed, one.span = "", spanJump
	p := chart.Thumb{Width: width - 1, Height: thumbHeight - 1, X: one.timeOf(r), Y: chart.Range{From: -0.02 * top, To: top},
		Series: []chart.Series{{Values: tr.total, FirstS: tr.firstS, StepS: tr.stepS, Ink: chart.InkTotal}}}
	if w := r.Curve.Weighing.WeightN; w > 0 {
		p.Levels = []chart.Level{{Value: w, Ink: chart.InkWeight}}
	}
	for _, line := range chart.Thumbnail(p, t) {
		rows = append(rows, pad(line, width))
	}
	return rows
}
