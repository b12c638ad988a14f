package watch_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"plateside/curve/record/watch"
)

// arrivals is how many recordings a day brings.
const arrivals = 2000

// A day is a folder that recordings arrive in, in every manner that programs and people have.
type day struct {
	t     testing.TB
	dir   string
	l     *told
	pause time.Duration // of a writer between two pieces
	rows  int

	mu   sync.Mutex
	want map[string][]string // of each path: the hashes of the bytes it holds when complete, "gone" when removed
	done map[string]time.Time
}

// manners are the ways to arrive.
func (d *day) manners() []func(number int) {
	return []func(int){d.pieces, d.renamed, d.reserved, d.removed, d.replaced, d.twoAtOnce, d.inFolder, d.packed, d.abandoned, d.moved}
}

// expect says what a path will hold, before it is written.
func (d *day) expect(path, what string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.want[path] = append(d.want[path], what)
}

// complete marks the time from which a recording could be reported.
func (d *day) complete(path string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.done[path] = time.Now()
}

func (d *day) path(number int, ending string) string {
	return filepath.Join(d.dir, fmt.Sprintf("athlete-%d_%d%s", number/8, number, ending))
}

func (d *day) pieces(number int) {
	path, data := d.path(number, ".csv"), rows(number, d.rows)
	d.expect(path, sum(data))
	writePieces(d.t, path, data, 4, d.pause)
	d.complete(path)
}

func (d *day) renamed(number int) {
	path, data := d.path(number, ".txt"), rows(number, d.rows)
	d.expect(path, sum(data))
	temporary := []string{path + ".tmp", filepath.Join(d.dir, ".~"+filepath.Base(path)), path + ".part"}[number%3]
	writePieces(d.t, temporary, data, 2, d.pause)
	must(d.t, os.Rename(temporary, path))
	d.complete(path)
}

// reserved is a copy that takes the room first and then fills it.
func (d *day) reserved(number int) {
	path, data := d.path(number, ".csv"), rows(number, d.rows)
	d.expect(path, sum(data))
	file, err := os.Create(path)
	must(d.t, err)
	must(d.t, file.Truncate(int64(len(data))))
	const pieces = 3
	for i := range pieces {
		time.Sleep(2 * d.pause)
		from, to := i*len(data)/pieces, (i+1)*len(data)/pieces
		_, err = file.WriteAt(data[from:to], int64(from))
		must(d.t, err)
	}
	must(d.t, file.Close())
}

func (d *day) removed(number int) {
	path := d.path(number, ".csv")
	d.pieces(number)
	d.l.await(path, "whole", 20*time.Second)
	d.expect(path, "gone")
	must(d.t, os.Remove(path))
}

func (d *day) replaced(number int) {
	path := d.path(number, ".csv")
	d.pieces(number)
	d.l.await(path, "whole", 20*time.Second)
	data := rows(number+arrivals, d.rows+1)
	d.expect(path, sum(data))
	if number%20 < 10 {
		write(d.t, path, data)
		return
	}
	write(d.t, path+".tmp", data)
	must(d.t, os.Rename(path+".tmp", path))
}

func (d *day) twoAtOnce(number int) {
	var both sync.WaitGroup
	for _, side := range []string{"-left.csv", "-right.csv"} {
		path, data := d.path(number, side), rows(number, d.rows+len(side))
		d.expect(path, sum(data))
		both.Go(func() {
			writePieces(d.t, path, data, 3, d.pause)
			d.complete(path)
		})
	}
	both.Wait()
}

func (d *day) inFolder(number int) {
	path, data := filepath.Join(d.dir, "squad", fmt.Sprint("day-", number/50), "deep", filepath.Base(d.path(number, ".tsv"))), rows(number, d.rows)
	d.expect(path, sum(data))
	must(d.t, os.MkdirAll(filepath.Dir(path), 0o700))
	writePieces(d.t, path, data, 3, d.pause)
}

func (d *day) packed(number int) {
	path := d.path(number, ".csv.gz")
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := z.Write(rows(number, d.rows))
	must(d.t, err)
	must(d.t, z.Close())
	d.expect(path, sum(b.Bytes()))
	file, err := os.Create(path)
	must(d.t, err)
	for _, half := range [][]byte{b.Bytes()[:b.Len()/2], b.Bytes()[b.Len()/2:]} {
		_, err = file.Write(half)
		must(d.t, err)
		time.Sleep(d.pause)
	}
	must(d.t, file.Close())
}

// abandoned is removed before it is complete, and written again under the same name.
func (d *day) abandoned(number int) {
	path, data := d.path(number, ".csv"), rows(number, d.rows)
	write(d.t, path, rows(number+2*arrivals, d.rows)[:1001])
	time.Sleep(d.pause)
	must(d.t, os.Remove(path))
	d.expect(path, sum(data))
	writePieces(d.t, path, data, 2, d.pause)
	d.complete(path)
}

// moved gets another name after it was reported.
func (d *day) moved(number int) {
	d.pieces(number)
	path, to := d.path(number, ".csv"), d.path(number, "-renamed.csv")
	d.l.await(path, "whole", 20*time.Second)
	d.mu.Lock()
	d.want[to] = d.want[path]
	d.want[path] = append(slices.Clone(d.want[path]), "gone")
	d.mu.Unlock()
	must(d.t, os.Rename(path, to))
}

