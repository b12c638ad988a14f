package review

import (
	"fmt"
	"math"
	"sort"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/chart"
	"plateside/tui/keymap"
)

// moveCursor moves the cursor by a dot column, or from landmark to landmark.
func (m *Model) moveCursor(a keymap.Action) {
	rep, rec := m.selected().rep, m.samples.rec
	if rec == nil {
		m.cursor = -1
		return
	}
	x := m.axesOf(rep).x
	cells := max(1, chart.AreaWidth(m.width-m.listWidth()-1))
	step := max(1, int((x.To-x.From)*rec.RateHz/float64(2*cells)))
	lo, hi := max(rep.Curve.From, rec.Sample(x.From)), min(rep.Curve.To-1, rec.Sample(x.To))
	at := m.cursor
	if at < 0 {
		at = rec.Sample(origin(rep))
	}
	switch a { //nolint:exhaustive // only the actions that act hands over
	case keymap.CursorOff:
		m.cursor = -1
		return
	case keymap.CursorFwd:
		if m.cursor >= 0 {
			at += step
		}
	case keymap.CursorBack:
		if m.cursor >= 0 {
			at -= step
		}
	case keymap.CursorNext:
		at = m.stop(rep, rec, at, 1)
	case keymap.CursorPrev:
		at = m.stop(rep, rec, at, -1)
	}
	m.cursor = max(lo, min(at, hi))
}

// stop returns the next landmark or finding in a direction, as a sample.
func (m *Model) stop(rep *quality.Rep, rec *curve.Recording, at, way int) int {
	var stops []int
	for _, l := range rep.Curve.Landmarks.List() {
		if !math.IsNaN(l.S) {
			stops = append(stops, rec.Sample(l.S))
		}
	}
	for _, f := range m.findings(rep) {
		if !math.IsNaN(f.FromS) {
			stops = append(stops, rec.Sample(f.FromS))
		}
	}
	sort.Ints(stops)
	best := at
	for _, s := range stops {
		if way > 0 && s > at {
			return s
		}
		if way < 0 && s < at {
			best = s
		}
	}
	return best
}

// readout says what is under the cursor.
func (m *Model) readout(rep *quality.Rep, width int) string {
	rec, i := m.samples.rec, m.cursor
	at := rec.TimeS(float64(i))
	text := fmt.Sprintf("%+.3f s  total %s N", at-m.axesOf(rep).label, m.force(rec.Total[i]))
	if rec.HasSides() {
		text += fmt.Sprintf("  left %s  right %s", m.force(rec.Left[i]), m.force(rec.Right[i]))
	}
	if k := i - m.samples.move.From; k >= 0 && k < len(m.samples.move.VelocityMS) {
		text += fmt.Sprintf("  %+.2f m/s  %+.1f cm", m.samples.move.VelocityMS[k], m.samples.move.DisplacementM[k]*100)
	}
	return m.opt.Theme.Accent.Paint(fit(text+"  "+phaseAt(rep, at), width))
}

func (m *Model) force(n float64) string {
	if math.IsNaN(n) {
		return m.opt.Theme.Glyph.Dash
	}
	return fmt.Sprintf("%.0f", n)
}

// phaseAt names the phase, or the landmark, at an instant.
func phaseAt(rep *quality.Rep, at float64) string {
	for _, l := range rep.Curve.Landmarks.List() {
		if math.Abs(l.S-at) < 0.5/rep.RateHz {
			return map[string]string{"onset": "onset", "min_force": "lowest force", "peak_down_velocity": "peak downward velocity",
				"low_point": "low point", "takeoff": "takeoff", "landing": "landing"}[l.Name]
		}
	}
	for _, name := range []string{curve.PhaseUnweighting, curve.PhaseBraking, curve.PhasePropulsion, curve.PhaseFlight, curve.PhaseLanding} {
		if p, ok := rep.Curve.Phase(name); ok && at >= p.Span.FromS && at <= p.Span.ToS {
			return name
		}
	}
	if at < rep.Curve.Landmarks.OnsetS {
		return "stance"
	}
	return ""
}
