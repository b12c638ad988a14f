package record_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateside/curve/record"
)

// sharedDir is where recordings lie that are read but not kept here.
func sharedDir(tb testing.TB, parts ...string) string {
	tb.Helper()
	dir := filepath.Join(append([]string{"..", "..", "..", "shared"}, parts...)...)
	if _, err := os.Stat(dir); err != nil {
		tb.Skip("no shared recordings beside the repository")
	}
	return dir
}

func TestReadsSimulatedTrials(t *testing.T) {
	sources, refused, err := record.Find([]string{sharedDir(t, "trials")})
	if err != nil || len(refused) > 0 {
		t.Fatal(err, refused)
	}
	if len(sources) != 41 {
		t.Fatalf("found %d files, want 41", len(sources))
	}
	for _, s := range sources {
		rec, err := record.Read(s.Path, s.Name, record.Options{})
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		data, err := os.ReadFile(s.Path)
		if err != nil {
			t.Fatal(err)
		}
		rows := strings.Count(string(data), "\n") - 1
		if got := len(rec.Total); got < rows || (got > rows && !strings.Contains(strings.Join(rec.Remarks, " "), "skips")) {
			t.Errorf("%s: %d samples from %d rows, remarks %q", s.Name, got, rows, rec.Remarks)
		}
		if rec.RateHz != 500 && rec.RateHz != 1000 && rec.RateHz != 2000 {
			t.Errorf("%s: rate %v", s.Name, rec.RateHz)
		}
		if !rec.HasSides() || len(rec.SHA256) != 64 {
			t.Errorf("%s: no sides or no hash", s.Name)
		}
	}
}

func TestReadsRealJumps(t *testing.T) {
	dir := sharedDir(t, "recordings")
	rec, err := record.Read(filepath.Join(dir, "jump1.txt"), "jump1.txt", record.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if rec.RateHz != 450 || rec.HasSides() || len(rec.Total) < 4000 {
		t.Errorf("jump1: rate %v, sides %v, %d samples", rec.RateHz, rec.HasSides(), len(rec.Total))
	}
	bare := filepath.Join(dir, "GRFZjump.txt")
	if _, err = record.Read(bare, "GRFZjump.txt", record.Options{}); err == nil || !strings.Contains(err.Error(), "--rate HZ") {
		t.Errorf("without a rate: %v, want a refusal that names --rate HZ", err)
	}
	rec, err = record.Read(bare, "GRFZjump.txt", record.Options{RateHz: 600})
	if err != nil {
		t.Fatal(err)
	}
	if rec.RateHz != 600 || len(rec.Total) != 1200 && len(rec.Total) < 900 || math.Abs(rec.Total[0]-633.21) > 100 {
		t.Errorf("GRFZjump: rate %v, %d samples, first %v", rec.RateHz, len(rec.Total), rec.Total[0])
	}
}
