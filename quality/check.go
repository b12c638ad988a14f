package quality

import (
	"math"
	"slices"

	"plateside/curve"
)

// A Check asks one question of a rep. The order of Checks is the order of findings.
type Check struct {
	// Name is the word in files and on screens.
	Name string
	// Question is what it asks, in words.
	Question string
	// Severity says in words what a finding means.
	Severity string
	// Cue is what to say to the athlete, written for speaking aloud; empty where nothing can be asked of the athlete.
	Cue string
	// Remedy is what the tester can do where the athlete cannot.
	Remedy string
	judge  func(*bench) []Finding
}

// Names of the checks.
const (
	StanceSway   = "stance-sway"
	StanceShift  = "stance-shift"
	StanceShort  = "stance-short"
	EarlyLoad    = "early-load"
	NoFlight     = "no-flight"
	Gap          = "gap"
	Saturated    = "saturated"
	ZeroOffset   = "zero-offset"
	OffPlate     = "off-plate"
	ExtraHop     = "extra-hop"
	HeightGap    = "height-gap"
	Unsettled    = "unsettled"
	WeightChange = "weight-change"
	OddRep       = "odd-rep"
	LowRate      = "low-rate"
	OnePlate     = "one-plate"
)

// Checks returns the table of checks. Adding one is a row here, a function and a test.
func Checks() []Check {
	const still = "Stand still for two seconds, then go."
	return []Check{
		{StanceSway, "Is the total force steady in the weighing window?", "redo; look in a narrow band below", still, "", stanceSway},
		{StanceShift, "Does weight wander between the feet while the total is quiet?", "redo; look in a narrow band below",
			"Weight on both feet, still for two seconds, then go.", "", stanceShift},
		{StanceShort, "Is there 1 s of stillness right before the onset?", "redo below 0.5 s, look below 1 s",
			"Step on, stand still for two seconds, then go.", "", stanceShort},
		{EarlyLoad, "Is there a loading or dip of its own just before the real unweighting?", "redo",
			"No bounce first: stand still, then straight down and up.", "", earlyLoad},
		{NoFlight, "Did the athlete leave the plates?", "redo", "Jump as high as you can.", "", noFlight},
		{Gap, "Are samples missing, not finite or irregularly timed?", "redo between onset and landing, else look",
			"Once more, please.", "check cable and acquisition software", gap},
		{Saturated, "Is a plate clipped at its range?", "redo before takeoff, look after landing",
			"Once more, please, when I say so.", "set a larger range on the plate first", saturated},
		{ZeroOffset, "Does an unloaded plate read zero?", "look; redo where it moves jump height by more than 1 cm",
			"Step off, please; I zero the plates, then once more.", "zero the empty plates", zeroOffset},
		{OffPlate, "Did both feet land on the plates?", "look", "Land with both feet where you took off.", "", offPlate},
		{ExtraHop, "Is there a second flight after landing?", "look", "Land and stay down.", "", extraHop},
		{HeightGap, "Do flight time and takeoff velocity give the same height?", "look",
			"Land with straight legs, toes first, as you took off.", "", heightGap},
		{Unsettled, "Do velocity and force come back to standing after landing?", "look",
			"After landing stand still until I say so.", "", unsettled},
		{WeightChange, "Does body weight agree with the athlete's other reps?", "look", still,
			"was something put down or picked up, is it the same athlete?", nil},
		{OddRep, "Is this rep far from the athlete's others (height, depth, time to takeoff)?", "look",
			"Once more, as high as you can.", "", nil},
		{LowRate, "Is the sampling rate high enough?", "look", "", "set 1000 Hz in the acquisition software", lowRate},
		{OnePlate, "Is there only a total, no sides?", "noted in the rep, no finding", "", "", onePlate},
	}
}

// CheckNamed returns the row of a check.
func CheckNamed(name string) (Check, bool) {
	for _, c := range Checks() {
		if c.Name == name {
			return c, true
		}
	}
	return Check{}, false
}

// A bench is a rep on trial.
type bench struct {
	rep    *Rep
	curve  *curve.Rep
	signs  curve.Signs
	limits Limits
	found  map[string]bool
}

// limit returns a threshold.
func (b *bench) limit(key string) float64 { return b.limits.Get(key) }

// ofWeight turns per cent of body weight into newtons.
func (b *bench) ofWeight(pct float64) float64 { return pct / 100 * b.curve.Weighing.WeightN }

// unknown notes that a check could not be answered.
func (b *bench) unknown(check, reason string) []Finding {
	b.rep.Unknowns = append(b.rep.Unknowns, Unknown{check, reason})
	return nil
}

// nowhere is the span of a finding that speaks of the whole rep.
func nowhere() curve.Span { return curve.Span{FromS: math.NaN(), ToS: math.NaN()} }

// A measured is a value held against a limit.
type measured struct {
	value, limit float64
	unit         string
}

// finding builds a finding.
func finding(check string, severity Severity, m measured, span curve.Span, message string) Finding {
	return Finding{Check: check, Severity: severity, Message: message, Value: m.value, Limit: m.limit, Unit: m.unit,
		FromS: span.FromS, ToS: span.ToS}
}

// Judge asks every check that looks at one rep alone, and sets findings, unknowns, notes and verdict. The checks that
// compare an athlete's reps are asked by JudgeTogether.
func Judge(rep *Rep, limits Limits) {
	rep.Findings, rep.Unknowns, rep.Notes = nil, nil, nil
	b := &bench{rep: rep, curve: rep.Curve, signs: rep.Curve.Signs, limits: limits, found: map[string]bool{}}
	for _, name := range askedFirst() {
		c, _ := CheckNamed(name)
		b.ask(c)
	}
	for _, c := range Checks() {
		if c.judge != nil && !slices.Contains(askedFirst(), c.Name) {
			b.ask(c)
		}
	}
	rep.Findings = inOrder(rep.Findings)
	rep.Verdict = WorstOf(rep.Findings)
}

// askedFirst are checks whose finding explains what others would find.
func askedFirst() []string { return []string{EarlyLoad, StanceSway, StanceShift} }

func (b *bench) ask(c Check) {
	fs := c.judge(b)
	b.found[c.Name] = len(fs) > 0
	b.rep.Findings = append(b.rep.Findings, fs...)
}

// inOrder sorts findings into the order of Checks.
func inOrder(fs []Finding) []Finding {
	var out []Finding
	for _, c := range Checks() {
		for _, f := range fs {
			if f.Check == c.Name {
				out = append(out, f)
			}
		}
	}
	return out
}
