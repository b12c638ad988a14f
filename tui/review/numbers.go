package review

import (
	"fmt"
	"math"
	"strings"

	"plateside/curve"
	"plateside/quality"
)

// numbers is the page of everything that was measured and found.
func (m *Model) numbers(rep *quality.Rep, width int) []string {
	t := m.opt.Theme
	rows := []string{t.Dim.Paint(fit(fmt.Sprintf("%s   %.0f Hz, %d plates", m.words(rep.ID), rep.RateHz, rep.Plates), width))}
	for _, f := range m.findings(rep) {
		lines := wrap(m.words(f.Message), width-len(f.Check)-9)
		for i, line := range lines {
			name := strings.Repeat(" ", len(f.Check)+8)
			if i == 0 {
				name = m.findingInk(f).Paint(f.Check+" ("+f.Severity.String()+")") + " "
			}
			rows = append(rows, name+line)
		}
	}
	rows = append(rows, m.metricColumns(rep, width)...)
	rows = append(rows, m.phaseTable(rep, width)...)
	for _, u := range m.unknowns(rep) {
		rows = append(rows, t.Dim.Paint(fit(u.Check+": not judged, "+u.Reason, width)))
	}
	for _, n := range m.remarks(rep) {
		rows = append(rows, t.Dim.Paint(fit(m.words(n), width)))
	}
	return rows
}

// A shown is how a metric is written on the screen: which unit, times what, how many decimals.
type shown struct {
	unit     string
	scale    float64
	decimals int
}

// onScreen returns how a metric is shown: heights in centimetres, times in milliseconds, the rest as it is.
func onScreen(m curve.Metric) shown {
	switch m.Unit {
	case "m":
		return shown{"cm", 100, 1}
	case "s":
		return shown{"ms", 1000, 0}
	case "N":
		return shown{"N", 1, 0}
	case "N.s":
		return shown{"Ns", 1, 1}
	case "N/s":
		return shown{"kN/s", 0.001, 1}
	case "W":
		return shown{"W", 1, 0}
	case "%":
		return shown{"%", 1, 1}
	case "1", "m/s":
		if m.Decimals == 0 {
			return shown{"", 1, 0}
		}
		return shown{strings.TrimPrefix(m.Unit, "1"), 1, 2}
	}
	return shown{m.Unit, 1, min(m.Decimals, 1)}
}

// side says which side an asymmetry leans to, in the room of a unit.
func side(pct float64) string {
	if pct < 0 {
		return "% R"
	}
	return "% L"
}

// unknowns are the checks that could not be judged; nothing of them in a blind review.
func (m *Model) unknowns(rep *quality.Rep) []quality.Unknown {
	if m.opt.Blind {
		return nil
	}
	return rep.Unknowns
}

const metricWidth = 44

// metricColumns writes all metrics in as many columns as fit, decimal points under each other.
func (m *Model) metricColumns(rep *quality.Rep, width int) []string {
	var cells []string
	for i, metric := range curve.Metrics() {
		how, v := onScreen(metric), rep.Curve.Values[i]
		number, half := m.opt.Theme.Glyph.Dash, ""
		if v.Known() {
			number = fmt.Sprintf("%.*f", how.decimals, v.Value*how.scale)
			if metric.Unit == "%" {
				number, how.unit = fmt.Sprintf("%.1f", math.Abs(v.Value)), side(v.Value)
			}
			if v.HasPlusMinus() {
				half = fmt.Sprintf("%s%.*f", m.opt.Theme.Glyph.PlusMinus, how.decimals, v.PlusMinus*how.scale)
			}
		}
		cells = append(cells, fmt.Sprintf("%-24s", fit(metric.Name, 24))+fmt.Sprintf("%8s", number)+
			m.opt.Theme.Dim.Paint(" "+fit(half, 7)+fit(how.unit, 4)))
	}
	columns := max(1, width/metricWidth)
	high := (len(cells) + columns - 1) / columns
	rows := make([]string, high)
	for y := range high {
		for x := range columns {
			if i := x*high + y; i < len(cells) {
				rows[y] += pad(cells[i], metricWidth)
			}
		}
	}
	return rows
}

// phaseTable writes what happened in each phase.
func (m *Model) phaseTable(rep *quality.Rep, width int) []string {
	t := m.opt.Theme
	rows := []string{t.Dim.Paint(fit(fmt.Sprintf("%-18s%8s%10s%9s%7s%7s", "phase", "ms", "net Ns", "mean N", "left", "right"), width))}
	dash := func(v float64, format string) string {
		if math.IsNaN(v) {
			return t.Glyph.Dash
		}
		return fmt.Sprintf(format, v)
	}
	for _, p := range rep.Curve.Phases {
		rows = append(rows, fit(fmt.Sprintf("%-18s%8.0f%10s%9s%7s%7s", p.Name, (p.Span.ToS-p.Span.FromS)*1000, dash(p.ImpulseNs, "%.1f"),
			dash(p.MeanForceN, "%.0f"), dash(p.LeftShare*100, "%.1f%%"), dash(100-p.LeftShare*100, "%.1f%%")), width))
	}
	return rows
}
