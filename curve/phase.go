package curve

import (
	"math"

	"plateside/curve/series"
)

// The phases, named as in McMahon2018. PhaseYielding is the second part of unweighting, from minimum force to body weight;
// early and late propulsion are its halves by time.
const (
	PhaseWeighing        = "weighing"
	PhaseUnweighting     = "unweighting"
	PhaseYielding        = "yielding"
	PhaseBraking         = "braking"
	PhasePropulsion      = "propulsion"
	PhaseEarlyPropulsion = "early propulsion"
	PhaseLatePropulsion  = "late propulsion"
	PhaseFlight          = "flight"
	PhaseLanding         = "landing"
)

// phases returns the phases of the rep in the order of time; those whose landmarks are missing are left out.
func (w *workings) phases() []Phase {
	mid := (w.low + w.takeoff) / 2
	win := w.rep.Weighing.Window
	spans := []struct {
		name     string
		from, to float64
	}{
		{PhaseWeighing, w.rec.Index(win.FromS), w.rec.Index(win.ToS)},
		{PhaseUnweighting, w.on, w.peakDown},
		{PhaseYielding, w.minForce, w.peakDown},
		{PhaseBraking, w.peakDown, w.low},
		{PhasePropulsion, w.low, w.takeoff},
		{PhaseEarlyPropulsion, w.low, mid},
		{PhaseLatePropulsion, mid, w.takeoff},
		{PhaseFlight, w.takeoff, w.landing},
		{PhaseLanding, w.landing, w.landed},
	}
	var out []Phase
	for _, s := range spans {
		if math.IsNaN(s.from) || math.IsNaN(s.to) || s.to <= s.from {
			continue
		}
		p := Phase{Name: s.name, Span: Span{w.timeS(s.from), w.timeS(s.to)}, LeftShare: math.NaN(),
			ImpulseNs: math.NaN(), MeanForceN: math.NaN()}
		if w.lacks(s.from, s.to) == "" {
			p.MeanForceN = w.meanForce(w.total, s.from, s.to)
			p.ImpulseNs = (p.MeanForceN - w.weightN) * (s.to - s.from) * w.dt
			if w.left != nil && s.name != PhaseFlight {
				l, r := w.meanForce(w.left, s.from, s.to), w.meanForce(w.right, s.from, s.to)
				if l+r > 0 {
					p.LeftShare = l / (l + r)
				}
			}
		}
		out = append(out, p)
	}
	return out
}

// meanForce returns the mean of a force between two fractional samples in newtons.
func (w *workings) meanForce(force []float64, from, to float64) float64 {
	return series.IntegralBetween(force, from, to, w.dt) / ((to - from) * w.dt)
}
