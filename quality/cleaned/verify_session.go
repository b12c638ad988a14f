package cleaned

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"plateside/quality"
)

// What a schema cannot say: that tables, force files and history belong together.

// references checks the references between tables that the package is known to have.
func (v *verifier) references() {
	reps := v.tables["reps"]
	if reps == nil {
		return
	}
	ids := map[string]bool{}
	for _, row := range reps.rows {
		ids[reps.at(row, "rep_id")] = true
	}
	for _, t := range layout() {
		s := v.tables[t.name]
		if s == nil || !t.refers {
			continue
		}
		for i, row := range s.rows {
			if id := s.at(row, "rep_id"); !ids[id] {
				v.say(Problem{s.file, i + 2, "rep_id", fmt.Sprintf("%q is not in reps.csv", clean(id))})
			}
		}
	}
}

// session checks that kept reps, and only they, have numbers and samples, and that decisions follow from the history.
func (v *verifier) session() {
	reps := v.tables["reps"]
	if reps == nil {
		return
	}
	rowsOf := func(name string) map[string]int {
		n := map[string]int{}
		if s := v.tables[name]; s != nil {
			for _, row := range s.rows {
				n[s.at(row, "rep_id")]++
			}
		}
		return n
	}
	metrics, landmarks := rowsOf("metrics"), rowsOf("landmarks")
	history := v.history()
	named := map[string]bool{}
	for i, row := range reps.rows {
		v.report.Reps++
		r := repRow{reps, row, i + 2}
		keep := r.at("decision") == quality.Keep.String()
		if keep {
			v.report.Kept++
		}
		id, force := r.at("rep_id"), r.at("force")
		for _, t := range []struct {
			file string
			rows int
		}{{"metrics.csv", metrics[id]}, {"landmarks.csv", landmarks[id]}} {
			if (t.rows > 0) != keep {
				v.say(Problem{reps.file, r.n, "decision", fmt.Sprintf("kept reps, and only they, stand in %s; this one does not fit", t.file)})
			}
		}
		named[force] = true
		stat, has := v.forces[force]
		switch {
		case keep && !has:
			v.say(Problem{reps.file, r.n, "force", "the samples of this kept rep are missing"})
		case !keep && force != "":
			v.say(Problem{reps.file, r.n, "force", "only kept reps have samples"})
		case keep:
			v.samples(r, stat)
		}
		v.decided(r, history)
	}
	for _, file := range slices.Sorted(maps.Keys(v.forces)) {
		if !named[file] {
			v.say(Problem{File: file, Text: "no rep in reps.csv has these samples"})
		}
	}
	v.counts(reps)
}

// repRow is a row of reps.csv.
type repRow struct {
	sheet *sheet
	row   []string
	n     int
}

func (r repRow) at(column string) string { return r.sheet.at(r.row, column) }

// samples checks a force file against its rep.
func (v *verifier) samples(r repRow, f forceStat) {
	file := r.at("force")
	if f.rows < 2 {
		v.say(Problem{File: file, Text: "it has no samples"})
		return
	}
	rate, err := strconv.ParseFloat(r.at("rate_hz"), 64)
	step := (f.last - f.first) / float64(f.rows-1)
	if err == nil && math.Abs(step*rate-1) > 1e-4 {
		v.say(Problem{File: file, Column: "time_s", Text: fmt.Sprintf("the samples are %.6g s apart; reps.csv says %g Hz", step, rate)})
	}
	if sides := r.at("plates") == "2"; sides != f.sides {
		v.say(Problem{File: file, Text: "left and right are there for one plate, or missing for two"})
	}
	s := v.tables["landmarks"]
	if s == nil {
		return
	}
	for i, row := range s.rows {
		at, err := strconv.ParseFloat(s.at(row, "time_s"), 64)
		if s.at(row, "rep_id") == r.at("rep_id") && err == nil && (at < f.first-1e-3 || at > f.last+1e-3) {
			v.say(Problem{s.file, i + 2, "time_s", "it lies outside the samples of its rep"})
		}
	}
}

// A forceStat is what was seen in a force file.
type forceStat struct {
	rows        int
	first, last float64
	sides       bool
	step        float64
}

