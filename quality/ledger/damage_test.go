package ledger_test

import (
	"bytes"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/quality"
	"plateside/quality/ledger"
	"plateside/quality/ledger/disk/disktest"
)

// sample is a ledger of five lines and the events in it.
func sample(tb testing.TB) ([]byte, []quality.Event) {
	tb.Helper()
	m := disktest.New(home, state)
	l := open(tb, ledger.Options{Dir: home, Disk: m, Reviewer: "AB"})
	note := reject(2, "stance-sway")
	note.Note = "arms swung, “again”"
	must(tb, l, keep(1), note, keep(3), reject(4, quality.ReasonJudgement))
	if _, err := l.Undo(); err != nil {
		tb.Fatal(err)
	}
	return []byte(m.Files()[file]), l.History().Events()
}

// TestCutAtEveryByte cuts the ledger short at each byte. The whole lines before must be there, the rest must lie in a
// file of its own, and the ledger must take decisions again.
func TestCutAtEveryByte(t *testing.T) {
	data, events := sample(t)
	for n := range len(data) + 1 {
		m := disktest.New(home, state)
		m.Put(file, data[:n])
		l := reopened(t, m)
		whole := bytes.Count(data[:n], []byte("\n"))
		if diff := cmp.Diff(events[:whole], append([]quality.Event{}, l.History().Events()...)); diff != "" {
			t.Fatalf("cut at %d: %s", n, diff)
		}
		if ro, why := l.ReadOnly(); ro {
			t.Fatalf("cut at %d: %s", n, why)
		}
		rest := data[bytes.LastIndexByte(data[:n], '\n')+1 : n]
		if told := len(l.Notices()) > 0; told != (len(rest) > 0) {
			t.Fatalf("cut at %d: notices %q", n, l.Notices())
		}
		if len(rest) > 0 && !slices.Contains(slices.Collect(maps.Values(m.Files())), string(rest)) {
			t.Fatalf("cut at %d: the %d bytes are gone", n, len(rest))
		}
		must(t, l, keep(9))
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		if got := len(reopened(t, m).History().Events()); got != whole+1 {
			t.Fatalf("cut at %d: %d events after one more", n, got)
		}
	}
	t.Logf("%d cuts, each found", len(data)+1)
}

// TestEveryBitFlipped flips each bit of five lines. No flip may pass, and what stands before it must be kept.
func TestEveryBitFlipped(t *testing.T) {
	data, events := sample(t)
	flips := 0
	for i := range data {
		before := bytes.Count(data[:i], []byte("\n"))
		for bit := range 8 {
			changed := bytes.Clone(data)
			changed[i] ^= 1 << bit
			m := disktest.New(home, state)
			m.Put(file, changed)
			l := open(t, ledger.Options{Dir: home, Disk: m})
			flips++
			got := l.History().Events()
			if len(got) > before {
				t.Fatalf("bit %d of byte %d: the damaged line passes", bit, i)
			}
			if diff := cmp.Diff(events[:before], append([]quality.Event{}, got...)); diff != "" {
				t.Fatalf("bit %d of byte %d: %s", bit, i, diff)
			}
			ro, _ := l.ReadOnly()
			if !ro && len(l.Notices()) == 0 {
				t.Fatalf("bit %d of byte %d: nothing is said", bit, i)
			}
			if ro && m.Files()[file] != string(changed) {
				t.Fatalf("bit %d of byte %d: a damaged file was changed", bit, i)
			}
			_ = l.Close()
		}
	}
	t.Logf("%d flips, each found", flips)
}

// TestLinesTakenOutOrMoved changes the order of lines whose own checksums are right.
func TestLinesTakenOutOrMoved(t *testing.T) {
	data, _ := sample(t)
	lines := bytes.SplitAfter(data, []byte("\n"))[:5]
	join := func(order ...int) []byte {
		var out []byte
		for _, i := range order {
			out = append(out, lines[i]...)
		}
		return out
	}
	for name, c := range map[string]struct {
		data []byte
		good int
	}{
		"first gone":  {join(1, 2, 3, 4), 0},
		"middle gone": {join(0, 2, 3, 4), 1},
		"doubled":     {join(0, 1, 1, 2, 3, 4), 2},
		"swapped":     {join(0, 2, 1, 3, 4), 1},
	} {
		m := disktest.New(home, state)
		m.Put(file, c.data)
		l := reopened(t, m)
		ro, why := l.ReadOnly()
		if !ro || !strings.Contains(why, "damaged") || len(l.History().Events()) != c.good {
			t.Errorf("%s: %v %q, %d events", name, ro, why, len(l.History().Events()))
		}
	}
}

func TestTornGroupDoesNotCount(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1))
	if _, err := l.AppendGroup([]quality.Event{reject(1, "a"), reject(2, "a"), reject(3, "a")}); err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(m.Files()[file], "\n")
	for n := 1; n <= 3; n++ {
		cut := disktest.New(home, state)
		cut.Put(file, []byte(strings.Join(lines[:n], "")))
		again := reopened(t, cut)
		if got := len(again.History().Events()); got != 1 {
			t.Errorf("%d lines of a cut group count", got-1)
		}
		must(t, again, keep(2))
	}
	// The same with a line after it is no cut: something is missing in the middle.
	odd := disktest.New(home, state)
	odd.Put(file, []byte(lines[0]+lines[1]+lines[3]))
	if ro, _ := reopened(t, odd).ReadOnly(); !ro {
		t.Error("a group with a hole passes")
	}
}

