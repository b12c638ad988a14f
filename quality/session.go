package quality

// A Session is everything that was read from the given folder: reps, refused recordings, and what was decided.
type Session struct {
	// Title names the session on screens and in files; it is the folder's base name.
	Title   string
	Reps    []*Rep
	Refused []Refused
	Sources []Source
	History *History
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
