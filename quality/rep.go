package quality

import (
	"time"

	"plateside/curve"
)

// A RepKey identifies a rep by the bytes of its recording, so that a renamed or moved file keeps its decisions.
type RepKey struct {
	SHA256 string
	Number int
}

// A Rep is one jump attempt with everything the program says of it. It holds no samples: those are read again from the
// recording when a curve is to be drawn.
type Rep struct {
	// ID is how people and files name the rep: the recording's name without its ending, "#", the number.
	ID string
	// Recording is the path below the given folder, SHA256 the hash of its bytes.
	Recording string
	SHA256    string
	// CopyOf names the recording whose bytes this one repeats; empty for an original.
	CopyOf string
	// Gone says that the recording's file is no longer there.
	Gone bool
	// LandedAt is when the athlete landed by the clock on the wall, as far as the file's time tells; zero when unknown.
	LandedAt time.Time
	// Athlete is empty where it is not known.
	Athlete string
	RateHz  float64
	// StartS is the time of the recording's first sample.
	StartS float64
	Plates int
	// Remarks are what the reader said of the file.
	Remarks []string
	// Curve is the measured rep: landmarks, phases, metrics. It is never nil.
	Curve *curve.Rep
	// Findings are in the order of Checks; Unknowns are the checks that could not be answered; Notes are plain facts
	// (one plate: no sides).
	Findings []Finding
	Unknowns []Unknown
	Notes    []string
	Verdict  Verdict
}

// Key returns the rep's identity.
func (r *Rep) Key() RepKey { return RepKey{SHA256: r.SHA256, Number: r.Curve.Number} }

// Worst returns the finding that decides the verdict, the first of equals; ok is false where there is none.
func (r *Rep) Worst() (worst Finding, ok bool) {
	for _, f := range r.Findings {
		if f.Severity > worst.Severity {
			worst, ok = f, true
		}
	}
	return worst, ok
}

// SuggestedReason returns the check of the worst finding, or ReasonJudgement where there is none.
func (r *Rep) SuggestedReason() string {
	if f, ok := r.Worst(); ok {
		return f.Check
	}
	return ReasonJudgement
}

// Say returns what to say to the athlete about the rep, "" for nothing: the cue of the worst finding, or the tester's own
// for that check.
func (r *Rep) Say(own map[string]string) string {
	f, ok := r.Worst()
	switch {
	case !ok || f.Cue == CueNone:
		return ""
	case f.Cue != "":
		return f.Cue
	case own[f.Check] != "":
		return own[f.Check]
	}
	c, _ := CheckNamed(f.Check)
	return c.Cue
}

// Refused is a recording that could not be read. It stays in every list.
type Refused struct {
	Recording string
	Reason    string
	Hint      string
}

// A Source is a recording file that was part of the session, read or refused.
type Source struct {
	Recording string
	SHA256    string
	Bytes     int64
	Reps      int
}
