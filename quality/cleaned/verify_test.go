package cleaned_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateside/quality"
	"plateside/quality/cleaned"
)

// reseal makes sizes and hashes in the descriptor those of the entries, so that a change is not found by its hash.
func reseal(t *testing.T, entries map[string]string) {
	t.Helper()
	var d map[string]any
	if err := json.Unmarshal([]byte(entries["datapackage.json"]), &d); err != nil {
		t.Fatal(err)
	}
	for _, r := range d["resources"].([]any) {
		m := r.(map[string]any)
		content := entries[m["path"].(string)]
		m["bytes"] = len(content)
		m["hash"] = fmt.Sprintf("sha256:%x", sha256.Sum256([]byte(content)))
	}
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	entries["datapackage.json"] = string(b)
}

// A damage changes a good package in one way.
type damage struct {
	name string
	do   func(map[string]string)
	// sealed says that hashes and sizes are made right again afterwards.
	sealed bool
	// want is part of what must be said, and where.
	where, want string
}

// swap replaces text in an entry, which must be there.
func swap(file, from, to string) func(map[string]string) {
	return func(e map[string]string) {
		if !strings.Contains(e[file], from) {
			panic(file + " does not hold " + from)
		}
		e[file] = strings.Replace(e[file], from, to, 1)
	}
}

func drop(file string) func(map[string]string) {
	return func(e map[string]string) { delete(e, file) }
}

