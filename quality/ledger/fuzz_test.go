package ledger_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/quality/ledger"
	"plateside/quality/ledger/disk/disktest"
)

// FuzzOpen opens any bytes as a ledger: nothing may panic, no byte may be lost, and what is read stays readable after
// another decision.
func FuzzOpen(f *testing.F) {
	data, _ := sample(f)
	f.Add(data)
	f.Add(data[:len(data)-9])
	f.Add(bytes.Replace(data, []byte("keep"), []byte("burn"), 1))
	f.Add([]byte("{}\n"))
	f.Add([]byte{0, 0, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		m := disktest.New(home, state)
		m.Put(file, data)
		l, err := ledger.Open(ledger.Options{Dir: home, Disk: m, Now: clock()})
		if err != nil {
			return
		}
		read := l.History().Events()
		if ro, _ := l.ReadOnly(); ro {
			if m.Files()[file] != string(data) {
				t.Fatal("a ledger that may not be written was changed")
			}
			return
		}
		kept := m.Files()[file]
		for name, content := range m.Files() {
			if name != file {
				kept += content
			}
		}
		if kept != string(data) {
			t.Fatalf("%q is left of %q", kept, data)
		}
		must(t, l, keep(1))
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(len(read)+1, len(reopened(t, m).History().Events())); diff != "" {
			t.Fatal(diff)
		}
	})
}

// FuzzRead reads any bytes as a ledger file.
func FuzzRead(f *testing.F) {
	data, _ := sample(f)
	f.Add(data)
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "x.jsonl")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		h, problem, err := ledger.Read(path)
		if err == nil && problem == "" && len(h.Events()) != bytes.Count(data, []byte("\n")) {
			t.Errorf("%d events in %d lines, and no word of it", len(h.Events()), bytes.Count(data, []byte("\n")))
		}
	})
}
