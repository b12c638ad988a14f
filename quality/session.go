package quality

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// A Session is everything that was read from the given folder: reps, refused recordings, and what was decided.
type Session struct {
	// Title names the session on screens and in files; it is the folder's base name.
	Title   string
	Reps    []*Rep
	Refused []Refused
	Sources []Source
	History *History
}

// Add takes in what became of one file: its reps, or its refusal. NameReps must be called when the last was added.
func (s *Session) Add(source Source, reps []*Rep, refused *Refused) {
	if refused != nil {
		s.Refused = append(s.Refused, *refused)
	}
	s.Sources = append(s.Sources, source)
	s.Reps = append(s.Reps, reps...)
}

// Forget takes a recording out of the sources and the refused ones, before it is added anew.
func (s *Session) Forget(recording string) {
	s.Sources = slices.DeleteFunc(slices.Clone(s.Sources), func(o Source) bool { return o.Recording == recording })
	s.Refused = slices.DeleteFunc(slices.Clone(s.Refused), func(o Refused) bool { return o.Recording == recording })
}

// NameReps gives every rep its identifier, the recording's name without its ending and the number, and marks those of
// recordings that repeat the bytes of an earlier one. Where two recordings would have the same identifiers, the ending
// stays.
func (s *Session) NameReps() {
	owner := map[string]string{} // of a short name; "" where several recordings want it
	whole := map[string]bool{}   // full names, which always win
	first := map[string]string{} // the recording that first held some bytes
	for _, r := range s.Reps {
		whole[r.Recording] = true
		stem := Stem(r.Recording)
		if other, ok := owner[stem]; ok && other != r.Recording {
			owner[stem] = ""
		} else if !ok {
			owner[stem] = r.Recording
		}
	}
	for _, r := range s.Reps {
		name := Stem(r.Recording)
		if owner[name] == "" || whole[name] && name != r.Recording {
			name = r.Recording
		}
		r.ID = fmt.Sprintf("%s#%d", name, r.Curve.Number)
		r.CopyOf = ""
		if original, ok := first[r.SHA256]; !ok {
			first[r.SHA256] = r.Recording
		} else if original != r.Recording {
			r.CopyOf = original
		}
	}
}

// Stem is a recording's name without its ending, and without .gz before that.
func Stem(name string) string {
	name = strings.TrimSuffix(name, ".gz")
	return strings.TrimSuffix(name, path.Ext(name))
}

// Count is how many reps stand where.
type Count struct{ Kept, Rejected, Open int }

// Count returns how many reps are kept, rejected and undecided.
func (s *Session) Count() Count {
	var c Count
	for _, r := range s.Reps {
		switch s.History.Decision(r.Key()).Choice {
		case Keep:
			c.Kept++
		case Reject:
			c.Rejected++
		default:
			c.Open++
		}
	}
	return c
}

// Printable makes text from files harmless on a terminal and on one line: control characters and marks that turn the
// direction of writing become a question mark.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ', r >= 0x7f && r < 0xa0, r == 0x2028, r == 0x2029, r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return '?'
		}
		return r
	}, s)
}