func damages() []damage {
	force := "force/vik-01-1.csv"
	return []damage{
		{"a digit changed", swap(force, "1", "2"), false, force, "sha256 differs"},
		{"longer than declared", swap("reps.csv", "Vik Aalto", "Vik Aaltonen"), false, "reps.csv", "bytes, datapackage.json says"},
		{"table gone", drop("findings.csv"), true, "findings.csv", "missing"},
		{"force file gone", drop(force), true, force, "missing"},
		{"readme gone", drop("README.txt"), true, "README.txt", "missing"},
		{"schema gone", drop("schema/force.json"), true, force, "schema/force.json is missing"},
		{"a file too many", func(e map[string]string) { e["virus.exe"] = "x" }, true, "virus.exe", "does not name this file"},
		{"way out", func(e map[string]string) { e["../../x"] = "x" }, true, "../../x", "leads out"},
		{"absolute path", func(e map[string]string) { e["/etc/x"] = "x" }, true, "/etc/x", "leads out"},
		{"path of another system", func(e map[string]string) { e[`c:\x`] = "x" }, true, `c:\x`, "leads out"},
		{"hidden folder", func(e map[string]string) { e[".x/y"] = "x" }, true, ".x/y", "leads out"},
		{"same path in capitals", func(e map[string]string) { e["REPS.CSV"] = "x" }, true, "csv", "twice"},
		{"resource leads out", swap("datapackage.json", `"path": "reps.csv"`, `"path": "../reps.csv"`), false, "datapackage.json", "leads out"},
		{"resource named twice", swap("datapackage.json", `"name": "metrics"`, `"name": "reps"`), false, "datapackage.json", "doubled"},
		{"other profile", swap("datapackage.json", "profiles/2.0", "profiles/9.0"), false, "datapackage.json", "version 2"},
		{"header renamed", swap("reps.csv", "athlete", "sportsman"), true, "reps.csv, row 1", "header"},
		{"column gone", func(e map[string]string) {
			swap("findings.csv", "severity", "weight")(e)
			swap("datapackage.json", `"name": "severity"`, `"name": "weight"`)(e)
		}, true, "findings.csv, severity", "missing"},
		{"column of another type", swap("datapackage.json", "\"name\": \"rep\",\n            \"type\": \"integer\"", "\"name\": \"rep\",\n            \"type\": \"string\""), true, "reps.csv, rep", "type"},
		{"byte order mark", func(e map[string]string) { e["reps.csv"] = "\uFEFF" + e["reps.csv"] }, true, "reps.csv, row 1", "byte order mark"},
		{"cell too many", swap("landmarks.csv", "weighing_to,", "weighing_to,,"), true, "landmarks.csv, row 3", "cells"},
		{"quote not closed", swap("reps.csv", `"Vik moved`, `"Vik "moved`), true, "reps.csv", "no CSV"},
		{"decimal comma", func(e map[string]string) {
			lines := strings.Split(e["metrics.csv"], "\r\n")
			cells := strings.Split(lines[1], ",")
			cells[1] = `"` + strings.Replace(cells[1], ".", ",", 1) + `"`
			lines[1] = strings.Join(cells, ",")
			e["metrics.csv"] = strings.Join(lines, "\r\n")
		}, true, "metrics.csv, row 2, body_weight_n", "no number"},
		{"number in words", swap("reps.csv", ",1,2000,2,", ",1,fast,2,"), true, "reps.csv, row 2, rate_hz", "no number"},
		{"number that is none", swap(force, "\r\n", "\r\nNaN,1,1,2\r\n"), true, force + ", row 2, time_s", "no number"},
		{"whole number with a fraction", swap("decisions.csv", "\r\n1,", "\r\n1.5,"), true, "decisions.csv, row 2, seq", "whole number"},
		{"time with an offset", swap("decisions.csv", "09:10:01Z", "09:10:01+01:00"), true, "decisions.csv, row 2, at", "no time"},
		{"unknown word", swap("reps.csv", "undecided", "maybe"), true, "reps.csv, row 6, decision", "none of keep, reject, undecided"},
		{"required cell empty", swap("findings.csv", "stance-sway,redo", ",redo"), true, "findings.csv, row 2, check", "empty"},
		{"rep twice", swap("reps.csv", "vik-02#1,", "vik-01#1,"), true, "reps.csv, row 3, rep_id", "stands in row 2"},
		{"landmark twice", swap("landmarks.csv", "weighing_to", "weighing_from"), true, "landmarks.csv, row 3", "stands in row 2"},
		{"finding of nobody", swap("findings.csv", "vik-02#1", "vik-99#1"), true, "findings.csv, row 2, rep_id", "not in reps.csv"},
		{"formula", swap("reps.csv", "'@sum", "@sum"), true, "reps.csv, row 5, athlete", "formula"},
		{"escape sequence", swap("reps.csv", "Vik moved", "Vik\x1b[2J moved"), true, "reps.csv, row 3, note", "control"},
		{"not UTF-8", swap("reps.csv", "Vik moved", "Vik\xff moved"), true, "reps.csv, row 3, note", "UTF-8"},
		{"kept without metrics", func(e map[string]string) {
			lines := strings.SplitAfter(e["metrics.csv"], "\r\n")
			e["metrics.csv"] = lines[0] + lines[2] + lines[3]
		}, true, "reps.csv, row 2, decision", "metrics.csv"},
		{"decision not in the history", func(e map[string]string) {
			swap("reps.csv", "reject,stance-sway", "undecided,")(e)
		}, true, "reps.csv, row 3, decision", "by decisions.csv it is \"reject\""},
		{"another reason than in the history", swap("reps.csv", "reject,stance-sway", "reject,early-load"), true, "reps.csv, row 3, reason", "stance-sway"},
		{"line of the history gone", swap("decisions.csv", "\r\n3,", "\r\n4,"), true, "decisions.csv, row 4", "history does not follow"},
		{"force of nobody", func(e map[string]string) {
			swap("reps.csv", force, "force/cmd---x-1.csv")(e)
		}, true, force, "no rep in reps.csv"},
		{"clock stands still", func(e map[string]string) {
			lines := strings.SplitAfter(e[force], "\r\n")
			e[force] = strings.Join(lines[:4], "") + strings.Join(lines[3:], "")
		}, true, force + ", row 5, time_s", "does not run on"},
		{"a sample gone", func(e map[string]string) {
			lines := strings.SplitAfter(e[force], "\r\n")
			e[force] = strings.Join(lines[:9], "") + strings.Join(lines[10:], "")
		}, true, force + ", row 10, time_s", "steps by"},
		{"total is no sum", func(e map[string]string) {
			lines := strings.SplitAfter(e[force], "\r\n")
			cells := strings.Split(lines[5], ",")
			lines[5] = cells[0] + "," + cells[1] + "," + cells[2] + ",5000\r\n"
			e[force] = strings.Join(lines, "")
		}, true, force + ", row 6, total_n", "not left + right"},
		{"another rate", swap("reps.csv", ",1,2000,2,", ",1,1000,2,"), true, force, "apart"},
		{"sides for one plate", swap("reps.csv", ",1,2000,2,", ",1,2000,1,"), true, force, "one plate"},
		{"landmark outside", swap("landmarks.csv", "vik-01#1,takeoff,", "vik-01#1,takeoff,9"), true, "landmarks.csv, row 8", "outside"},
		{"counts", swap("datapackage.json", `"kept": 3`, `"kept": 2`), false, "datapackage.json", "counts"},
		{"source gone", swap("datapackage.json", `"sha256": "`+sha("vik-02.csv"), `"sha256": "`+sha("x")), false, "reps.csv, row 3", "sources"},
	}
}

