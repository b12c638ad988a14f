package curve

import "math"

// A Recording is one file from the plates' software: vertical ground reaction force on an even clock. It holds one
// or more reps. All forces are in newtons, upward positive; a missing sample is NaN, so that sample i is always at
// StartS + i/RateHz.
//
// Left and Right are nil when the file carries one total only. Total is never nil: it is Left + Right where there are
// sides. The slices of one recording have equal length.
type Recording struct {
	// Name is the path below the folder the person gave, with forward slashes.
	Name string
	// SHA256 is the hash of the file's bytes in lower-case hexadecimal; it identifies the recording when the file is
	// renamed or moved.
	SHA256 string
	// Athlete is who jumped, as far as the reader could tell; empty when it could not.
	Athlete string
	// RateHz is the sampling rate in samples a second.
	RateHz float64
	// StartS is the time of the first sample on the recording's own clock, in seconds; 0 where the file has no clock.
	StartS float64
	// Left, Right and Total are vertical forces in newtons.
	Left, Right, Total []float64
	// Irregular lists the spans in which the time column did not step evenly.
	Irregular []Span
	// Remarks are sentences about how the file was read that a reviewer should know (a sign that was turned, a unit
	// that was converted). None of them is a judgement.
	Remarks []string
}

// A Span is a stretch of the recording's clock in seconds.
type Span struct{ FromS, ToS float64 }

// HasSides reports whether the recording tells left from right.
func (r *Recording) HasSides() bool { return r.Left != nil && r.Right != nil }

// Plates returns 2 when left and right are known apart, else 1.
func (r *Recording) Plates() int {
	if r.HasSides() {
		return 2
	}
	return 1
}

// TimeS returns the time of sample i (which may lie between samples) in seconds on the recording's clock.
func (r *Recording) TimeS(i float64) float64 { return r.StartS + i/r.RateHz }

// Index returns the sample position of time t in seconds; it is fractional between samples and may lie outside the
// recording.
func (r *Recording) Index(tS float64) float64 { return (tS - r.StartS) * r.RateHz }

// Sample returns the sample nearest to time t, held inside the recording; 0 for a NaN time.
func (r *Recording) Sample(tS float64) int {
	if math.IsNaN(tS) {
		return 0
	}
	i := int(math.Round(r.Index(tS)))
	return max(0, min(i, len(r.Total)-1))
}

// EndS returns the time of the last sample in seconds.
func (r *Recording) EndS() float64 { return r.TimeS(float64(len(r.Total) - 1)) }
