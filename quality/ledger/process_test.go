//go:build unix

package ledger_test

import (
	"bufio"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"plateside/quality"
	"plateside/quality/ledger"
	"plateside/quality/ledger/disk"
)

// TestMain lets the test binary be run again as a writer of decisions, which other tests kill, stop, starve and double.
func TestMain(m *testing.M) {
	if dir := os.Getenv("PLATESIDE_TEST_WRITER"); dir != "" {
		os.Exit(writer(dir))
	}
	os.Exit(m.Run())
}

// realClock is the clock of the computer.
func realClock() time.Time { return time.Now() }

// say prints a line; when nobody listens any more there is nothing to be done about it.
func say(words ...any) { _, _ = fmt.Fprintln(os.Stdout, words...) }

// writer makes decisions as fast as it can, or PLATESIDE_TEST_COUNT of them, and prints the number of each after it was
// acknowledged. A refused one is printed as "refused" and ends it.
func writer(dir string) int {
	ledger.IgnoreFileSizeSignal()
	o := ledger.Options{Dir: dir, Now: realClock}
	if os.Getenv("PLATESIDE_TEST_NOSYNC") != "" {
		o.Disk = noSync{disk.OS{}}
	}
	l, err := ledger.Open(o)
	if err != nil {
		say("refused", err)
		return 1
	}
	if ro, why := l.ReadOnly(); ro {
		say("refused", why)
		return 1
	}
	count, _ := strconv.Atoi(os.Getenv("PLATESIDE_TEST_COUNT"))
	say("open")
	for n := 0; count == 0 || n < count; n++ {
		events := []quality.Event{reject(n, "stance-sway")}
		if n%7 == 6 {
			events = append(events, keep(n), keep(n+1))
		}
		written, err := l.AppendGroup(events)
		if err != nil {
			say("refused", err)
			return 1
		}
		say(written[len(written)-1].Seq)
	}
	if err := l.Close(); err != nil {
		say("refused", err)
		return 1
	}
	return 0
}

// A running is a writer in a process of its own.
type running struct {
	cmd  *exec.Cmd
	mu   sync.Mutex
	last int    // the newest acknowledged sequence number
	said string // the last word that was no number
	done chan struct{}
}

// run starts a writer. The shell words come before it, such as a limit.
func run(t *testing.T, dir, shell string, count int) *running {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	r := &running{cmd: exec.Command(self), done: make(chan struct{})}
	if shell != "" {
		r.cmd = exec.Command("/bin/sh", "-c", shell+" && exec \"$0\"", self)
	}
	r.cmd.Env = append(os.Environ(), "PLATESIDE_TEST_WRITER="+dir, "PLATESIDE_TEST_COUNT="+strconv.Itoa(count))
	out, err := r.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := r.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(r.done)
		for s := bufio.NewScanner(out); s.Scan(); {
			r.mu.Lock()
			if n, err := strconv.Atoi(s.Text()); err == nil {
				r.last = n
			} else {
				r.said = s.Text()
			}
			r.mu.Unlock()
		}
	}()
	return r
}

func (r *running) state() (last int, said string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.last, r.said
}

