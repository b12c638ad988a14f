package watch_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"plateside/curve/record/watch"
)

// A told keeps what was reported.
type told struct {
	t      testing.TB
	mu     sync.Mutex
	events []watch.Event
	of     map[string][]watch.Event // whole, changed and gone, by path
	at     map[string]time.Time     // of the last of these
}

func (l *told) hear(e watch.Event) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.events = append(l.events, e)
	switch e.Kind {
	case watch.Whole, watch.Changed, watch.Gone:
		l.of[e.Source.Path] = append(l.of[e.Source.Path], e)
		l.at[e.Source.Path] = time.Now()
	case watch.Arriving, watch.Notice:
	}
}

// history is what was said of a path since: the kinds as words.
func (l *told) history(path string) string {
	l.mu.Lock()
	defer l.mu.Unlock()
	words := []string{}
	for _, e := range l.of[path] {
		words = append(words, e.Kind.String())
	}
	return strings.Join(words, " ")
}

// await waits until the history of a path is as wanted.
func (l *told) await(path, want string, atMost time.Duration) {
	l.t.Helper()
	for end := time.Now().Add(atMost); l.history(path) != want; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			l.t.Errorf("%s: %q after %v, want %q", filepath.Base(path), l.history(path), atMost, want)
			return
		}
	}
}

// texts returns the texts of a kind.
func (l *told) texts(k watch.Kind) []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	var out []string
	for _, e := range l.events {
		if e.Kind == k {
			out = append(out, e.Text)
		}
	}
	return out
}

// follow begins to follow and returns what is told and a way to stop.
func follow(t testing.TB, o watch.Options) (*told, func()) {
	t.Helper()
	l := &told{t: t, of: map[string][]watch.Event{}, at: map[string]time.Time{}}
	o.Now = time.Now
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- watch.New(o).Run(ctx, l.hear) }()
	stop := sync.OnceFunc(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(stop)
	return l, stop
}

// followHeard follows a folder and returns when its events are heard.
func followHeard(t testing.TB, o watch.Options) *told {
	t.Helper()
	first := filepath.Join(o.Paths[0], "first.csv")
	write(t, first, rows(999, 100))
	l, _ := follow(t, o)
	for end := time.Now().Add(10 * time.Second); len(l.texts(watch.Arriving)) == 0; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("nothing is followed")
		}
	}
	return l
}

// rows is a recording of a number of rows, unlike any other of another number.
func rows(number, count int) []byte {
	var b bytes.Buffer
	b.WriteString("time,left,right\n")
	for i := range count {
		fmt.Fprintf(&b, "%d.%03d,%d.25,%d.75\n", i/1000, i%1000, 300+number, 300+i%7)
	}
	return b.Bytes()
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

func write(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Error(err)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Error(err)
	}
}

func TestWithinASecond(t *testing.T) {
	dir := t.TempDir()
	l := followHeard(t, watch.Options{Paths: []string{dir}})
	const files = 60
	done := make([]time.Time, files)
	for i := range files {
		path := filepath.Join(dir, fmt.Sprintf("trial-%d.csv", i))
		data := rows(i, 2000)
		switch i % 3 {
		case 0:
			write(t, path, data)
		case 1:
			write(t, path+".part", data)
			must(t, os.Rename(path+".part", path))
		case 2:
			writePieces(t, path, data, 4, 20*time.Millisecond)
		}
		done[i] = time.Now()
		time.Sleep(37 * time.Millisecond)
	}
	delays := make([]time.Duration, files)
	for i := range files {
		path := filepath.Join(dir, fmt.Sprintf("trial-%d.csv", i))
		l.await(path, "whole", 5*time.Second)
		l.mu.Lock()
		delays[i] = l.at[path].Sub(done[i])
		l.mu.Unlock()
	}
	slices.Sort(delays)
	t.Logf("complete to reported: median %v, 95 in 100 %v, max %v", delays[files/2], delays[files*95/100], delays[files-1])
	if delays[files*95/100] > time.Second || delays[files-1] > 3*time.Second { // a busy machine may stall for a moment
		t.Errorf("recordings were reported %v after they were complete, want within a second", delays[files*9/10:])
	}
	if delays[0] < 250*time.Millisecond {
		t.Errorf("a recording was reported %v after it was complete, before it can have been quiet", delays[0])
	}
}

// writePieces writes in pieces that end within a line.
func writePieces(t testing.TB, path string, data []byte, pieces int, pause time.Duration) {
	t.Helper()
	file, err := os.Create(path)
	if err != nil {
		t.Error(err)
		return
	}
	for i := range pieces {
		from, to := i*len(data)/pieces, (i+1)*len(data)/pieces
		if i > 0 {
			from = inLine(data, from)
			time.Sleep(pause)
		}
		if i < pieces-1 {
			to = inLine(data, to)
		}
		_, err = file.Write(data[from:to])
		must(t, err)
	}
	must(t, file.Close())
}

