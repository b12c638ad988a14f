package cleaned_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
	"plateside/quality/cleaned"
)

// A squad is a session of simulated reps with their recordings.
type squad struct {
	session    *quality.Session
	recordings map[string]*curve.Recording
	options    cleaned.Options
}

// newSquad makes a session of five recordings: three athletes, one without sides, one under a name that a spreadsheet
// would run. Reps 1, 3 and 4 are kept, 2 is rejected after a change of mind, 5 is open.
func newSquad(tb testing.TB) *squad {
	tb.Helper()
	q := &squad{session: &quality.Session{Title: "Tuesday squad", History: &quality.History{}}, recordings: map[string]*curve.Recording{}}
	q.add(tb, "vik-01.csv", "Vik Aalto", 1, func(*simulate.Jump) {})
	q.add(tb, "vik-02.csv", "Vik Aalto", 2, func(j *simulate.Jump) { j.Fault = simulate.StanceSway })
	q.add(tb, "Mona Röd 1.txt", "Mona Röd", 3, func(*simulate.Jump) {})
	q.add(tb, "=cmd()|x.csv", "@sum", 4, func(*simulate.Jump) {})
	q.add(tb, "Mona Röd 2.txt", "Mona Röd", 5, func(*simulate.Jump) {})
	q.session.NameReps()
	quality.JudgeTogether(q.session.Reps, quality.DefaultLimits())
	q.session.Refused = append(q.session.Refused, quality.Refused{Recording: "notes.txt", Reason: "no numbers in it"})
	q.session.Sources = append(q.session.Sources, quality.Source{Recording: "notes.txt", Bytes: 12, SHA256: sha("notes")})
	q.decide(tb)
	q.options = cleaned.Options{
		Program: "plateside", Version: "0.1.0-test",
		Method: cleaned.Settings(curve.DefaultMethod(), quality.DefaultLimits(), map[string]string{"gravity": "/home/someone/plateside.toml"}),
		Force: func(r *quality.Rep) (*curve.Recording, error) {
			if rec, ok := q.recordings[r.Recording]; ok {
				return rec, nil
			}
			return nil, os.ErrNotExist
		},
	}
	return q
}

func (q *squad) add(tb testing.TB, name, athlete string, seed uint64, change func(*simulate.Jump)) {
	tb.Helper()
	j := simulate.Anyone(seed)
	change(&j)
	rec, _ := simulate.Record(j)
	rec.Name, rec.Athlete, rec.SHA256 = name, athlete, sha(name)
	if strings.HasPrefix(name, "=") {
		rec.Left, rec.Right = nil, nil
		rec.StartS = 12.5
	}
	measured, err := curve.Analyse(rec, curve.DefaultMethod())
	if err != nil || len(measured) == 0 {
		tb.Fatalf("%s: %d reps, %v", name, len(measured), err)
	}
	r := &quality.Rep{Recording: name, SHA256: rec.SHA256, Athlete: athlete, RateHz: rec.RateHz, Plates: rec.Plates(), Curve: measured[0]}
	quality.Judge(r, quality.DefaultLimits())
	q.recordings[name] = rec
	q.session.Add(quality.Source{Recording: name, SHA256: rec.SHA256, Bytes: 4711, Reps: 1}, []*quality.Rep{r}, nil)
}

// decide makes the decisions that newSquad tells of.
func (q *squad) decide(tb testing.TB) {
	tb.Helper()
	q.apply(tb, 0, quality.Event{Action: quality.ActKeep, Note: "=HYPERLINK(\"x\"); =1+1 \x1b[31m"})
	q.apply(tb, 1, quality.Event{Action: quality.ActKeep})
	q.apply(tb, 1, quality.Event{Action: quality.ActUndo, Undoes: 2})
	q.apply(tb, 1, quality.Event{Action: quality.ActReject, Reason: "stance-sway", Note: "Vik moved, \"again\""})
	q.apply(tb, 2, quality.Event{Action: quality.ActKeep})
	q.apply(tb, 3, quality.Event{Action: quality.ActKeep})
	q.apply(tb, 4, quality.Event{Action: quality.ActReject, Reason: quality.ReasonJudgement})
	q.apply(tb, 4, quality.Event{Action: quality.ActClear})
}

func (q *squad) apply(tb testing.TB, rep int, e quality.Event) {
	tb.Helper()
	r := q.session.Reps[rep]
	e.Seq = q.session.History.NextSeq()
	e.At = time.Date(2026, 3, 1, 9, 10, e.Seq, 0, time.UTC)
	e.Reviewer, e.Key, e.RepID, e.Recording, e.Verdict = "AB", r.Key(), r.ID, r.Recording, r.Verdict
	if err := q.session.History.Apply(e); err != nil {
		tb.Fatal(err)
	}
}

func sha(s string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(s))) }

func (q *squad) bytes(tb testing.TB) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := cleaned.Write(&b, q.session, q.options); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// save writes the session into a file in a new folder.
func (q *squad) save(tb testing.TB) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "squad.session.zip")
	if err := q.saveTo(path); err != nil {
		tb.Fatal(err)
	}
	return path
}

func (q *squad) saveTo(path string) error { return cleaned.Save(path, q.session, q.options) }

// entriesOf returns the content of the files in a zip.
func entriesOf(tb testing.TB, data []byte) map[string]string {
	tb.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		tb.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			tb.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err := errors.Join(err, r.Close()); err != nil {
			tb.Fatal(err)
		}
		out[f.Name] = string(b)
	}
	return out
}

// rowsOf reads CSV into one map a row.
func rowsOf(tb testing.TB, content string) []map[string]string {
	tb.Helper()
	records, err := csv.NewReader(strings.NewReader(content)).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	out := make([]map[string]string, 0, len(records))
	for _, r := range records[1:] {
		m := map[string]string{}
		for i, name := range records[0] {
			m[name] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func holdClean(t *testing.T, path string) {
	t.Helper()
	report, err := cleaned.Verify(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range report.Problems {
		t.Error(p)
	}
}

// rezip writes a package with some entries changed; an empty content removes one.
func rezip(t *testing.T, entries map[string]string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "changed.zip")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(f)
	for _, name := range slices.Sorted(maps.Keys(entries)) {
		if entries[name] == "" && !strings.HasSuffix(name, "/") {
			continue
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: name})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, entries[name]); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(z.Close(), f.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}
