package quality

import (
	"fmt"
	"math"

	"plateside/curve/series"
)

// Wanted says how many reps a test asks of an athlete.
type Wanted struct {
	// Kept is how many reps are wanted, Attempts how many jumps are allowed to get them.
	Kept, Attempts int
	// SpreadPct is how far apart the kept jump heights may lie, largest less smallest, in per cent of their mean.
	SpreadPct float64
	// RestS is the least rest between two jumps in seconds.
	RestS float64
}

// A Tally is where an athlete stands in a test.
type Tally struct {
	Wanted          Wanted
	Kept, Attempts  int
	SpreadPct       float64 // NaN for fewer than two kept heights
	Agree           bool    // the kept heights lie within the spread, or are too few to tell
	Enough, Stopped bool    // nothing more is to be jumped: enough kept, or attempts used up
}

// TallyOf counts an athlete's reps. A rep that never left the plates was an attempt too; copies of a file are not.
func TallyOf(reps []*Rep, h *History, w Wanted) Tally {
	t := Tally{Wanted: w, SpreadPct: math.NaN(), Agree: true}
	var heights []float64
	for _, r := range reps {
		if r.CopyOf != "" {
			continue
		}
		t.Attempts++
		if h.Decision(r.Key()).Choice != Keep {
			continue
		}
		t.Kept++
		if v := r.Curve.Metric("jump_height_m"); v.Known() {
			heights = append(heights, v.Value)
		}
	}
	if len(heights) >= 2 {
		t.SpreadPct = 100 * (series.Quantile(heights, 1) - series.Quantile(heights, 0)) / series.Mean(heights)
		t.Agree = t.SpreadPct <= w.SpreadPct
	}
	t.Enough = t.Kept >= w.Kept && t.Agree
	t.Stopped = !t.Enough && t.Attempts >= w.Attempts
	return t
}

// Words says where the athlete stands, in a few words for the tester. It never asks for more than the allowed attempts.
func (t Tally) Words() string {
	base := fmt.Sprintf("%d of %d kept, attempt %d of %d", t.Kept, t.Wanted.Kept, t.Attempts, t.Wanted.Attempts)
	switch {
	case math.IsNaN(t.SpreadPct):
	case t.Agree:
		base += fmt.Sprintf(", heights agree within %.1f %%", t.SpreadPct)
	default:
		base += fmt.Sprintf(", heights differ by %.1f %%", t.SpreadPct)
	}
	switch {
	case t.Enough:
		return fmt.Sprintf("enough: %d good reps (%s)", t.Kept, base)
	case t.Stopped:
		return fmt.Sprintf("stop: %d attempts are used, more would tire (%s)", t.Attempts, base)
	case t.Kept < t.Wanted.Kept:
		return fmt.Sprintf("%s, %d more", base, t.Wanted.Kept-t.Kept)
	}
	return base + ", one more to agree"
}