// check holds what was told of each path against what was done to it, after some time for the last.
func (d *day) check(atMost time.Duration) (taken int) {
	d.t.Helper()
	for path, want := range d.want {
		words := []string{"whole"}
		for _, w := range want[1:] {
			words = append(words, map[bool]string{true: "gone", false: "changed"}[w == "gone"])
		}
		d.l.await(path, strings.Join(words, " "), atMost)
	}
	d.l.mu.Lock()
	defer d.l.mu.Unlock()
	for path, events := range d.l.of {
		want := d.want[path]
		for i, e := range events {
			if e.Kind == watch.Gone {
				continue
			}
			taken++
			if i >= len(want) || e.SHA256 != want[i] {
				d.t.Errorf("%s: report %d is of other bytes than were complete", filepath.Base(path), i)
			}
		}
	}
	return taken
}

func heap() uint64 {
	var m runtime.MemStats
	for range 3 {
		runtime.GC()
	}
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

func newDay(t testing.TB, o watch.Options, pause time.Duration) (*day, func()) {
	t.Helper()
	d := &day{t: t, dir: o.Paths[0], pause: pause, rows: 120, want: map[string][]string{}, done: map[string]time.Time{}}
	l, stop := follow(t, o)
	d.l = l
	return d, stop
}

// TestDayOfEvents brings a day's recordings as fast as the machine writes them, all times a fifth of the real ones.
func TestDayOfEvents(t *testing.T) {
	dir, files := t.TempDir(), arrivals
	if testing.Short() {
		files /= 10
	}
	before, goroutines := heap(), runtime.NumGoroutine()
	d, stop := newDay(t, watch.Options{Paths: []string{dir}, Settle: 60 * time.Millisecond, Patience: 400 * time.Millisecond,
		Rescan: 400 * time.Millisecond}, 10*time.Millisecond)
	began := time.Now()
	var writers sync.WaitGroup
	desks := make(chan struct{}, 60)
	manners := d.manners()
	for number := range files {
		desks <- struct{}{}
		writers.Go(func() {
			manners[number%len(manners)](number)
			<-desks
		})
		time.Sleep(8 * time.Millisecond)
	}
	writers.Wait()
	taken := d.check(20 * time.Second)
	during := heap()
	stop()
	t.Logf("%d paths in %v, %d reports of whole bytes, %d events; heap grew by %d kB while followed",
		len(d.want), time.Since(began).Round(time.Second), taken, len(d.l.events), (int64(during)-int64(before))/1024)
	d.logDelays()
	if taken < files {
		t.Errorf("%d taken", taken)
	}
	*d.l, *d = told{}, day{}
	// What is left is the runtime's and the test's; the follower's own was about a kilobyte a file.
	if after := heap(); after > before+1<<20 {
		t.Errorf("heap %d kB before, %d kB after", before/1024, after/1024)
	}
	if n := goroutinesAfter(goroutines); n > goroutines {
		t.Errorf("%d goroutines before, %d after", goroutines, n)
	}
}

// goroutinesAfter gives goroutines that end a moment to do so.
func goroutinesAfter(want int) int {
	for range 100 {
		if runtime.NumGoroutine() <= want {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	return runtime.NumGoroutine()
}

func (d *day) logDelays() {
	var delays []time.Duration
	for path, done := range d.done {
		if len(d.want[path]) == 1 {
			delays = append(delays, d.l.at[path].Sub(done))
		}
	}
	slices.Sort(delays)
	d.t.Logf("complete to reported, with a quiet of %v: median %v, max %v, %d files", 60*time.Millisecond,
		delays[len(delays)/2], delays[len(delays)-1], len(delays))
}

// TestDayOfScans is a day of eight hours with all times as they are, on a clock that takes none while nothing happens:
// 2,000 arrivals and more than 14,000 scans. The recordings of the last minutes are there, older ones are taken away.
func TestDayOfScans(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute of real time; -short leaves it out")
	}
	dir, archive := t.TempDir(), t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d, stop := newDay(t, watch.Options{Paths: []string{dir}, NoEvents: true}, 300*time.Millisecond)
		began := time.Now()
		const hours = 8
		manners := d.manners()
		var first, last uint64
		var writers sync.WaitGroup
		var there []string
		for number := range arrivals {
			writers.Go(func() { manners[number%len(manners)](number) })
			time.Sleep(hours * time.Hour / arrivals)
			if number%20 != 19 {
				continue
			}
			writers.Wait()
			time.Sleep(10 * time.Second)
			d.check(time.Second)
			there = d.archive(there, archive)
			if number == arrivals/8-11 {
				first = heap()
			}
		}
		last = heap()
		stop()
		t.Logf("%v, heap %d kB after an hour, %d kB after the day", time.Since(began), first/1024, last/1024)
		if last > first+512<<10 {
			t.Errorf("heap %d kB after an hour, %d kB after %d hours", first/1024, last/1024, hours)
		}
	})
}

// archive takes the recordings of the time before away, and forgets them when that was told.
func (d *day) archive(before []string, to string) []string {
	for _, path := range before {
		if err := os.Rename(path, filepath.Join(to, "x")); err == nil {
			want := d.l.history(path) + " gone"
			d.l.await(path, want, 10*time.Second)
		}
		delete(d.want, path)
	}
	d.l.mu.Lock()
	defer d.l.mu.Unlock()
	d.l.events = nil
	for _, path := range before {
		delete(d.l.of, path)
		delete(d.l.at, path)
		delete(d.done, path)
	}
	var now []string
	for path := range d.want {
		now = append(now, path)
	}
	return now
}
