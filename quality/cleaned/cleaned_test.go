package cleaned_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/curve"
	"plateside/quality"
	"plateside/quality/cleaned"
)

func TestEqualInputGivesEqualBytes(t *testing.T) {
	a, b := newSquad(t).bytes(t), newSquad(t).bytes(t)
	if !bytes.Equal(a, b) {
		t.Error("two writings of the same session differ")
	}
}

func TestLayout(t *testing.T) {
	q := newSquad(t)
	data := q.bytes(t)
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	names := make([]string, 0, len(z.File))
	for _, f := range z.File {
		names = append(names, f.Name)
		if f.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s unpacks with mode %v", f.Name, f.Mode())
		}
	}
	want := []string{
		"force/", "schema/", "reps.csv", "metrics.csv", "landmarks.csv", "findings.csv", "decisions.csv", "schema/force.json",
		"force/vik-01-1.csv", "force/mona-r-d-1-1.csv", "force/cmd---x-1.csv", "README.txt", "datapackage.json",
	}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Error(diff)
	}
	columns := map[string]string{
		"reps.csv":            "rep_id,recording,recording_sha256,athlete,rep,rate_hz,plates,verdict,decision,reason,note,reviewer,decided_at",
		"landmarks.csv":       "rep_id,landmark,time_s",
		"findings.csv":        "rep_id,check,severity,value,limit,unit,from_s,to_s,message",
		"decisions.csv":       "seq,at,reviewer,rep_id,action,reason,note",
		"force/vik-01-1.csv":  "time_s,left_n,right_n,total_n",
		"metrics.csv":         "rep_id,body_weight_n,body_weight_n_plus_minus,body_mass_kg",
		"force/cmd---x-1.csv": "time_s,left_n,right_n,total_n",
	}
	entries := entriesOf(t, data)
	for name, head := range columns {
		if !strings.HasPrefix(entries[name], head) {
			t.Errorf("%s begins %.120q", name, entries[name])
		}
		if strings.Count(entries[name], "\n") != strings.Count(entries[name], "\r\n") || !strings.HasSuffix(entries[name], "\r\n") {
			t.Errorf("%s: lines do not all end in CR LF", name)
		}
	}
}

// TestTables reads the tables back with the standard library and holds them against the session.
func TestTables(t *testing.T) {
	q := newSquad(t)
	e := entriesOf(t, q.bytes(t))
	reps := rowsOf(t, e["reps.csv"])
	wantDecision := []string{"keep", "reject", "keep", "keep", "undecided"}
	for i, r := range q.session.Reps {
		row := reps[i]
		if row["decision"] != wantDecision[i] || row["verdict"] != r.Verdict.String() || row["recording_sha256"] != r.SHA256 {
			t.Errorf("rep %d: %v", i+1, row)
		}
	}
	if reps[1]["reason"] != "stance-sway" || reps[1]["note"] != `Vik moved, "again"` || reps[1]["decided_at"] != "2026-03-01T09:10:04Z" {
		t.Errorf("%v", reps[1])
	}
	if row := reps[4]; row["reviewer"] != "" || row["decided_at"] != "" || row["reason"] != "" {
		t.Errorf("an undecided rep has a decision: %v", row)
	}
	metrics := rowsOf(t, e["metrics.csv"])
	if len(metrics) != 3 {
		t.Fatalf("%d rows of metrics", len(metrics))
	}
	for i, n := range []int{0, 2, 3} {
		for _, m := range curve.Metrics() {
			holdMetric(t, metrics[i], m, q.session.Reps[n].Curve.Metric(m.Key))
		}
	}
	marks := rowsOf(t, e["landmarks.csv"])
	if len(marks) != 3*8 {
		t.Errorf("%d landmarks", len(marks))
	}
	for _, row := range marks {
		if row["rep_id"] == "vik-01#1" && row["landmark"] == "takeoff" {
			holdNumber(t, row["time_s"], q.session.Reps[0].Curve.Landmarks.TakeoffS, 1e-6)
		}
	}
	findings := 0
	for _, r := range q.session.Reps {
		findings += len(r.Findings)
	}
	if got := len(rowsOf(t, e["findings.csv"])); got != findings || got == 0 {
		t.Errorf("%d findings, want %d", got, findings)
	}
	decisions := rowsOf(t, e["decisions.csv"])
	if len(decisions) != 8 || decisions[2]["action"] != "undo" || decisions[2]["undoes"] != "2" {
		t.Errorf("%v", decisions)
	}
}

func holdMetric(t *testing.T, row map[string]string, m curve.Metric, v curve.Value) {
	t.Helper()
	if !v.Known() {
		if row[m.Key] != "" || !strings.Contains(row["missing"], m.Key+": ") {
			t.Errorf("%s of %s is not known, but %q is written", m.Key, row["rep_id"], row[m.Key])
		}
		return
	}
	holdNumber(t, row[m.Key], v.Value, 0.5001*math.Pow10(-m.Decimals))
	if m.Uncertain && v.HasPlusMinus() {
		holdNumber(t, row[m.Key+"_plus_minus"], v.PlusMinus, 0.5001*math.Pow10(-m.Decimals))
	}
}