// inLine moves a place on until it is within a line.
func inLine(data []byte, at int) int {
	for data[at-1] == '\n' {
		at++
	}
	return at
}

func TestRenamedIsGoneAndWhole(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	data := rows(1, 100)
	old, renamed := filepath.Join(dir, "a.csv"), filepath.Join(dir, "b.csv")
	l := followHeard(t, watch.Options{Paths: []string{dir}, Settle: 50 * time.Millisecond})
	write(t, old, data)
	l.await(old, "whole", 5*time.Second)
	must(t, os.Rename(old, renamed))
	l.await(renamed, "whole", 5*time.Second)
	l.await(old, "whole gone", 5*time.Second)
	l.mu.Lock()
	defer l.mu.Unlock()
	var order []string
	for _, e := range l.events {
		if e.Kind != watch.Arriving && e.Source.Name != "first.csv" {
			order = append(order, e.Kind.String()+" "+e.Source.Name)
			if e.SHA256 != sum(data) {
				t.Errorf("%v %s has hash %q", e.Kind, e.Source.Name, e.SHA256)
			}
		}
	}
	if got := strings.Join(order, ", "); got != "whole a.csv, gone a.csv, whole b.csv" {
		t.Errorf("told %s", got)
	}
}

func TestFolderGoesAndComesBack(t *testing.T) {
	t.Parallel()
	for _, quiet := range []bool{false, true} {
		t.Run(fmt.Sprintf("NoEvents=%v", quiet), func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(t.TempDir(), "session")
			l, _ := follow(t, watch.Options{Paths: []string{dir}, Settle: 50 * time.Millisecond, Patience: 200 * time.Millisecond,
				Rescan: 200 * time.Millisecond, NoEvents: quiet})
			time.Sleep(50 * time.Millisecond)
			path := filepath.Join(dir, "squad", "a.csv")
			want := ""
			for range 3 {
				must(t, os.MkdirAll(filepath.Dir(path), 0o700))
				write(t, path, rows(1, 100))
				want = strings.TrimSpace(want + " whole")
				l.await(path, want, 5*time.Second)
				must(t, os.RemoveAll(dir))
				want += " gone"
				l.await(path, want, 5*time.Second)
			}
			said := strings.Join(l.texts(watch.Notice), "\n")
			if n := strings.Count(said, "is not there; "); n < 3 {
				t.Errorf("notices:\n%s\nwant 3 or more that the folder is not there", said)
			}
		})
	}
}

func TestReplacedWithinATick(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "a.csv")
	l := followHeard(t, watch.Options{Paths: []string{dir}, Settle: 50 * time.Millisecond, Rescan: time.Hour})
	write(t, path, rows(1, 100))
	l.await(path, "whole", 5*time.Second)
	info, err := os.Stat(path)
	must(t, err)
	time.Sleep(time.Second)
	write(t, path, rows(2, 100)) // as long as before
	must(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
	l.await(path, "whole changed", 5*time.Second)
}

func TestSlowListener(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	const files = 30
	whole := make(chan string, files)
	o := watch.Options{Paths: []string{dir}, Settle: 20 * time.Millisecond, Patience: 100 * time.Millisecond, Now: time.Now}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = watch.New(o).Run(ctx, func(e watch.Event) {
			time.Sleep(10 * time.Millisecond)
			if e.Kind == watch.Whole {
				whole <- e.SHA256
			}
		})
	}()
	want := map[string]bool{}
	for i := range files {
		data := rows(i, 3000)
		want[sum(data)] = true
		writePieces(t, filepath.Join(dir, fmt.Sprintf("%d.csv", i)), data, 50, 0)
	}
	for range files {
		select {
		case s := <-whole:
			if !want[s] {
				t.Errorf("hash %s is of no recording, or was told twice", s)
			}
			delete(want, s)
		case <-time.After(10 * time.Second):
			t.Fatalf("%d recordings were not told", len(want))
		}
	}
	cancel()
	<-ended
}

func TestNoClock(t *testing.T) {
	if err := watch.New(watch.Options{}).Run(context.Background(), nil); err == nil {
		t.Error("ran without a clock")
	}
}

// A folder that is made anew has the same path and often the same number on disk, but its old watch is dead.
func TestFolderMadeAnewAtOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	sub := filepath.Join(dir, "squad")
	must(t, os.Mkdir(sub, 0o700))
	l := followHeard(t, watch.Options{Paths: []string{dir}, Settle: 50 * time.Millisecond, Rescan: time.Hour})
	for i := range 5 {
		must(t, os.RemoveAll(sub))
		must(t, os.Mkdir(sub, 0o700))
		time.Sleep(300 * time.Millisecond)
		path := filepath.Join(sub, fmt.Sprint(i, ".csv"))
		write(t, path, rows(i, 100))
		l.await(path, "whole", 5*time.Second)
	}
}