// wait returns when the writer is at work.
func (r *running) wait(t *testing.T) {
	t.Helper()
	for range 1000 {
		if last, said := r.state(); last > 0 || strings.HasPrefix(said, "refused") {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatal("the writer does not begin")
}

// end waits for the writer to be gone and returns the newest acknowledged number and its last word.
func (r *running) end() (int, string) {
	<-r.done
	_ = r.cmd.Wait()
	return r.state()
}

func times(name string, usual int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return usual
}

// TestKill kills a writer at random moments. Everything that it acknowledged must be there. PLATESIDE_KILLS sets how
// often.
func TestKill(t *testing.T) {
	kills := times("PLATESIDE_KILLS", 25)
	acknowledged, torn, lost := 0, 0, 0
	dir := t.TempDir()
	for i := range kills {
		if i%10 == 0 {
			dir = t.TempDir() // so that the file does not grow without end
		}
		r := run(t, dir, "", 0)
		r.wait(t)
		time.Sleep(time.Duration(rand.IntN(20_000)) * time.Microsecond)
		if err := r.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		last, said := r.end()
		if strings.HasPrefix(said, "refused") {
			t.Fatal(said)
		}
		l, err := ledger.Open(ledger.Options{Dir: dir, Now: realClock})
		if err != nil {
			t.Fatal(err)
		}
		if ro, why := l.ReadOnly(); ro {
			t.Fatal(why)
		}
		if got := len(l.History().Events()); got < last {
			lost += last - got
		}
		torn += len(l.Notices())
		acknowledged += last
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills, %d acknowledged lines looked for, %d lost, %d torn ends", kills, acknowledged, lost, torn)
	if lost > 0 {
		t.Errorf("%d acknowledged decisions are lost", lost)
	}
}

// TestFileSizeLimit gives a writer a limit on the size of its files.
func TestFileSizeLimit(t *testing.T) {
	dir := t.TempDir()
	last, said := run(t, dir, "ulimit -f 8", 0).end()
	if last == 0 || !strings.Contains(said, "too large") {
		t.Fatalf("%d decisions, then %q", last, said)
	}
	holdAll(t, dir, last)
}

// holdAll checks that a ledger has exactly the acknowledged lines, whole.
func holdAll(t *testing.T, dir string, acknowledged int) {
	t.Helper()
	l := open(t, ledger.Options{Dir: dir})
	if got := len(l.History().Events()); got != acknowledged {
		t.Errorf("%d lines, %d were acknowledged", got, acknowledged)
	}
	if ro, why := l.ReadOnly(); ro || len(l.Notices()) > 0 {
		t.Errorf("%q %q", why, l.Notices())
	}
}

// mount mounts something for the length of the test, or skips it.
func mount(t *testing.T, dir string, args ...string) {
	t.Helper()
	if os.Getuid() != 0 {
		t.Skip("only root can mount")
	}
	if out, err := exec.Command("mount", append(args, dir)...).CombinedOutput(); err != nil {
		t.Skipf("nothing can be mounted here: %s", out)
	}
	t.Cleanup(func() { _ = exec.Command("umount", dir).Run() })
}

// TestFullDisk fills a small disk with decisions.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	mount(t, dir, "-t", "tmpfs", "-o", "size=64k", "plateside-test")
	last, said := run(t, dir, "", 0).end()
	if last == 0 || !strings.Contains(said, "no space left") {
		t.Fatalf("%d decisions, then %q", last, said)
	}
	l := open(t, ledger.Options{Dir: dir})
	if got := len(l.History().Events()); got != last {
		t.Errorf("%d lines, %d were acknowledged", got, last)
	}
	t.Logf("%d decisions on a disk of 64 KiB, none lost", last)
}

func TestReadOnlyMount(t *testing.T) {
	dir, state := t.TempDir(), t.TempDir()
	l := open(t, ledger.Options{Dir: dir})
	must(t, l, keep(1))
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	mount(t, dir, "--bind", dir)
	if out, err := exec.Command("mount", "-o", "remount,ro,bind", dir).CombinedOutput(); err != nil {
		t.Skipf("nothing can be mounted read-only here: %s", out)
	}
	away := open(t, ledger.Options{Dir: dir, State: state})
	must(t, away, keep(2))
	if got := len(away.History().Events()); got != 2 || !strings.HasPrefix(away.Path(), state) {
		t.Errorf("%d events in %s", got, away.Path())
	}
}

// TestTwoWriters starts two writers on one folder. One must be refused with the other's name, and nothing be lost.
func TestTwoWriters(t *testing.T) {
	dir := t.TempDir()
	first := run(t, dir, "", 400)
	first.wait(t)
	second := run(t, dir, "", 400)
	_, said := second.end()
	last, _ := first.end()
	if !strings.Contains(said, "process "+strconv.Itoa(first.cmd.Process.Pid)) {
		t.Errorf("the second writer says %q", said)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.lock")); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
	holdAll(t, dir, last)
}

// TestManyTakeTurns has several writers compete for the lock, over and over: no decision of any may be lost.
func TestManyTakeTurns(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	var mu sync.Mutex
	total := 0
	for range 4 {
		wg.Go(func() {
			for made := 0; made < 25; {
				l, err := ledger.Open(ledger.Options{Dir: dir, Now: realClock, Holder: "a tester"})
				if err != nil {
					t.Error(err)
					return
				}
				if _, err := l.Append(keep(made)); err == nil {
					made++
					mu.Lock()
					total++
					mu.Unlock()
				} else if !errors.Is(err, ledger.ErrReadOnly) {
					t.Error(err)
					return
				}
				if err := l.Close(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	holdAll(t, dir, total)
}

// TestPowerCut stops a writer on an ext4 image, copies the image as it lies on the disk below, and opens the copy:
// what a power cut would leave. PLATESIDE_POWERCUTS sets how often; it needs root and loop devices, and is not run else.
func TestPowerCut(t *testing.T) {
	cuts := times("PLATESIDE_POWERCUTS", 0)
	if cuts == 0 {
		t.Skip("set PLATESIDE_POWERCUTS to the number of power cuts")
	}
	lost, torn, acknowledged := 0, 0, 0
	for range cuts {
		last, got, cutOff := powerCut(t)
		acknowledged += last
		lost += max(0, last-got)
		torn += cutOff
	}
	t.Logf("%d power cuts, %d acknowledged lines looked for, %d lost, %d torn ends", cuts, acknowledged, lost, torn)
	if lost > 0 {
		t.Errorf("%d acknowledged decisions are lost", lost)
	}
	// Without the sync decisions must be lost, or the cuts above prove nothing.
	t.Setenv("PLATESIDE_TEST_NOSYNC", "1")
	last, got, _ := powerCut(t)
	t.Logf("without a sync: %d acknowledged, %d left", last, got)
	if got >= last {
		t.Error("nothing was lost without a sync: this test has no teeth")
	}
}

// powerCut returns how many lines were acknowledged before the cut, how many were found after it, and how many torn ends.
func powerCut(t *testing.T) (acknowledged, found, torn int) {
	t.Helper()
	top := t.TempDir()
	image, copied, at := filepath.Join(top, "disk"), filepath.Join(top, "copy"), filepath.Join(top, "mnt")
	shell(t, "truncate -s 16M "+image+" && mkfs.ext4 -q -F "+image+" && mkdir "+at)
	mountImage := func(file string) (unmount func()) {
		if out, err := exec.Command("mount", "-o", "loop", file, at).CombinedOutput(); err != nil {
			t.Skipf("images cannot be mounted here: %s", out)
		}
		return func() { shell(t, "umount "+at) }
	}
	unmount := mountImage(image)
	r := run(t, at, "", 0)
	r.wait(t)
	time.Sleep(time.Duration(20+rand.IntN(100)) * time.Millisecond)
	if err := r.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	time.Sleep(20 * time.Millisecond) // so that what was printed is read
	acknowledged, said := r.state()
	shell(t, "cp --sparse=always "+image+" "+copied)
	_ = r.cmd.Process.Kill()
	r.end()
	if strings.HasPrefix(said, "refused") {
		t.Fatal(said)
	}
	unmount()
	defer mountImage(copied)()
	l, err := ledger.Open(ledger.Options{Dir: at, Now: realClock})
	if err != nil {
		t.Fatal(err)
	}
	if ro, why := l.ReadOnly(); ro {
		t.Error(why)
	}
	found, torn = len(l.History().Events()), len(l.Notices())
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return acknowledged, found, torn
}

func shell(t *testing.T, command string) {
	t.Helper()
	if out, err := exec.Command("/bin/sh", "-c", command).CombinedOutput(); err != nil {
		t.Fatalf("%s: %s", command, out)
	}
}

// BenchmarkAppend is the time from a key to "saved".
func BenchmarkAppend(b *testing.B) {
	l := open(b, ledger.Options{Dir: b.TempDir()})
	for n := 0; b.Loop(); n++ {
		must(b, l, keep(n))
	}
}