// TestVerifyFindsDamage changes a package that is good in one way at a time; each must be found, and at its place.
func TestVerifyFindsDamage(t *testing.T) {
	good := entriesOf(t, newSquad(t).bytes(t))
	holdClean(t, rezip(t, good))
	for _, d := range damages() {
		t.Run(d.name, func(t *testing.T) {
			entries := maps.Clone(good)
			d.do(entries)
			if d.sealed {
				reseal(t, entries)
			}
			report, err := cleaned.Verify(rezip(t, entries))
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, p := range report.Problems {
				place, text, _ := strings.Cut(p.String(), ": ")
				found = found || strings.Contains(strings.ToLower(place), strings.ToLower(d.where)) && strings.Contains(text, d.want)
			}
			if !found {
				t.Errorf("%s was not found at %s; found: %v", d.want, d.where, report.Problems)
			}
		})
	}
}

func TestVerifyRefusesWhatIsNoSession(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "x.zip")
	if err := os.WriteFile(text, []byte("time;left;right"), 0o600); err != nil {
		t.Fatal(err)
	}
	good := entriesOf(t, newSquad(t).bytes(t))
	without := maps.Clone(good)
	delete(without, "datapackage.json")
	broken := maps.Clone(good)
	broken["datapackage.json"] = broken["datapackage.json"][:500]
	for _, path := range []string{text, dir, filepath.Join(dir, "none.zip"), rezip(t, without), rezip(t, broken)} {
		if _, err := cleaned.Verify(path); err == nil {
			t.Errorf("%s was verified", path)
		}
	}
}

// TestVerifyOfDamagedBytes flips bytes all over a package: none may pass, and none may panic.
func TestVerifyOfDamagedBytes(t *testing.T) {
	q := newSquad(t)
	good := q.bytes(t)
	path := filepath.Join(t.TempDir(), "x.zip")
	z, err := zip.NewReader(bytes.NewReader(good), int64(len(good)))
	if err != nil {
		t.Fatal(err)
	}
	// Only what is packed counts: zip headers hold times and modes that say nothing.
	passed, tried := 0, 0
	for _, f := range z.File {
		at, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		step := max(1, int(f.CompressedSize64)/12)
		for i := 0; i < int(f.CompressedSize64) && f.Name != "README.txt" && f.Name != "schema/force.json"; i += step {
			data := bytes.Clone(good)
			data[int(at)+i] ^= 0x10
			if err := os.WriteFile(path, data, 0o600); err != nil {
				t.Fatal(err)
			}
			tried++
			if report, err := cleaned.Verify(path); err == nil && report.OK() {
				if maps.Equal(entriesOf(t, data), entriesOf(t, good)) {
					continue // a bit that fills up the last byte of what is packed
				}
				passed++
				t.Errorf("byte %d of %s", i, f.Name)
			}
		}
	}
	t.Logf("%d bytes flipped, %d not noticed", tried, passed)
}

func TestDiff(t *testing.T) {
	q := newSquad(t)
	before := q.save(t)
	if d, err := cleaned.Diff(before, newSquad(t).save(t)); err != nil || len(d) != 0 {
		t.Errorf("equal sessions: %v %v", d, err)
	}
	q.apply(t, 1, quality.Event{Action: quality.ActKeep})
	q.apply(t, 2, quality.Event{Action: quality.ActReject, Reason: "early-load"})
	q.session.Reps[0].Verdict = quality.VerdictLook
	for i := range q.session.Reps[3].Curve.Values {
		q.session.Reps[3].Curve.Values[i].Value += 1
	}
	q.session.Reps[0].ID = "renamed#1"
	q.session.Reps = q.session.Reps[:4]
	q.options.Method[2].Value = 9.81
	after := filepath.Join(t.TempDir(), "after.zip")
	if err := cleaned.Save(after, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	d, err := cleaned.Diff(before, after)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(d, "\n")
	for _, want := range []string{
		"vik-02#1 is keep; it was reject (stance-sway)",
		"Mona Röd 1#1 is reject (early-load); it was keep",
		"renamed#1 was called vik-01#1",
		"renamed#1 has the verdict look; it was clear",
		"=cmd()|x#1 has jump_height_m 1.",
		"Mona Röd 2#1 is gone; it was undecided",
		"the setting gravity is 9.81; it was 9.80665",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is missing in\n%s", want, all)
		}
	}
	back, err := cleaned.Diff(after, before)
	if err != nil || !strings.Contains(strings.Join(back, "\n"), "Mona Röd 2#1 is new: undecided, verdict clear") {
		t.Errorf("%v %v", back, err)
	}
}

func TestVerifyCounts(t *testing.T) {
	q := newSquad(t)
	report, err := cleaned.Verify(q.save(t))
	if err != nil {
		t.Fatal(err)
	}
	if !report.OK() || report.Reps != 5 || report.Kept != 3 || report.Files != 11 || report.By != "plateside 0.1.0-test" {
		t.Errorf("%+v", report)
	}
}
