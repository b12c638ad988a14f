package cleaned_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/quality/cleaned"
)

func TestKeyOfPseudonyms(t *testing.T) {
	q := newSquad(t)
	known := map[string]string{"Vik Aalto": "P02", "Gone": "P01"}
	codes := cleaned.Codes(q.session, known)
	if codes["Vik Aalto"] != "P02" || codes["Gone"] != "P01" || len(codes) != 4 {
		t.Errorf("%v", codes)
	}
	seen := map[string]bool{}
	for name, code := range codes {
		if code == "" || seen[code] {
			t.Errorf("%s has the code %q", name, code)
		}
		seen[code] = true
	}
	path := filepath.Join(t.TempDir(), "key.csv")
	if none, err := cleaned.LoadKey(path); err != nil || len(none) != 0 {
		t.Error(none, err)
	}
	if err := cleaned.SaveKey(path, codes); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	back, err := cleaned.LoadKey(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(codes, back); diff != "" {
		t.Error(diff)
	}
	if err := os.WriteFile(path, []byte("a,b\n1,2\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := cleaned.LoadKey(path); err == nil {
		t.Error("any table is a key")
	}
	q.options.Pseudonyms = cleaned.Codes(q.session, map[string]string{"Vik Aalto": "P01", "Mona Röd": "P01"})
	if err := cleaned.Write(&bytes.Buffer{}, q.session, q.options); err == nil {
		t.Error("two athletes were written under one code")
	}
}

// TestPseudonymsWithoutAnAthlete leaves the athlete of a recording unknown: its name may hold one.
func TestPseudonymsWithoutAnAthlete(t *testing.T) {
	q := newSquad(t)
	q.session.Reps[0].Athlete, q.session.Reps[1].Athlete = "", ""
	q.session.Refused[0].Recording, q.session.Sources[5].Recording = "vik broken.txt", "vik broken.txt"
	q.session.Reps = q.session.Reps[:4] // the decisions on the fifth stay in the history
	q.options.Pseudonyms = cleaned.Codes(q.session, nil)
	path := filepath.Join(t.TempDir(), "x.zip")
	if err := q.saveTo(path); err != nil {
		t.Fatal(err)
	}
	holdClean(t, path)
	data, _ := os.ReadFile(path)
	e := entriesOf(t, data)
	for _, name := range []string{"reps.csv", "decisions.csv", "datapackage.json", "metrics.csv"} {
		if lower := strings.ToLower(e[name]); strings.Contains(lower, "vik-") || strings.Contains(lower, "vik broken") || strings.Contains(lower, "mona") {
			t.Errorf("%s tells a name: %s", name, e[name])
		}
	}
	if id := rowsOf(t, e["reps.csv"])[0]["rep_id"]; id != "recording-"+sha("vik-01.csv")[:8]+"#1" {
		t.Errorf("the rep is called %q", id)
	}
}
