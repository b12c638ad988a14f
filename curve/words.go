package curve

import (
	"fmt"
	"math"
	"strings"
)

// Describe tells the force-time curve of a rep in words and numbers, for people who do not see it. Times count from the
// onset. What could not be determined is left out; a rep that did not fly says so.
func Describe(r *Rep) string {
	l, on := r.Landmarks, r.Landmarks.OnsetS
	var parts []string
	say := func(known bool, format string, values ...any) {
		if known {
			parts = append(parts, fmt.Sprintf(format, values...))
		}
	}
	w := r.Weighing.WeightN
	say(w > 0, "stands at %.0f newtons", w)
	if !r.Flew {
		return strings.Join(append(parts, "does not leave the plates"), "; ") + "."
	}
	known := func(v float64) bool { return !math.IsNaN(v) && !math.IsNaN(on) }
	if p, ok := r.Phase(PhaseUnweighting); ok {
		say(known(l.MinForceS), "unweights for %.2f seconds, lowest force at %.2f", p.Span.ToS-p.Span.FromS, l.MinForceS-on)
	}
	if p, ok := r.Phase(PhaseBraking); ok {
		say(known(l.LowPointS), "brakes for %.2f seconds to the low point at %.2f", p.Span.ToS-p.Span.FromS, l.LowPointS-on)
	}
	metric := func(key, format string, scale float64) {
		v := r.Metric(key)
		say(v.Known(), format, v.Value*scale)
	}
	metric("depth_m", "%.0f centimetres deep", 100)
	metric("force_at_low_point_n", "%.0f newtons there", 1)
	metric("peak_propulsion_force_n", "pushes with up to %.0f newtons", 1)
	humps := r.Metric("humps")
	say(humps.Value == 1, "in a single hump")
	say(humps.Value == 2, "in a double hump")
	say(known(l.TakeoffS), "takes off at %.2f seconds", l.TakeoffS-on)
	metric("flight_time_s", "flies for %.2f seconds", 1)
	metric("landing_peak_force_n", "lands with a peak of %.0f newtons", 1)
	return strings.Join(parts, "; ") + "."
}
