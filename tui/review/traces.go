package review

import (
	"math"

	tea "charm.land/bubbletea/v2"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/chart"
)

// A traceKey says which rep of which file a trace belongs to.
type traceKey struct {
	key  quality.RepKey
	file string
}

func traceKeyOf(r *quality.Rep) traceKey { return traceKey{r.Key(), r.Recording} }

// A trace is the total force of a rep, thinned for drawing behind others or small.
type trace struct {
	rep           *quality.Rep
	firstS, stepS float64
	total         []float64
}

const (
	// traceHz is the rate that traces are thinned to, by keeping of each stretch the value farthest from its mean, so
	// that peaks stay.
	traceHz = 250.0
	// mostTraces bounds how many traces are kept.
	mostTraces = 400
)

// traceOf thins the total of a rep.
func traceOf(rec *curve.Recording, rep *quality.Rep) trace {
	every := max(1, int(rec.RateHz/traceHz))
	t := trace{rep: rep, firstS: rec.TimeS(float64(rep.Curve.From)), stepS: float64(every) / rec.RateHz}
	for i := rep.Curve.From; i < rep.Curve.To; i += every {
		stretch := rec.Total[i:min(i+every, rep.Curve.To)]
		mean := 0.0
		for _, v := range stretch {
			mean += v / float64(len(stretch))
		}
		far := stretch[0]
		for _, v := range stretch {
			if math.Abs(v-mean) > math.Abs(far-mean) {
				far = v
			}
		}
		t.total = append(t.total, far)
	}
	return t
}

// wantTraces asks for the traces that the screen needs and does not have.
func (m *Model) wantTraces() tea.Cmd {
	var missing []*quality.Rep
	for _, r := range m.tracesNeeded() {
		if _, have := m.traces[traceKeyOf(r)]; !have {
			missing = append(missing, r)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	samples := m.deps.Samples
	return func() tea.Msg {
		got := tracesMsg{}
		for _, r := range missing {
			if rec, err := samples(r); err == nil {
				got[traceKeyOf(r)] = traceOf(rec, r)
			} else { // an empty trace, so that it is not asked for again and again
				got[traceKeyOf(r)] = trace{rep: r}
			}
		}
		return got
	}
}

func (m *Model) tookTraces(msg tracesMsg) {
	if len(m.traces)+len(msg) > mostTraces {
		clear(m.traces)
	}
	for k, t := range msg {
		m.traces[k] = t
	}
	m.picture = nil
}

// tracesNeeded are the reps whose traces are drawn now.
func (m *Model) tracesNeeded() []*quality.Rep {
	rep := m.selected().rep
	switch {
	case rep == nil:
		return nil
	case m.page == pageReps:
		return m.repsOnPage()
	case m.overlay != overlayNone:
		return m.others(rep)
	}
	return nil
}

// others are the reps that lie behind a rep: the athlete's other kept ones, or the best of them by jump height.
func (m *Model) others(rep *quality.Rep) []*quality.Rep {
	var kept []*quality.Rep
	for _, r := range m.session.Reps {
		if d, _ := m.decision(r); r != rep && r.Group() == rep.Group() && d.Choice == quality.Keep {
			kept = append(kept, r)
		}
	}
	if m.overlay != overlayBest || len(kept) == 0 {
		return kept
	}
	best := kept[0]
	for _, r := range kept {
		if r.Curve.Metric("jump_height_m").Value > best.Curve.Metric("jump_height_m").Value {
			best = r
		}
	}
	return []*quality.Rep{best}
}

// behind are the traces of other reps, moved so that their time zero lies on this rep's.
func (m *Model) behind(rep *quality.Rep) []chart.Series {
	if m.overlay == overlayNone {
		return nil
	}
	var out []chart.Series
	for _, r := range m.others(rep) {
		t, ok := m.traces[traceKeyOf(r)]
		if !ok || len(t.total) == 0 {
			continue
		}
		shift := m.zero.at(rep) - m.zero.at(r)
		out = append(out, chart.Series{Values: t.total, FirstS: t.firstS + shift, StepS: t.stepS, Ink: chart.InkFaint})
	}
	return out
}
