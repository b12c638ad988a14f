package watch_test

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"plateside/curve/record"
	"plateside/curve/record/c3d/c3dtest"
	"plateside/curve/record/watch"
)

// These tests run on a clock that stands still while anything is done, so they wait for nothing and are exact. There are no
// events in them: the system's would come at times of their own.

func TestWhatIsWhole(t *testing.T) {
	text := rows(1, 200)
	crOnly := bytes.ReplaceAll(text, []byte("\n"), []byte("\r"))
	var wide []byte
	for _, b := range text {
		wide = append(wide, b, 0)
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := z.Write(text)
	must(t, err)
	must(t, z.Close())
	moving := make([]float64, 1000)
	for i := range moving {
		moving[i] = 700 + float64(i%9)
	}
	standing := c3dtest.Recording{Processor: 84, RateHz: 1000, PerFrame: 10, Plates: []c3dtest.Plate{{Type: 2, Fx: moving, Fy: moving, Fz: moving}}}.Bytes()
	empty := slices.Clone(standing)
	clear(empty[len(empty)-2000:])
	bigEndian := c3dtest.Recording{Processor: 86, Float: true, RateHz: 1000, PerFrame: 10, Plates: []c3dtest.Plate{{Type: 2, Fx: moving, Fy: moving, Fz: moving}}}.Bytes()
	zeros := func(n int) []byte { return make([]byte, n) }
	const never = 0
	for _, c := range []struct {
		name, file string
		data       []byte
		within     time.Duration // of its being made; the scan is one second later
		doubt      string
	}{
		{"a text", "a.csv", text, 3 * time.Second, ""},
		{"lines that end in CR", "a.csv", crOnly, 3 * time.Second, ""},
		{"UTF-16", "a.txt", append([]byte{0xff, 0xfe}, wide...), 3 * time.Second, ""},
		{"a last line without an end", "a.csv", text[:len(text)-1], 3 * time.Second, ""},
		{"nothing", "a.csv", nil, never, "it is empty"},
		{"zeros at the end", "a.csv", append(slices.Clone(text), zeros(9)...), 31 * time.Second, "its end is not written yet"},
		{"nothing but zeros", "a.csv", zeros(5000), 31 * time.Second, "its end is not written yet"},
		{"zeros inside", "a.csv", slices.Concat(text, zeros(40), text), 31 * time.Second, "parts of it are not written yet"},
		{"packed", "a.csv.gz", packed.Bytes(), 3 * time.Second, ""},
		{"C3D", "a.c3d", standing, 3 * time.Second, ""},
		{"C3D of the other byte order", "a.c3d", bigEndian, 3 * time.Second, ""},
		{"C3D with zeros at the end", "a.c3d", empty, 7 * time.Second, "its end may not be written yet"},
		{"hidden", ".a.csv", text, never, ""},
		{"another ending", "a.csv.part", text, never, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			synctest.Test(t, func(t *testing.T) {
				l, stop := follow(t, watch.Options{Paths: []string{dir}, NoEvents: true})
				time.Sleep(time.Second)
				path := filepath.Join(dir, c.file)
				write(t, path, c.data)
				if c.within == never {
					time.Sleep(10 * time.Minute)
					if got := l.history(path); got != "" {
						t.Errorf("told %q, want nothing", got)
					}
				} else {
					time.Sleep(c.within - time.Millisecond)
					if got := l.history(path); got != "" {
						t.Errorf("told %q before its time", got)
					}
					time.Sleep(2500 * time.Millisecond) // looks are farther apart the longer it is quiet
					if got := l.history(path); got != "whole" {
						t.Errorf("told %q, want whole", got)
					}
				}
				if said := l.texts(watch.Arriving); c.doubt != "" && !slices.Contains(said, c.doubt) || len(said) > 2 {
					t.Errorf("doubts %q, want %q", said, c.doubt)
				}
				stop()
			})
		})
	}
}

// A doubt that needs no more than the patience does not show without events, since all files wait that long. What it
// holds back is a file that is written by turns.
func TestHoldsBack(t *testing.T) {
	t.Parallel()
	text := rows(1, 500)
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := z.Write(bytes.Repeat(text, 5))
	must(t, err)
	must(t, z.Close())
	up := make([]float64, 2000)
	for i := range up {
		up[i] = 700 + float64(i%9)
	}
	standing := c3dtest.Recording{Processor: 84, RateHz: 1000, PerFrame: 10, Plates: []c3dtest.Plate{{Type: 2, Fx: up, Fy: up, Fz: up}}}.Bytes()
	cut := inLine(text, 1000)
	for _, c := range []struct {
		name, file string
		first, all []byte
		doubt      string
	}{
		{"a line without an end", "a.csv", text[:cut], text, "its last line is not complete"},
		{"a heading", "a.csv", text[:bytes.IndexByte(text, '\n')+1], text, "it has few lines so far"},
		{"a part of a packed file", "a.csv.gz", packed.Bytes()[:packed.Len()/2], packed.Bytes(), "its gzip packing is not whole"},
		{"a part of a C3D file", "a.c3d", standing[:4096], standing, "it is shorter than its header says"},
		{"a part of a C3D header", "a.c3d", standing[:1024], standing, "its header is not whole"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			// The patience is long, so that what is quick here is what the quiet of an event's file is.
			l := followHeard(t, watch.Options{Paths: []string{dir}, Settle: 50 * time.Millisecond, Patience: 3 * time.Second})
			path := filepath.Join(dir, c.file)
			write(t, path, c.first)
			time.Sleep(400 * time.Millisecond)
			if got := l.history(path); got != "" {
				t.Errorf("told %q of a part", got)
			}
			if said := l.texts(watch.Arriving); !slices.Contains(said, c.doubt) {
				t.Errorf("doubts %q, want %q", said, c.doubt)
			}
			write(t, path, c.all)
			l.await(path, "whole", 2*time.Second)
		})
	}
}

