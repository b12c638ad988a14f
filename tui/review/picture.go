package review

import (
	"fmt"
	"math"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/chart"
)

// A picture is the drawn right side, kept until something that it depends on changes.
type picture struct {
	width, height int
	cursor        int
	rows          []string
}

// stanceS and afterStanceS are how much of the stance before the onset, and of the movement after it, the stance strip
// shows, in seconds.
const (
	stanceS      = 2.5
	afterStanceS = 0.15
	// stanceShare is the half-height of the stance strip as a share of body weight.
	stanceShare = 0.035
)

// traced adds to the samples what the pictures need beside them.
func traced(msg samplesMsg, rep *quality.Rep, m curve.Method) samplesMsg {
	msg.move, _ = curve.Trace(msg.rec, rep.Curve, m)
	on := origin(rep)
	msg.stance = curve.TraceStance(msg.rec, rep.Curve, on-stanceS, on+afterStanceS)
	return msg
}

// curvePlot draws the force-time curve.
func (m *Model) curvePlot(rep *quality.Rep, a axes, width, height int) []string {
	rec := m.samples.rec
	p := chart.Plot{Width: width, Height: height, X: a.x, Y: a.y, XLabels: true, XOrigin: a.label, XUnit: "s", YUnit: "N"}
	weight := rep.Curve.Weighing.WeightN
	if weight > 0 {
		p.Levels = []chart.Level{{Value: weight, Ink: chart.InkWeight}}
		if m.unit == BodyWeights {
			p.YScale, p.YUnit = weight, "BW"
		}
	}
	p.Series = append(m.behind(rep), m.forces(rep, rec)...)
	if at, peak := peakIn(rec, rep, a.x); peak > a.y.To && (m.lines == linesAll || m.lines == linesTotal) {
		p.Flags = append(p.Flags, chart.Flag{S: at, Text: m.opt.Theme.Glyph.Peak + " " + m.forceText(peak, weight), Ink: chart.InkDim})
	}
	if m.cursor >= 0 {
		p.CursorS, p.HasCursor = rec.TimeS(float64(m.cursor)), true
	}
	return chart.Render(p, m.opt.Theme)
}

// lanes draws left above right, on one scale.
func (m *Model) lanes(rep *quality.Rep, a axes, width, height int) []string {
	half := *m
	var rows []string
	lane := axes{x: a.x, y: chart.Range{From: a.y.From * laneShare, To: a.y.To * laneShare}, label: a.label, factor: a.factor}
	for _, side := range []lines{linesLeft, linesRight} {
		half.lines, half.overlay = side, overlayNone
		high := height / 2
		if side == linesRight {
			high = height - len(rows)
		}
		rows = append(rows, half.curvePlot(rep, lane, width, high)...)
	}
	return rows
}

// laneShare is the height of a lane's axis as a share of the total's.
const laneShare = 0.65

// forceText writes a force in the unit of the axis.
func (m *Model) forceText(n, weight float64) string {
	if m.unit == BodyWeights && weight > 0 {
		return fmt.Sprintf("%.1f BW", n/weight)
	}
	return fmt.Sprintf("%.0f N", n)
}

// forces are the traces of a rep that are asked for, the total at the bottom.
func (m *Model) forces(rep *quality.Rep, rec *curve.Recording) []chart.Series {
	series := func(v []float64, form chart.Form, ink chart.Ink, label string) chart.Series {
		return chart.Series{Values: v[rep.Curve.From:rep.Curve.To], FirstS: rec.TimeS(float64(rep.Curve.From)), StepS: 1 / rec.RateHz,
			Form: form, Ink: ink, Label: label}
	}
	var out []chart.Series
	if m.lines == linesAll || m.lines == linesTotal || !rec.HasSides() {
		out = append(out, series(rec.Total, chart.Double, chart.InkTotal, "T"))
	}
	if rec.HasSides() && (m.lines == linesAll || m.lines == linesLeft || m.lines == linesLanes) {
		out = append(out, series(rec.Left, chart.Solid, chart.InkLeft, "L"))
	}
	if rec.HasSides() && (m.lines == linesAll || m.lines == linesRight || m.lines == linesLanes) {
		form := chart.Dashed
		if m.lines != linesAll {
			form = chart.Solid // nothing to tell it from
		}
		out = append(out, series(rec.Right, form, chart.InkRight, "R"))
	}
	return out
}

// peakIn returns where, within a stretch of time, the total is highest, and how high.
func peakIn(rec *curve.Recording, rep *quality.Rep, x chart.Range) (atS, peakN float64) {
	for i := max(rep.Curve.From, rec.Sample(x.From)); i < min(rep.Curve.To, rec.Sample(x.To)); i++ {
		if rec.Total[i] > peakN {
			atS, peakN = rec.TimeS(float64(i)), rec.Total[i]
		}
	}
	return atS, peakN
}

