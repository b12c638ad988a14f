package review

import (
	"plateside/curve"
	"plateside/quality"
)

// An ArrivedMsg brings recordings that were read and judged, in the order of the folder.
type ArrivedMsg struct {
	Arrivals []Arrival
	// Read and Total count recordings; Done is set on the last message.
	Read, Total int
	Done        bool
}

// An Arrival is what became of one recording.
type Arrival struct {
	Source  quality.Source
	Reps    []*quality.Rep
	Refused *quality.Refused
}

// A FailedMsg says that reading came to an end with an error.
type FailedMsg struct{ Err error }

// samplesMsg brings the samples of a rep for drawing. It is dropped when another rep was selected meanwhile.
type samplesMsg struct {
	key  quality.RepKey
	file string
	rec  *curve.Recording
	move curve.Motion
	// stance is the stance before the rep, smoothed.
	stance curve.StanceTrace
	err    error
}

// tracesMsg brings the totals of other reps.
type tracesMsg map[traceKey]trace

// savedMsg says that an order to the ledger is on disk, or is not.
type savedMsg struct {
	order order
	// events are what the ledger added.
	events []quality.Event
	// where is the new place of the ledger, "" for the old one.
	where string
	err   error
}

// wroteMsg says that the cleaned session was written, or was not.
type wroteMsg struct {
	path string
	err  error
}
