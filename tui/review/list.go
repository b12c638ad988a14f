package review

import (
	"fmt"
	"path"
	"strings"

	"plateside/quality"
)

// A row is a line of the list: a heading, a rep, or a refused recording. Rows are comparable.
type row struct {
	heading   string
	rep       *quality.Rep
	refused   quality.Refused
	isRefused bool
	// label is what the list calls the rep beneath its heading.
	label string
}

// selectable reports whether the selection can rest on the row.
func (r row) selectable() bool { return r.rep != nil || r.isRefused }

// rowsOf lays a session out as a table of contents: athletes in the order in which they first appear, their reps under
// them, refused recordings at the end.
func rowsOf(s *quality.Session) []row {
	var order []string
	byAthlete := map[string][]*quality.Rep{}
	perRecording := map[string]int{}
	for _, r := range s.Reps {
		if _, ok := byAthlete[r.Athlete]; !ok {
			order = append(order, r.Athlete)
		}
		byAthlete[r.Athlete] = append(byAthlete[r.Athlete], r)
		perRecording[r.Recording]++
	}
	var rows []row
	for _, athlete := range order {
		heading := quality.Printable(athlete)
		if heading == "" {
			heading = "athlete not named"
		}
		rows = append(rows, row{heading: heading})
		reps := byAthlete[athlete]
		prefix := commonPrefix(reps)
		for _, r := range reps {
			rows = append(rows, row{rep: r, label: label(r, prefix, perRecording[r.Recording])})
		}
	}
	if len(s.Refused) > 0 {
		rows = append(rows, row{heading: "refused"})
		for _, r := range s.Refused {
			rows = append(rows, row{refused: r, isRefused: true, label: quality.Printable(path.Base(r.Recording))})
		}
	}
	return rows
}

// label names a rep under its heading by its file, so that it stays the same whatever else arrives.
func label(r *quality.Rep, prefix string, inRecording int) string {
	name := strings.TrimPrefix(quality.Stem(r.Recording), prefix)
	if inRecording > 1 {
		name += fmt.Sprintf("#%d", r.Curve.Number)
	}
	return quality.Printable(name)
}

// same reports whether two rows stand for the same thing: the same rep of the same file, or the same refused file.
func (r row) same(o row) bool {
	switch {
	case r.rep != nil && o.rep != nil:
		return nameOf(r.rep) == nameOf(o.rep)
	case r.isRefused && o.isRefused:
		return r.refused.Recording == o.refused.Recording
	}
	return false
}

// commonPrefix is the folder that all recordings of the reps share.
func commonPrefix(reps []*quality.Rep) string {
	if len(reps) == 0 {
		return ""
	}
	dir, _ := path.Split(reps[0].Recording)
	for _, r := range reps {
		for !strings.HasPrefix(r.Recording, dir) {
			dir, _ = path.Split(strings.TrimSuffix(dir, "/"))
		}
	}
	return dir
}
