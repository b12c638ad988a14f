package ledger

import (
	"bytes"
	"fmt"

	"plateside/quality"
)

// A scan is what was found in the bytes of a ledger.
type scan struct {
	// good is the longest prefix of whole lines and whole groups that are in order; crc is the last line's checksum.
	good []byte
	crc  string
	// history is what good says.
	history *quality.History
	// rest is everything after good.
	rest []byte
	// damage says what is wrong with the first line of rest, and badLine which it is; nil where rest is empty or was
	// only cut off while it was written.
	damage  error
	badLine int
}

// torn reports whether the file ends in a line, or a group of lines, that was not written to its end.
func (s scan) torn() bool { return len(s.rest) > 0 && s.damage == nil }

// read scans the bytes of a ledger. It never fails: what cannot be read is in rest.
func read(data []byte) scan {
	s := scan{crc: noPrev, history: &quality.History{}}
	var events []quality.Event // those of the lines before pos
	whole := 0                 // how many of them are in whole groups
	prev, pos, open := noPrev, 0, groupState{}
	for s.damage == nil {
		n := bytes.IndexByte(data[pos:], '\n')
		if n < 0 {
			break
		}
		e, of, crc, err := decode(data[pos:pos+n], prev)
		if err == nil {
			err = open.take(e, of)
		}
		if err == nil {
			err = s.history.Apply(e)
		}
		if err != nil {
			s.damage, s.badLine = err, len(events)+1
			break
		}
		events, prev, pos = append(events, e), crc, pos+n+1
		if open.missing == 0 {
			s.good, s.crc, whole = data[:pos], prev, len(events)
		}
	}
	if whole < len(events) {
		// A part of a group was applied; take it out again. It replayed once, so it replays now.
		s.history, _ = quality.Replay(events[:whole])
	}
	s.rest = data[len(s.good):]
	return s
}

// groupState follows whether the lines of a group are complete.
type groupState struct{ first, missing int }

func (g *groupState) take(e quality.Event, of int) error {
	switch {
	case g.missing > 0 && e.Group != g.first:
		return fmt.Errorf("the decision of line %d on several reps is not complete", g.first)
	case g.missing > 0:
		g.missing--
	case of > 1 && e.Group == e.Seq:
		g.first, g.missing = e.Seq, of-1
	case of > 1:
		return fmt.Errorf("it belongs to a decision on several reps that begins elsewhere")
	}
	return nil
}
