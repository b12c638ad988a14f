package watch

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"plateside/curve/record"
)

// A writer that pauses at the ends of lines is given twice its longest pause, at most two and a half times the settling, and
// once it was believed too early all the patience.
func TestWriterThatPauses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.csv")
	block := bytes.Repeat([]byte("1,2,3\n"), 20)
	start := time.Unix(1e9, 0)
	now := start
	var kinds []Kind
	f := &follower{o: Options{Now: func() time.Time { return now }}, files: map[string]*file{}, pending: map[*file]struct{}{},
		buffer: make([]byte, headBytes), emit: func(e Event) { kinds = append(kinds, e.Kind) }}
	f.o.setDefaults()
	one := &file{source: record.Source{Path: path}, key: path, since: start, heard: true, moving: true}
	content := []byte{}
	at := func(ms int, writes bool, want ...Kind) {
		t.Helper()
		now = start.Add(time.Duration(ms) * time.Millisecond)
		if writes {
			content = append(content, block...)
			if err := os.WriteFile(path, content, 0o600); err != nil {
				t.Fatal(err)
			}
			one.touched = now
		}
		kinds = nil
		f.look(one, now)
		if len(kinds) != len(want) || len(want) == 1 && kinds[0] != want[0] {
			t.Errorf("at %d ms: told %v, want %v", ms, kinds, want)
		}
	}
	at(0, true)
	at(200, true) // a pause of 200 ms: 400 ms are wanted
	at(599, false)
	at(600, false, Whole)
	at(1400, true) // too early: from here on it is 2 s
	at(1400+1999, false)
	at(1400+2000, false, Changed)
	at(9000, true)
	at(9000+1700, true)
	at(9000+1700+1999, false)
	at(9000+1700+2000, false, Changed)

	one = &file{source: record.Source{Path: path, Size: 1}, key: path, since: start, heard: true, moving: true}
	at(20000, false) // it was quiet for 20 s and then has other bytes: a long pause, but within a second all the same
	at(20749, false)
	at(20750, false, Whole)
}

// The scans say that the old name is missing, and a while later that it is gone. When its bytes turn up under a new name
// before that, there is nothing to wait for.
func TestOldNameGoesFirst(t *testing.T) {
	now := time.Unix(1e9, 0)
	told := ""
	f := &follower{files: map[string]*file{}, pending: map[*file]struct{}{},
		emit: func(e Event) { told += e.Kind.String() + " " + e.Source.Name + "; " }}
	f.o.setDefaults()
	for _, one := range []*file{
		{source: record.Source{Name: "old"}, taken: true, sum: "a", missing: now},
		{source: record.Source{Name: "other"}, taken: true, sum: "b", missing: now},
		{source: record.Source{Name: "copied"}, taken: true, sum: "a"},
		{source: record.Source{Name: "new"}},
	} {
		one.key = one.source.Name
		f.files[one.key] = one
	}
	f.take(f.files["new"], now, "a")
	if told != "gone old; whole new; " || len(f.files) != 3 {
		t.Errorf("told %q, %d files left", told, len(f.files))
	}
}
