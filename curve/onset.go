package curve

// The start of movement.
//
//	F |
//	W |~~~~~~~~~~~~~~~o.                   o  = onset
//	  |                 `x                 x  = force first leaves the band below body weight
//	  |                    \
//	  |                     `._.'          the real unweighting, found first; the search goes back from here
//
// A threshold that is searched forward through the stance is triggered by sway. So the search starts at the lowest force
// of the real unweighting and walks back in time until force is inside the band: whatever wavered earlier is never seen.
// Published rules differ in the band (5 SD, 2.5 %, 10 N ...) and in what is done at its edge (nothing, 30 ms back). They
// are offered by name.
//
// The default rule walks back to 5 SD and then follows the curve to its beginning. A body that starts to drop from rest
// does so smoothly: in the first moments the missing force grows with the square of time, so the square root of the
// missing force is a straight line, and where that line meets zero the movement began. The band's width, which depends
// on how noisy the plates are and how calm the athlete is, then no longer moves the onset.

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat"
)

// The default onset rule.
const OnsetTraced = "5sd-traced"

// An OnsetRule is a published way to find the start of movement.
type OnsetRule struct {
	Name   string
	Source string
	// The band below body weight is the largest of these.
	SDs     float64
	Percent float64
	Newtons float64
	// BackS is how far before the band's edge the onset is set, in seconds.
	BackS float64
	// Traced follows the curve back to its beginning.
	Traced bool
	// LastAtWeight goes back from the band's edge to the last sample at body weight.
	LastAtWeight bool
}

// OnsetRules returns the rules that can be chosen, the default first.
func OnsetRules() []OnsetRule {
	return []OnsetRule{
		{Name: OnsetTraced, SDs: 5, Traced: true,
			Source: "5 SD as in Owen 2014 and McMahon 2018, then back along the curve (project default)"},
		{Name: "5sd-30ms", SDs: 5, BackS: 0.03, Source: "Owen 2014"},
		{Name: "5sd", SDs: 5, Source: "Thresholds 2022"},
		{Name: "4sd", SDs: 4, Source: "Thresholds 2022"},
		{Name: "2.5pct", Percent: 2.5, Source: "Meylan 2011"},
		{Name: "5pct", Percent: 5, Source: "Meylan 2011; Duarte"},
		{Name: "10pct", Percent: 10, Source: "Meylan 2011; overstates height by about 1 cm"},
		{Name: "10n", Newtons: 10, Source: "quoted in Thresholds 2022"},
		{Name: "5sd-weight", SDs: 5, LastAtWeight: true, Source: "last sample at body weight, from memory"},
	}
}

func onsetRule(name string) (OnsetRule, error) {
	var names []string
	for _, r := range OnsetRules() {
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return OnsetRule{}, fmt.Errorf("onset %q is none of %s", name, strings.Join(names, ", "))
}

const (
	// onsetBandMost holds the band below this share of body weight: a stance that sways has an SD that says nothing of
	// noise any more.
	onsetBandMost = 0.05
	// traceSpanS is the longest stretch of curve that is followed back, in seconds; traceTop is the drop, in bands,
	// at which it ends.
	traceSpanS = 0.12
	traceTop   = 6.0
	// traceMost is the share of the deepest drop that is followed at most: beyond it the fall of force slows down.
	traceMost = 0.6
	// traceLevelFromS and traceLevelToS bound the stance, in seconds before the onset, whose level force goes missing
	// from. All of these are project defaults.
	traceLevelFromS = 0.06
	traceLevelToS   = 0.01
)

// onset returns the fractional sample at which the movement begins. smooth is the total force with the sample noise
// averaged out, minAt the sample of lowest force in the real unweighting, weightN and sdN belong to the stance.
func onset(smooth []float64, minAt int, weightN, sdN, rateHz float64, m Method) float64 {
	rule, err := onsetRule(m.Onset)
	if err != nil || minAt <= 0 {
		return math.NaN()
	}
	band := math.Max(math.Max(rule.SDs*sdN, rule.Percent/100*weightN), rule.Newtons)
	band = math.Min(math.Max(band, m.OnsetFloorN), math.Max(onsetBandMost, rule.Percent/100)*weightN)
	edge := -1
	for i := minAt; i >= 0; i-- {
		if smooth[i] > weightN-band {
			edge = i
			break
		}
	}
	if edge < 0 {
		return 0 // the recording begins below body weight
	}
	at := crossing(smooth, edge, weightN-band)
	switch {
	case rule.Traced:
		return trace(smooth, edge, minAt, weightN, band, rateHz)
	case rule.LastAtWeight:
		for edge > 0 && smooth[edge] < weightN {
			edge--
		}
		return float64(edge)
	}
	return math.Max(0, at-rule.BackS*rateHz)
}

// trace follows the curve back from the band's edge to where the square root of the missing force meets zero. The
// stance just before the edge is taken as the level from which force goes missing, since the slow sway there belongs to
// the stance and not to the movement.
func trace(smooth []float64, edge, minAt int, weightN, band, rateHz float64) float64 {
	level := weightN
	var x, y []float64
	for range 3 {
		x, y = x[:0], y[:0]
		top := math.Min(traceTop*band, traceMost*(weightN-smooth[minAt]))
		top = math.Max(top, 2*band)
		for i := edge + 1; i <= minAt && float64(i-edge) <= traceSpanS*rateHz; i++ {
			drop := level - smooth[i]
			if drop > top {
				break
			}
			if drop > band/2 {
				x, y = append(x, float64(i)), append(y, math.Sqrt(drop))
			}
		}
		if len(x) < 3 {
			return float64(edge)
		}
		a, b := stat.LinearRegression(x, y, nil, false)
		if !(b > 0) {
			return float64(edge)
		}
		at := math.Max(0, math.Max(-a/b, float64(edge)-traceSpanS*rateHz))
		at = math.Min(at, float64(edge))
		lo, hi := int(at-traceLevelFromS*rateHz), int(at-traceLevelToS*rateHz)
		if lo < 0 || hi-lo < 2 {
			return at
		}
		level = stat.Mean(smooth[lo:hi], nil)
		if math.Abs(level-weightN) > band { // a dip of its own before the onset is not the stance
			level = weightN
		}
	}
	a, b := stat.LinearRegression(x, y, nil, false)
	return math.Min(float64(edge), math.Max(0, math.Max(-a/b, float64(edge)-traceSpanS*rateHz)))
}