// take checks one row: the clock runs on evenly, and the total is the sum of the sides.
func (f *forceStat) take(c *checker, n int, row []string) {
	if len(row) < 4 {
		return
	}
	t, err := strconv.ParseFloat(row[0], 64)
	if err != nil {
		return // said already
	}
	switch {
	case f.rows == 0:
		f.first = t
	case t <= f.last:
		c.say(n, "time_s", "the clock does not run on: %s after %g", row[0], f.last)
	case f.rows == 1:
		f.step = t - f.last
	case math.Abs(t-f.last-f.step) > 1e-3*f.step+2e-8+1e-15*math.Abs(t):
		c.say(n, "time_s", "the clock steps by %.9g s here and by %.9g s before", t-f.last, f.step)
	}
	f.last = t
	f.rows++
	left, lerr := strconv.ParseFloat(row[1], 64)
	right, rerr := strconv.ParseFloat(row[2], 64)
	total, terr := strconv.ParseFloat(row[3], 64)
	if row[1] != "" || row[2] != "" {
		f.sides = true
	}
	if lerr == nil && rerr == nil && terr == nil && math.Abs(left+right-total) > 2e-6 {
		c.say(n, "total_n", "%s is not left + right", row[3])
	}
}

// history replays decisions.csv; nil when it does not replay.
func (v *verifier) history() *quality.History {
	s := v.tables["decisions"]
	if s == nil {
		return nil
	}
	h := &quality.History{}
	for i, row := range s.rows {
		e, err := eventOf(s, row)
		if err == nil {
			err = h.Apply(e)
		}
		if err != nil {
			v.say(Problem{s.file, i + 2, "", "the history does not follow: " + err.Error()})
			return nil
		}
	}
	return h
}

// eventOf reads a row of decisions.csv.
func eventOf(s *sheet, row []string) (quality.Event, error) {
	number := func(column string) int {
		n, _ := strconv.Atoi(s.at(row, column)) // its type was checked; empty is 0
		return n
	}
	at, err := time.Parse(timeLayout, s.at(row, "at"))
	if err != nil {
		return quality.Event{}, err
	}
	return quality.Event{
		Seq: number("seq"), At: at, Reviewer: s.at(row, "reviewer"), Action: quality.Action(s.at(row, "action")),
		Key: quality.RepKey{SHA256: s.at(row, "recording_sha256"), Number: number("rep")}, RepID: s.at(row, "rep_id"),
		Reason: s.at(row, "reason"), Note: s.at(row, "note"), Group: number("group"), Undoes: number("undoes"),
	}, nil
}

// decided checks that a rep's decision is what the history leaves.
func (v *verifier) decided(r repRow, h *quality.History) {
	if h == nil {
		return
	}
	n, _ := strconv.Atoi(r.at("rep"))
	d := h.Decision(quality.RepKey{SHA256: r.at("recording_sha256"), Number: n})
	at := ""
	if !d.At.IsZero() {
		at = d.At.UTC().Format(timeLayout)
	}
	for _, c := range []struct{ column, want string }{
		{"decision", d.Choice.String()}, {"reason", d.Reason}, {"note", d.Note}, {"reviewer", d.Reviewer}, {"decided_at", at},
	} {
		if got := r.at(c.column); got != c.want {
			v.say(Problem{r.sheet.file, r.n, c.column, fmt.Sprintf("%q, but by decisions.csv it is %q", clean(got), clean(c.want))})
		}
	}
}

// counts checks the counts in the descriptor, and that every recording of a rep is among the sources.
func (v *verifier) counts(reps *sheet) {
	const file = "datapackage.json"
	m := v.archive.about.Plateside
	if got := m.Kept + m.Rejected + m.Open; got != v.report.Reps || m.Kept != v.report.Kept {
		v.say(Problem{File: file, Column: "plateside", Text: fmt.Sprintf("it counts %d reps, %d kept; there are %d, %d kept",
			got, m.Kept, v.report.Reps, v.report.Kept)})
	}
	for i, row := range reps.rows {
		hash := reps.at(row, "recording_sha256")
		if !slices.ContainsFunc(v.archive.about.Sources, func(s source) bool { return s.SHA256 == hash }) {
			v.say(Problem{reps.file, i + 2, "recording_sha256", "datapackage.json does not have this recording among its sources"})
		}
	}
}