func holdNumber(t *testing.T, got string, want, within float64) {
	t.Helper()
	v, err := strconv.ParseFloat(got, 64)
	if err != nil || math.Abs(v-want) > within {
		t.Errorf("%q is written for %g", got, want)
	}
}

// TestForceGivesTheRecordingBack reads every sample back; the numbers must be the recording's to the last bit.
func TestForceGivesTheRecordingBack(t *testing.T) {
	q := newSquad(t)
	rec := q.recordings["vik-01.csv"]
	rec.Left[1000], rec.Right[1001] = 1.0/3, 356.09999999999997 // numbers that need all their digits
	gap := q.session.Reps[0].Curve.From + 7
	rec.Right[gap], rec.Total[gap] = math.NaN(), math.NaN()
	for i := range rec.Total {
		rec.Total[i] = rec.Left[i] + rec.Right[i]
	}
	e := entriesOf(t, q.bytes(t))
	c := q.session.Reps[0].Curve
	rows := rowsOf(t, e["force/vik-01-1.csv"])
	if len(rows) != c.To-c.From {
		t.Fatalf("%d samples, want %d", len(rows), c.To-c.From)
	}
	for i, row := range rows {
		n := c.From + i
		holdNumber(t, row["time_s"], rec.TimeS(float64(n)), 1e-9)
		if n == gap {
			if row["right_n"] != "" || row["total_n"] != "" || row["left_n"] == "" {
				t.Errorf("the missing sample is written as %v", row)
			}
			continue
		}
		holdNumber(t, row["left_n"], rec.Left[n], 0)
		holdNumber(t, row["right_n"], rec.Right[n], 0)
		holdNumber(t, row["total_n"], rec.Total[n], 1e-6)
	}
	one := q.recordings["=cmd()|x.csv"]
	for i, row := range rowsOf(t, e["force/cmd---x-1.csv"]) {
		if row["left_n"] != "" || row["right_n"] != "" {
			t.Fatalf("sides of a recording without: %v", row)
		}
		holdNumber(t, row["total_n"], one.Total[q.session.Reps[3].Curve.From+i], 0)
	}
}

func TestFormulasDoNotRun(t *testing.T) {
	q := newSquad(t)
	e := entriesOf(t, q.bytes(t))
	for name, content := range e {
		if !strings.HasSuffix(name, ".csv") || strings.HasPrefix(name, "force/") {
			continue
		}
		for i, row := range rowsOf(t, content) {
			for column, s := range row {
				if _, err := strconv.ParseFloat(s, 64); err == nil || s == "" {
					continue
				}
				for part := range strings.SplitSeq(s, ";") {
					if strings.ContainsAny(strings.TrimLeft(part, " \"")+" ", "=+-@\t\r") &&
						strings.IndexAny(strings.TrimLeft(part, " \""), "=+-@\t\r") == 0 {
						t.Errorf("%s row %d %s: %q", name, i+2, column, s)
					}
				}
				if strings.ContainsRune(s, '\x1b') {
					t.Errorf("%s row %d %s holds an escape sequence", name, i+2, column)
				}
			}
		}
	}
	if got := rowsOf(t, e["reps.csv"])[3]["athlete"]; got != "'@sum" {
		t.Errorf("athlete is %q", got)
	}
}

func TestNothingPrivateGetsIn(t *testing.T) {
	q := newSquad(t)
	for name, content := range entriesOf(t, q.bytes(t)) {
		if strings.Contains(content, "/home/") || strings.Contains(content, "someone") {
			t.Errorf("%s tells a folder of the computer", name)
		}
	}
}

