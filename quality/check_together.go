package quality

// Checks that compare an athlete's reps with each other: weight-change and odd-rep. Medians and median absolute
// deviations are used, which one bad rep among three does not move.

import (
	"fmt"
	"math"
	"slices"

	"plateside/curve/series"
)

// leastTogether is how many comparable reps a comparison needs.
const leastTogether = 3

// JudgeTogether asks the checks that compare reps of one athlete, after Judge was asked of each. Where the athlete is
// not known, the reps of one recording are compared, since one athlete makes a recording.
func JudgeTogether(reps []*Rep, limits Limits) {
	groups := map[string][]*Rep{}
	for _, r := range reps {
		r.Findings = without(r.Findings, WeightChange, OddRep)
		r.Unknowns = withoutUnknown(r.Unknowns, WeightChange, OddRep)
		groups[r.Group()] = append(groups[r.Group()], r)
	}
	for _, group := range groups {
		for _, r := range group {
			b := &bench{rep: r, curve: r.Curve, signs: r.Curve.Signs, limits: limits}
			r.Findings = append(r.Findings, b.weightChange(group)...)
			r.Findings = append(r.Findings, b.oddRep(group)...)
		}
	}
	for _, r := range reps {
		r.Findings = inOrder(r.Findings)
		r.Verdict = WorstOf(r.Findings)
	}
}

// Group returns what the rep is compared within: its athlete, or its recording where the athlete is not known.
func (r *Rep) Group() string {
	if r.Athlete != "" {
		return "athlete " + r.Athlete
	}
	return "recording " + r.Recording
}

// comparableValues returns the known values of a metric in the reps that nothing spoils, copies left out.
func comparableValues(group []*Rep, value func(*Rep) float64) []float64 {
	var out []float64
	for _, r := range group {
		if v := value(r); r.CopyOf == "" && !math.IsNaN(v) && WorstOf(without(r.Findings, WeightChange, OddRep)) != VerdictRedo {
			out = append(out, v)
		}
	}
	return out
}

const tooFew = "too few reps to judge"

func (b *bench) weightChange(group []*Rep) []Finding {
	weight := func(r *Rep) float64 { return r.Curve.Weighing.WeightN }
	for _, f := range b.rep.Findings {
		if f.Check == ZeroOffset && f.Severity == Redo {
			return b.unknown(WeightChange, "the finding "+ZeroOffset+" explains it")
		}
	}
	known := comparableValues(group, weight)
	if len(known) < leastTogether || !(weight(b.rep) > 0) {
		return b.unknown(WeightChange, tooFew)
	}
	middle := series.Median(known)
	off := (weight(b.rep) - middle) / middle * 100
	if limit := b.limit("weight_change"); math.Abs(off) > limit {
		return []Finding{finding(WeightChange, Look, measured{math.Abs(off), limit, "%"}, b.curve.Weighing.Window,
			fmt.Sprintf("body weight is %+.0f N (%+.1f %%) against the athlete's other reps: same athlete, both feet on the plates, nothing in the hands?",
				weight(b.rep)-middle, off))}
	}
	return nil
}

// usualWeight is how many reps' worth of belief the usual spread of a metric gets beside what the reps themselves show:
// three reps cannot tell their own spread (project default).
const usualWeight = 4.0

func (b *bench) oddRep(group []*Rep) []Finding {
	asks := []struct {
		key, name, limit, high, low string
		usualCV                     float64
	}{
		// The usual spread as a share of the mean: height 4.1 % within a session (Gonzalez-Garcia 2024, Appl Sci 14:2662),
		// depth and time project defaults.
		{"jump_height_m", "jump height", "odd_height", "higher", "lower", 0.041},
		{"depth_m", "depth", "odd_depth", "deeper", "shallower", 0.10},
		{"time_to_takeoff_s", "time to takeoff", "odd_time", "longer", "shorter", 0.08},
	}
	judged := false
	for _, a := range asks {
		value := func(r *Rep) float64 { return r.Curve.Metric(a.key).Value }
		var others []*Rep
		for _, r := range group {
			if r != b.rep {
				others = append(others, r)
			}
		}
		known := comparableValues(others, value)
		if len(known) < leastTogether-1 || math.IsNaN(value(b.rep)) {
			continue
		}
		judged = true
		middle := series.Median(known)
		limit := math.Max(b.limit(a.limit)/100*middle, b.limit("odd_spread")*spread(known, a.usualCV*middle))
		off := value(b.rep) - middle
		if math.Abs(off) <= limit {
			continue
		}
		word, ask, cue := a.low, "was it a full effort?", ""
		if off > 0 {
			word, ask, cue = a.high, "is it the same athlete and jump, were the others full efforts?", CueNone
		}
		f := finding(OddRep, Look, measured{math.Abs(off) / middle * 100, limit / middle * 100, "%"}, nowhere(),
			fmt.Sprintf("%s is %.0f %% %s than in the athlete's other reps: %s", a.name, math.Abs(off)/middle*100, word, ask))
		f.Cue = cue
		return []Finding{f}
	}
	if !judged {
		return b.unknown(OddRep, tooFew)
	}
	return nil
}

// spread returns the standard deviation to expect of one more value beside those known: what they show, robustly, drawn
// toward the usual one as long as they are few, and widened for the uncertainty of their middle.
func spread(known []float64, usual float64) float64 {
	own := series.SD(known)
	if len(known) >= 4 {
		own = series.MAD(known)
	}
	n := float64(len(known))
	variance := (usualWeight*usual*usual + (n-1)*own*own) / (usualWeight + n - 1)
	return math.Sqrt(variance * (1 + 1/n))
}

func without(fs []Finding, names ...string) []Finding {
	var out []Finding
	for _, f := range fs {
		if !slices.Contains(names, f.Check) {
			out = append(out, f)
		}
	}
	return out
}

func withoutUnknown(us []Unknown, names ...string) []Unknown {
	var out []Unknown
	for _, u := range us {
		if !slices.Contains(names, u.Check) {
			out = append(out, u)
		}
	}
	return out
}