// phaseStrip names the phases under the curve.
func (m *Model) phaseStrip(rep *quality.Rep, a axes, width int) string {
	var segments []chart.Segment
	if on := rep.Curve.Landmarks.OnsetS; !math.IsNaN(on) {
		segments = append(segments, chart.Segment{Name: "stance", FromS: a.x.From, ToS: on, Ink: chart.InkDim})
	}
	for _, name := range []string{curve.PhaseUnweighting, curve.PhaseBraking, curve.PhasePropulsion, curve.PhaseFlight, curve.PhaseLanding} {
		if p, ok := rep.Curve.Phase(name); ok {
			segments = append(segments, chart.Segment{Name: name, FromS: p.Span.FromS, ToS: p.Span.ToS})
		}
	}
	return chart.Strip(segments, a.x, width, m.opt.Theme)
}

// stancePlot draws the stance alone, on its own scale around body weight, with the limit band.
func (m *Model) stancePlot(rep *quality.Rep, width, height int) []string {
	on, weight := origin(rep), rep.Curve.Weighing.WeightN
	half := stanceShare * weight
	if !(half > 0) {
		half = 1
	}
	limit := m.opt.Limits.Get("sway_look") / 100 * weight
	p := chart.Plot{Width: width, Height: height, X: chart.Range{From: on - stanceS, To: on + afterStanceS}, Y: chart.Range{From: -half, To: half},
		Levels: []chart.Level{{Value: 0, Ink: chart.InkWeight}, {Value: limit, Ink: chart.InkBand, Dotted: true}, {Value: -limit, Ink: chart.InkBand, Dotted: true}}}
	s := m.samples.stance
	add := func(v []float64, form chart.Form, ink chart.Ink, label string) {
		if v != nil {
			p.Series = append(p.Series, chart.Series{Values: v, FirstS: s.FirstS, StepS: s.StepS, Form: form, Ink: ink, Label: label})
		}
	}
	if m.lines == linesAll || m.lines == linesLeft || m.lines == linesLanes {
		add(s.Left, chart.Solid, chart.InkLeft, "L")
	}
	if m.lines == linesAll || m.lines == linesRight || m.lines == linesLanes {
		add(s.Right, chart.Dashed, chart.InkRight, "R")
	}
	if m.lines == linesAll || m.lines == linesTotal || m.lines == linesLanes || s.Left == nil {
		add(s.Total, chart.Double, chart.InkTotal, "T")
	}
	return chart.Render(p, m.opt.Theme)
}

// stanceBar marks under the stance what was weighed and what a finding about the stance speaks of.
func (m *Model) stanceBar(rep *quality.Rep, width int) string {
	on := origin(rep)
	win := rep.Curve.Weighing.Window
	segments := []chart.Segment{{FromS: win.FromS, ToS: win.ToS, Ink: chart.InkDim, Filler: m.opt.Theme.Glyph.WindowBar}}
	for _, f := range m.findings(rep) {
		switch f.Check {
		case quality.StanceSway, quality.StanceShift, quality.EarlyLoad:
			segments = append(segments, chart.Segment{FromS: f.FromS, ToS: f.ToS, Ink: chart.InkTotal, Filler: m.opt.Theme.Glyph.Redo})
		}
	}
	return chart.Strip(segments, chart.Range{From: on - stanceS, To: on + afterStanceS}, width, m.opt.Theme)
}

// stanceHeading says what the strip shows. What matters most comes first, because a narrow window cuts the end.
func (m *Model) stanceHeading(rep *quality.Rep, width int) string {
	w := rep.Curve.Weighing
	if !(w.WeightN > 0) {
		return m.opt.Theme.Dim.Paint(fit("stance: no body weight was found", width))
	}
	pm := m.opt.Theme.Glyph.PlusMinus
	limit := m.opt.Limits.Get("sway_look") / 100 * w.WeightN
	text := fmt.Sprintf("stance, N around %.1f %s%.1f, limit %s%.1f, last %.1f s, weighed %.1f s (%s), from %.0f ms means", w.WeightN, pm, w.HalfWidthN,
		pm, limit, stanceS, w.Window.ToS-w.Window.FromS, m.opt.Theme.Glyph.WindowBar, curve.StanceMeanS*1000)
	return m.opt.Theme.Dim.Paint(fit(text, width))
}

// curveHeading says on which scale the curve is drawn.
func (m *Model) curveHeading(rep *quality.Rep, a axes, width int) string {
	view := [spans]string{"the jump", "the landing", "the whole rep"}[m.span] + ", " + m.zero.String()
	if m.zoomed != "" {
		view = "zoom: " + m.zoomed + ", " + m.zero.String()
	}
	what := [linesCount]string{"", "left alone; ", "right alone; ", "total alone; ", "left above right; "}[m.lines]
	if n := len(m.behind(rep)); n > 0 {
		what += fmt.Sprintf("%d behind; ", n)
	}
	if m.lines == linesLanes {
		a.y.To *= laneShare
	}
	top := fmt.Sprintf("0 to %.0f N", a.y.To)
	if w := rep.Curve.Weighing.WeightN; m.unit == BodyWeights && w > 0 {
		top = fmt.Sprintf("0 to %.1f body weights", a.y.To/w)
	}
	if m.ownScale {
		return m.opt.Theme.Look.Paint(fit(fmt.Sprintf("own scale, drawn %.1f x taller than the session's; %s%s; %s", a.factor, what, top, view), width))
	}
	return m.opt.Theme.Dim.Paint(fit(what+top+" in every rep; "+view, width))
}
