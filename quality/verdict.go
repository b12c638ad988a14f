package quality

import "fmt"

// Severity says how much a finding matters.
type Severity int

// The severities, least first.
const (
	// Look means that a person should look before the rep is kept.
	Look Severity = iota + 1
	// Redo means that the rep should not be used; have the athlete jump again.
	Redo
)

// String returns the word used in files and on screens.
func (s Severity) String() string {
	switch s {
	case Look:
		return "look"
	case Redo:
		return "redo"
	}
	return fmt.Sprintf("severity(%d)", int(s))
}

// A Verdict is what the checks say of a rep together; the worst finding decides. A verdict never decides by itself: a
// Decision is a person's.
type Verdict int

// The verdicts, best first.
const (
	// VerdictClear means that no check has a finding.
	VerdictClear Verdict = iota
	// VerdictLook means that a person should look.
	VerdictLook
	// VerdictRedo means do not use; have the athlete jump again.
	VerdictRedo
)

// String returns the word used in files and on screens.
func (v Verdict) String() string {
	switch v {
	case VerdictClear:
		return "clear"
	case VerdictLook:
		return "look"
	case VerdictRedo:
		return "redo"
	}
	return fmt.Sprintf("verdict(%d)", int(v))
}

// ParseVerdict is the inverse of Verdict.String.
func ParseVerdict(word string) (Verdict, error) {
	for _, v := range []Verdict{VerdictClear, VerdictLook, VerdictRedo} {
		if v.String() == word {
			return v, nil
		}
	}
	return VerdictClear, fmt.Errorf("verdict %q is none of clear, look, redo", word)
}

// A Finding is a check that did not pass.
type Finding struct {
	// Check is the name of the check, such as "stance-sway".
	Check string
	// Severity is look or redo.
	Severity Severity
	// Message is one sentence that a tester can act on.
	Message string
	// Cue is what to say to the athlete where the check's own cue does not fit; "" for the check's, CueNone for nothing.
	Cue string
	// Value is what was measured and Limit what it was held against, both in Unit. They are NaN where the check has no
	// number.
	Value, Limit float64
	Unit         string
	// FromS and ToS are the stretch of the recording's clock that the finding speaks of, in seconds; NaN where it
	// speaks of the whole rep.
	FromS, ToS float64
}

// CueNone is the cue of a finding about which nothing is to be said to the athlete.
const CueNone = "-"

// An Unknown is a check that could not be answered, with the reason. It is never a silent pass.
type Unknown struct {
	Check  string
	Reason string
}

// WorstOf returns the verdict that the findings add up to.
func WorstOf(findings []Finding) Verdict {
	worst := VerdictClear
	for _, f := range findings {
		switch f.Severity {
		case Redo:
			return VerdictRedo
		case Look:
			worst = VerdictLook
		}
	}
	return worst
}