func TestRepair(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "plateside-ledger.jsonl")
	data, events := sample(t)
	at := bytes.Index(data, []byte("trial-002"))
	data[at] ^= 1
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	l := open(t, ledger.Options{Dir: dir})
	if ro, why := l.ReadOnly(); !ro || !strings.Contains(why, "line 2") {
		t.Fatalf("%v %q", ro, why)
	}
	if _, err := l.Append(keep(1)); !errors.Is(err, ledger.ErrReadOnly) {
		t.Error(err)
	}
	if _, err := ledger.Repair(path, ledger.Options{Now: clock()}); err == nil {
		t.Error("repaired while it was open")
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := ledger.Repair(path, ledger.Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	kept, _ := os.ReadFile(path)
	aside, _ := os.ReadFile(r.Aside)
	if r.Kept != 1 || !bytes.Equal(append(kept, aside...), data) {
		t.Errorf("%+v: bytes are gone", r)
	}
	if diff := cmp.Diff([]string{"trial-003#1", "trial-004#2"}, r.Again); diff != "" {
		t.Error(diff)
	}
	again := open(t, ledger.Options{Dir: dir})
	if diff := cmp.Diff(events[:1], again.History().Events()); diff != "" {
		t.Error(diff)
	}
	must(t, again, keep(2))
	if err := again.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := ledger.Repair(path, ledger.Options{Now: clock()}); err != nil || r.Aside != "" || r.Kept != 2 {
		t.Errorf("repair of a good ledger: %+v %v", r, err)
	}
}

func TestNewerFormatIsLeftAlone(t *testing.T) {
	data, _ := sample(t)
	m := disktest.New(home, state)
	// The first line of a later program, with a checksum of its own.
	line := bytes.Replace(data[:bytes.IndexByte(data, '\n')], []byte(`"ledger":1`), []byte(`"ledger":2`), 1)
	sum := ledger.Checksum(line[:len(line)-18])
	m.Put(file, append(append(line[:len(line)-10], sum...), "\"}\n"...))
	_, err := ledger.Open(ledger.Options{Dir: home, Disk: m, Now: clock()})
	if err == nil || !strings.Contains(err.Error(), "newer") {
		t.Error(err)
	}
}

// TestWhatIsNoPlainFile puts a link and a pipe in the ledger's place; neither may be followed or hang the program.
func TestWhatIsNoPlainFile(t *testing.T) {
	elsewhere := filepath.Join(t.TempDir(), "precious")
	if err := os.WriteFile(elsewhere, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.Symlink(elsewhere, filepath.Join(dir, "plateside-ledger.jsonl")); err != nil {
		t.Skipf("symbolic links cannot be made on this system: %v", err)
	}
	if _, err := ledger.Open(ledger.Options{Dir: dir, Now: clock()}); err == nil {
		t.Error("a link was opened")
	}
	lockDir := t.TempDir()
	if err := os.Symlink(elsewhere, filepath.Join(lockDir, "plateside-ledger.lock")); err != nil {
		t.Skipf("symbolic links cannot be made on this system: %v", err)
	}
	l, err := ledger.Open(ledger.Options{Dir: lockDir, Now: clock()})
	if err == nil {
		if ro, _ := l.ReadOnly(); !ro {
			t.Error("a link was locked")
		}
	}
	// A link that turns up while the program runs.
	late := t.TempDir()
	l = open(t, ledger.Options{Dir: late})
	if err := os.Symlink(elsewhere, filepath.Join(late, "plateside-ledger.jsonl")); err != nil {
		t.Skipf("symbolic links cannot be made on this system: %v", err)
	}
	if _, err := l.Append(keep(1)); err == nil {
		t.Error("a decision went through a link")
	}
	if got, _ := os.ReadFile(elsewhere); string(got) != "precious" {
		t.Errorf("the file elsewhere holds %q", got)
	}
	if _, err := ledger.Open(ledger.Options{Dir: filepath.Join(dir, "none"), Now: clock()}); err == nil {
		t.Error("a folder that is not there was opened")
	}
}

func TestReadOfAFile(t *testing.T) {
	data, events := sample(t)
	path := filepath.Join(t.TempDir(), "x.jsonl")
	for name, c := range map[string]struct {
		data    []byte
		want    int
		problem string
	}{
		"good": {data, 5, ""},
		"torn": {data[:len(data)-5], 4, "not whole"},
		"bad":  {append(bytes.Clone(data), "x\ny\n"...), 5, "line 6"},
	} {
		if err := os.WriteFile(path, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		h, problem, err := ledger.Read(path)
		if err != nil || len(h.Events()) != c.want || (problem == "") != (c.problem == "") || !strings.Contains(problem, c.problem) {
			t.Errorf("%s: %q %v", name, problem, err)
		}
		if diff := cmp.Diff(events[:c.want], h.Events()); diff != "" {
			t.Error(diff)
		}
		if after, _ := os.ReadFile(path); !bytes.Equal(after, c.data) {
			t.Errorf("%s: reading changed the file", name)
		}
	}
	if _, _, err := ledger.Read(path + "x"); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}