func TestKnown(t *testing.T) {
	dir := t.TempDir()
	names := []string{"same.csv", "other.csv", "touched.csv", "nameless.csv", "gone.csv", "late.csv"}
	for i, n := range names {
		write(t, filepath.Join(dir, n), rows(i, 100))
	}
	sources, _, err := record.Find([]string{dir})
	must(t, err)
	var known []watch.Known
	for _, s := range sources {
		data, err := os.ReadFile(s.Path)
		must(t, err)
		known = append(known, watch.Known{Source: s, SHA256: sum(data)})
		if s.Name == "nameless.csv" {
			known[len(known)-1].SHA256 = ""
		}
	}
	synctest.Test(t, func(t *testing.T) {
		then := time.Now().Add(-time.Hour)
		write(t, filepath.Join(dir, "other.csv"), rows(90, 100))
		must(t, os.Chtimes(filepath.Join(dir, "touched.csv"), then, then))
		must(t, os.Chtimes(filepath.Join(dir, "other.csv"), then, then))
		must(t, os.Remove(filepath.Join(dir, "gone.csv")))
		l, stop := follow(t, watch.Options{Paths: []string{dir}, Known: known, NoEvents: true})
		time.Sleep(time.Minute)
		write(t, filepath.Join(dir, "late.csv"), rows(91, 150))
		time.Sleep(time.Minute)
		stop()
		for i, want := range []string{"", "changed", "", "", "gone", "changed"} {
			if got := l.history(filepath.Join(dir, names[i])); got != want {
				t.Errorf("%s: told %q, want %q", names[i], got, want)
			}
		}
		if said := l.texts(watch.Arriving); len(said) > 0 {
			t.Errorf("known files are said to arrive: %q", said)
		}
	})
}

func TestReadOnceMore(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.csv")
	synctest.Test(t, func(t *testing.T) {
		write(t, path, rows(1, 100))
		info, err := os.Stat(path)
		must(t, err)
		l, stop := follow(t, watch.Options{Paths: []string{dir}, NoEvents: true})
		time.Sleep(2500 * time.Millisecond)
		if got := l.history(path); got != "whole" {
			t.Fatalf("told %q", got)
		}
		write(t, path, rows(2, 100)) // as a file system with coarse times shows it: size and time are the same
		must(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
		time.Sleep(5 * time.Second) // it was read again a second ago; what that found must be quiet, too
		if got := l.history(path); got != "whole" {
			t.Errorf("told %q of bytes that came just now", got)
		}
		time.Sleep(5 * time.Second)
		stop()
		if got := l.history(path); got != "whole changed" {
			t.Errorf("told %q, want the change too", got)
		}
	})
}

func TestSameBytesAreNoNews(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.csv")
	data := rows(1, 100)
	synctest.Test(t, func(t *testing.T) {
		l, stop := follow(t, watch.Options{Paths: []string{dir}, NoEvents: true})
		for i := range 20 {
			write(t, path, data)
			then := time.Now().Add(time.Duration(i) * time.Second)
			must(t, os.Chtimes(path, then, then))
			time.Sleep(20 * time.Second)
		}
		stop()
		if got := l.history(path); got != "whole" {
			t.Errorf("told %q, want whole once", got)
		}
	})
}

// What is followed is what record.Find lists, whatever that is.
func TestFollowsWhatFindLists(t *testing.T) {
	dir, outside := t.TempDir(), t.TempDir()
	write(t, filepath.Join(outside, "b.csv"), rows(1, 50))
	for i, n := range []string{"a.csv", "A.TXT", "b.tsv", "c.dat", "d.asc", "e.xlsx", "notes.md", ".hidden.csv", "sub/f.csv",
		"sub/.deep/g.csv", ".git/h.csv", "sub/sub/i.csv", "j.csv.tmp", "k"} {
		must(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, n)), 0o700))
		write(t, filepath.Join(dir, n), rows(i, 50))
	}
	must(t, os.Symlink(filepath.Join(outside, "b.csv"), filepath.Join(dir, "out.csv")))
	must(t, os.Symlink(outside, filepath.Join(dir, "out")))
	must(t, os.Symlink(filepath.Join(dir, "k"), filepath.Join(dir, "in.csv")))
	sources, _, err := record.Find([]string{dir})
	must(t, err)
	var want, got []string
	for _, s := range sources {
		want = append(want, s.Path+" "+s.Name)
	}
	synctest.Test(t, func(t *testing.T) {
		l, stop := follow(t, watch.Options{Paths: []string{dir, filepath.Join(dir, "sub")}, NoEvents: true})
		time.Sleep(time.Minute)
		stop()
		for _, e := range l.events {
			if e.Kind == watch.Whole {
				got = append(got, e.Source.Path+" "+e.Source.Name)
			}
		}
	})
	slices.Sort(want)
	slices.Sort(got)
	if len(want) < 8 || !slices.Equal(got, want) {
		t.Errorf("told\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