func TestPseudonyms(t *testing.T) {
	q := newSquad(t)
	q.options.Pseudonyms = map[string]string{"Vik Aalto": "P01", "Mona Röd": "P02", "@sum": "P03"}
	data := q.bytes(t)
	for name, content := range entriesOf(t, data) {
		if strings.HasPrefix(name, "force/") {
			content = ""
		}
		for _, word := range []string{"vik", "aalto", "mona", "röd"} {
			if strings.Contains(strings.ToLower(name+content), word) {
				t.Errorf("%s tells %q", name, word)
			}
		}
	}
	reps := rowsOf(t, entriesOf(t, data)["reps.csv"])
	if reps[1]["athlete"] != "P01" || reps[1]["recording"] != "P01-02.csv" || reps[1]["note"] != `P01 moved, "again"` {
		t.Errorf("%v", reps[1])
	}
	path := filepath.Join(t.TempDir(), "p.zip")
	if err := cleaned.Save(path, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	holdClean(t, path)
	delete(q.options.Pseudonyms, "Mona Röd")
	if err := cleaned.Write(&bytes.Buffer{}, q.session, q.options); err == nil {
		t.Error("an athlete without a pseudonym was written")
	} else if strings.Contains(err.Error(), "Mona") {
		t.Error(err)
	}
}

func TestNamesOfForceFiles(t *testing.T) {
	q := newSquad(t)
	// Names that a file system would take for one, for a device, or for a way out.
	for i, id := range []string{"../../x#1", "con#1", "A b#1", "a B#1", strings.Repeat("ä/", 300)} {
		q.session.Reps[i].ID = id
		q.apply(t, i, quality.Event{Action: quality.ActKeep})
	}
	path := q.save(t)
	holdClean(t, path)
	data, _ := os.ReadFile(path)
	plain := regexp.MustCompile(`^force/[a-z0-9_][a-z0-9._-]{0,85}\.csv$`)
	n := 0
	for name := range entriesOf(t, data) {
		if strings.HasPrefix(name, "force/") && name != "force/" {
			if n++; !plain.MatchString(name) {
				t.Errorf("%q", name)
			}
		}
	}
	if n != 5 {
		t.Errorf("%d force files", n)
	}
}

func TestRecordingMustBeTheOneThatWasJudged(t *testing.T) {
	q := newSquad(t)
	q.recordings["vik-01.csv"].SHA256 = sha("other")
	err := cleaned.Write(&bytes.Buffer{}, q.session, q.options)
	if err == nil || !strings.Contains(err.Error(), "vik-01.csv") {
		t.Error(err)
	}
	delete(q.recordings, "vik-01.csv")
	err = cleaned.Write(&bytes.Buffer{}, q.session, q.options)
	if !errors.Is(err, os.ErrNotExist) || !strings.Contains(err.Error(), "vik-01.csv") {
		t.Error(err)
	}
}

func TestEmptySession(t *testing.T) {
	q := &squad{session: &quality.Session{Title: "../ "}, options: cleaned.Options{Program: "plateside"}}
	path := q.save(t)
	holdClean(t, path)
}

// TestDescriptor compares the descriptor with the stored one, so that a change of it is seen.
func TestDescriptor(t *testing.T) {
	q := newSquad(t)
	got := entriesOf(t, q.bytes(t))["datapackage.json"]
	var d struct {
		Resources []struct {
			Name, Path, Hash string
			Bytes            int
		}
		Sources []struct {
			Title, SHA256 string
			Bytes         int
		}
	}
	if err := json.Unmarshal([]byte(got), &d); err != nil {
		t.Fatal(err)
	}
	if len(d.Resources) != 8 || len(d.Sources) != 6 {
		t.Errorf("%d resources, %d sources", len(d.Resources), len(d.Sources))
	}
	shape := shapeOf(t, got)
	golden := filepath.Join("..", "..", "testdata", "cleaned-descriptor.json")
	if *update {
		if err := os.WriteFile(golden, []byte(shape), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), shape); diff != "" {
		t.Error(diff)
	}
}

// shapeOf leaves out of a descriptor what follows from other packages: hashes and sizes from the numbers, metrics from
// their table, the method from its own.
func shapeOf(t *testing.T, descriptor string) string {
	t.Helper()
	var d map[string]any
	if err := json.Unmarshal([]byte(descriptor), &d); err != nil {
		t.Fatal(err)
	}
	delete(d["plateside"].(map[string]any), "method")
	for _, r := range d["resources"].([]any) {
		r := r.(map[string]any)
		delete(r, "bytes")
		delete(r, "hash")
		if schema, ok := r["schema"].(map[string]any); ok && r["name"] == "metrics" {
			fields := schema["fields"].([]any)
			schema["fields"] = []any{fields[0], fields[len(fields)-1]}
		}
	}
	b, err := json.MarshalIndent(d, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b) + "\n"
}

var update = flag.Bool("update", false, "write the stored descriptor anew")

// TestAnotherLanguageReadsIt has Python's own csv reader read every table.
func TestAnotherLanguageReadsIt(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("a second reader needs python3, which is not installed")
	}
	q := newSquad(t)
	path := q.save(t)
	const script = `
import csv, io, sys, zipfile, json
z = zipfile.ZipFile(sys.argv[1])
assert z.testzip() is None
out = {}
for n in sorted(z.namelist()):
    if n.endswith(".csv"):
        rows = list(csv.DictReader(io.TextIOWrapper(z.open(n), "utf-8", newline=""), strict=True))
        assert all(None not in r and None not in r.values() for r in rows), n
        out[n] = len(rows)
        if n == "reps.csv":
            out["note"] = rows[1]["note"]
        if n == "force/vik-01-1.csv":
            out["sum"] = sum(float(r["left_n"]) + float(r["right_n"]) - float(r["total_n"]) for r in rows)
json.dump(out, sys.stdout)
`
	b, err := exec.Command(python, "-c", script, path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	var got map[string]any
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	c := q.session.Reps[0].Curve
	want := map[string]any{
		"reps.csv": 5.0, "metrics.csv": 3.0, "landmarks.csv": 24.0, "decisions.csv": 8.0,
		"force/vik-01-1.csv": float64(c.To - c.From), "note": `Vik moved, "again"`,
	}
	for k, v := range want {
		if got[k] != v {
			t.Errorf("%s is %v, want %v", k, got[k], v)
		}
	}
	if sum, _ := got["sum"].(float64); math.Abs(sum) > 1e-3 {
		t.Errorf("left + right - total adds up to %g", sum)
	}
}
