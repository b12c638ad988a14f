package review

import (
	"fmt"
	"math"
	"strings"

	"plateside/curve"
	"plateside/quality"
)

// shapeWords tells the shape of the rep: humps, how ragged, how steep, and how long to takeoff beside what is usual for
// the athlete.
func (m *Model) shapeWords(rep *quality.Rep) string {
	c := rep.Curve
	var parts []string
	if v := c.Metric("humps"); v.Known() {
		word := "single hump"
		if v.Value > 1 {
			word = "double hump"
		}
		if r := c.Metric("ripples"); r.Known() && r.Value > 0 {
			word += ", ragged"
		} else {
			word += ", even"
		}
		parts = append(parts, word)
	}
	if peak, mean := c.Metric("peak_rise_ns"), c.Metric("mean_rise_ns"); peak.Known() && mean.Known() {
		parts = append(parts, fmt.Sprintf("rise %.1f kN/s, at most %.1f", mean.Value/1000, peak.Value/1000))
	}
	if own := c.Metric("time_to_takeoff_s"); own.Known() {
		if lo, hi, n := m.usual(rep, "time_to_takeoff_s"); n >= 2 {
			parts = append(parts, fmt.Sprintf("to takeoff usually %.0f-%.0f ms", lo*1000, hi*1000))
		} else if own.Value > slowS {
			parts = append(parts, "slow to takeoff")
		}
	}
	return strings.Join(parts, "   ")
}

// slowS is a time to takeoff that is called slow, in seconds (common practice, no source).
const slowS = 0.9

// usual returns the range of a metric over the athlete's other reps that nothing spoils, and how many there are.
func (m *Model) usual(rep *quality.Rep, key string) (lo, hi float64, n int) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, r := range m.fellows(rep) {
		if v := r.Curve.Metric(key); v.Known() {
			lo, hi, n = math.Min(lo, v.Value), math.Max(hi, v.Value), n+1
		}
	}
	return lo, hi, n
}

// fellows are the athlete's other reps that no finding spoils and nobody rejected.
func (m *Model) fellows(rep *quality.Rep) []*quality.Rep {
	var out []*quality.Rep
	for _, r := range m.session.Reps {
		if d, _ := m.decision(r); r != rep && r.CopyOf == "" && r.Group() == rep.Group() && r.Verdict != quality.VerdictRedo && d.Choice != quality.Reject {
			out = append(out, r)
		}
	}
	return out
}

// A sidePhase is a phase in which the sides are compared.
type sidePhase struct{ name, key string }

func sidePhases() []sidePhase {
	return []sidePhase{{"braking", "braking_asymmetry_pct"}, {"propulsion", "propulsion_asymmetry_pct"}, {"landing", "landing_asymmetry_pct"}}
}

// sideWords tells how even the sides are, phase by phase, and whether a difference is larger than it varies from rep to
// rep (the rule that an asymmetry counts when it exceeds its own variation: Exell et al., quoted in Bishop 2016, Strength
// Cond J 38:27-32).
func (m *Model) sideWords(rep *quality.Rep) string {
	var parts []string
	for _, k := range sidePhases() {
		v := rep.Curve.Metric(k.key)
		if !v.Known() {
			continue
		}
		text := k.name + " " + leaning(v.Value)
		if sd, n := m.variation(rep, k.key); n >= 3 {
			word := "no more than"
			if math.Abs(v.Value) > sd {
				word = "more than"
			}
			text += fmt.Sprintf(" (%s it varies, %.0f)", word, math.Ceil(sd))
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "   ")
}

// variation is the standard deviation of a metric over the athlete's unspoilt reps, this one included, and their number.
func (m *Model) variation(rep *quality.Rep, key string) (sd float64, n int) {
	var all []float64
	for _, r := range append(m.fellows(rep), rep) {
		if v := r.Curve.Metric(key); v.Known() {
			all = append(all, v.Value)
		}
	}
	return curve.Spread(all), len(all)
}
