package review

import (
	"fmt"
	"math"
	"strings"

	"plateside/quality"
	"plateside/tui/chart"
)

// stripPlot draws the strip below the curve, a heading above it, on the curve's time axis.
func (m *Model) stripPlot(rep *quality.Rep, a axes, width, high int) []string {
	values, firstS, heading, reach := m.stripValues(rep)
	t := m.opt.Theme
	rows := []string{t.Dim.Paint(fit(heading, width))}
	if len(values) == 0 || !(reach > 0) {
		rows[0] = t.Dim.Paint(fit(heading+": not known for this rep", width))
	}
	p := chart.Plot{Width: width, Height: high - 1, X: a.x, Y: chart.Range{From: -reach, To: reach}, Levels: []chart.Level{{Value: 0, Ink: chart.InkWeight}},
		Series: []chart.Series{{Values: values, FirstS: firstS, StepS: 1 / rep.RateHz, Ink: chart.InkTotal}}}
	if m.strip == stripDifference { // above zero is left, below right
		p.Series = signed(values, firstS, 1/rep.RateHz)
	}
	if m.cursor >= 0 {
		p.CursorS, p.HasCursor = m.samples.rec.TimeS(float64(m.cursor)), true
	}
	return append(rows, chart.Render(p, t)...)
}

// signed splits a series into what is above and what is below zero, in the colours of left and right.
func signed(values []float64, firstS, stepS float64) []chart.Series {
	over, under := make([]float64, len(values)), make([]float64, len(values))
	for i, v := range values {
		over[i], under[i] = math.NaN(), math.NaN()
		if v >= 0 {
			over[i] = v
		} else {
			under[i] = v
		}
	}
	return []chart.Series{{Values: over, FirstS: firstS, StepS: stepS, Ink: chart.InkLeft, Label: "L"},
		{Values: under, FirstS: firstS, StepS: stepS, Ink: chart.InkRight, Label: "R"}}
}

// stripValues returns what the strip shows, when it begins, its heading and how far its axis reaches to either side. The
// reach is the same for every rep of the session.
func (m *Model) stripValues(rep *quality.Rep) (values []float64, firstS float64, heading string, reach float64) {
	rec, mo := m.samples.rec, m.samples.move
	from, to := rep.Curve.From, rep.Curve.To
	firstS = rec.TimeS(float64(from))
	switch m.strip {
	case stripDifference:
		for i := from; i < to && rec.HasSides(); i++ {
			values = append(values, rec.Left[i]-rec.Right[i])
		}
		reach = roundUp(m.scale.pushN * differenceShare)
		return values, firstS, "L-R, N" + m.differenceWords(rep), reach
	case stripVelocity:
		return mo.VelocityMS, firstS, fmt.Sprintf("velocity, m/s, -%.0f to %.0f in every rep", velocityReach, velocityReach), velocityReach
	case stripDisplacement:
		for _, y := range mo.DisplacementM {
			values = append(values, y*100)
		}
		return values, firstS, fmt.Sprintf("displacement, cm, -%.0f to %.0f in every rep", displacementReach, displacementReach), displacementReach
	case stripPower:
		for i, v := range mo.VelocityMS {
			values = append(values, rec.Total[from+i]*v/rep.Curve.Weighing.WeightN*m.opt.Method.GravityMS2)
		}
		return values, firstS, fmt.Sprintf("power, W/kg, -%.0f to %.0f in every rep", powerReach, powerReach), powerReach
	case stripNone, strips:
	}
	return nil, firstS, "", 0
}

// The reaches of the strips' axes: wide enough for the best jumpers in the literature.
const (
	differenceShare   = 0.25
	velocityReach     = 4.0
	displacementReach = 60.0
	powerReach        = 80.0
)

// differenceWords is the share of the difference in the phases, in few words.
func (m *Model) differenceWords(rep *quality.Rep) string {
	var parts []string
	for _, k := range sidePhases() {
		if v := rep.Curve.Metric(k.key); v.Known() {
			parts = append(parts, fmt.Sprintf("%s %.0f%s", k.name, math.Abs(v.Value), side(v.Value)))
		}
	}
	return "  " + strings.Join(parts, ", ")
}
