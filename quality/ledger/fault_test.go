package ledger_test

import (
	"errors"
	"fmt"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/quality"
	"plateside/quality/ledger"
	"plateside/quality/ledger/disk"
	"plateside/quality/ledger/disk/disktest"
)

const (
	home  = "/session"
	state = "/state"
	file  = "/session/plateside-ledger.jsonl"
)

func inMemory(tb testing.TB, m disk.System) *ledger.Ledger {
	tb.Helper()
	return open(tb, ledger.Options{Dir: home, State: state, Disk: m, Holder: "AB at desk"})
}

func reopened(tb testing.TB, m *disktest.Memory) *ledger.Ledger {
	tb.Helper()
	m.Hook = nil
	return inMemory(tb, m)
}

// TestFaults makes each kind of operation fail once, at each place, while decisions are made. A decision that was
// acknowledged must be there afterwards, one that was not must not count, and the next must be taken again.
func TestFaults(t *testing.T) {
	tries, refused := 0, 0
	for _, cause := range []error{syscall.ENOSPC, syscall.EIO, syscall.EFBIG, &disktest.PartialError{N: 40, Err: syscall.ENOSPC}} {
		for _, kind := range []string{"create", "open-write", "write", "truncate", "sync", "sync-folder", "rename"} {
			for nth := 1; nth <= 8; nth++ {
				if _, partial := errors.AsType[*disktest.PartialError](cause); partial && kind != "write" {
					continue
				}
				tries++
				refused += faultRun(t, disktest.FailOnce(kind, nth, cause), fmt.Sprintf("%v at %s %d", cause, kind, nth))
			}
		}
	}
	// Two faults at once: the write fails and the cut that follows it as well.
	for nth := 1; nth <= 6; nth++ {
		write, cut := disktest.FailOnce("write", nth, &disktest.PartialError{N: 40, Err: syscall.EIO}), disktest.FailOnce("truncate", 1, syscall.EIO)
		tries++
		refused += faultRun(t, func(op disktest.Op) error { return errors.Join(write(op), cut(op)) }, fmt.Sprintf("write %d and cut", nth))
		sync, cut2 := disktest.FailOnce("sync", nth, syscall.EIO), disktest.FailOnce("truncate", 1, syscall.EIO)
		tries++
		refused += faultRun(t, func(op disktest.Op) error { return errors.Join(sync(op), cut2(op)) }, fmt.Sprintf("sync %d and cut", nth))
	}
	t.Logf("%d runs with a fault, %d decisions refused, none lost", tries, refused)
	if refused < 20 {
		t.Errorf("only %d decisions met their fault", refused)
	}
}

// faultRun makes six decisions, each again until it is taken, under a hook. It returns how many were refused.
func faultRun(t *testing.T, hook func(disktest.Op) error, name string) (refused int) {
	t.Helper()
	m := disktest.New(home, state)
	l := inMemory(t, m)
	m.Hook = hook
	var acknowledged []quality.Event
	for n := 1; n <= 6; n++ {
		for try := 1; ; try++ {
			e, err := l.Append(reject(n, "stance-sway"))
			if err == nil {
				acknowledged = append(acknowledged, e)
				break
			}
			refused++
			if _, ok := errors.AsType[*ledger.NotSavedError](err); !ok {
				t.Fatalf("%s: %v is no NotSavedError", name, err)
			}
			if got := len(l.History().Events()); got != len(acknowledged) {
				t.Fatalf("%s: %d events count, %d were acknowledged", name, got, len(acknowledged))
			}
			if try > 4 {
				t.Fatalf("%s: never taken again: %v", name, err)
			}
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	// Both as left by the program, and as found after the power was cut right after the last acknowledgement.
	for where, left := range map[string]*disktest.Memory{"left": m, "power cut": m.Crash(false, 0)} {
		again := reopened(t, left)
		if diff := cmp.Diff(acknowledged, again.History().Events()); diff != "" {
			t.Errorf("%s, %s: %s", name, where, diff)
		}
		if ro, why := again.ReadOnly(); ro {
			t.Errorf("%s, %s: %s", name, where, why)
		}
	}
	return refused
}

// TestFailedSyncIsNotTrusted checks that after a failed sync nothing is synced on the same file again: all is written
// into a new one.
func TestFailedSyncIsNotTrusted(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1))
	m.Hook = disktest.FailOnce("sync", 1, syscall.EIO)
	if _, err := l.Append(keep(2)); !errors.Is(err, syscall.EIO) {
		t.Fatal(err)
	}
	renamed := false
	m.Hook = func(op disktest.Op) error {
		renamed = renamed || op.Kind == "rename" && op.Path == file
		if op.Kind == "sync" && op.Path == file && !renamed {
			t.Error("the file whose sync failed was synced again")
		}
		return nil
	}
	must(t, l, keep(2))
	if !renamed {
		t.Error("the file was not written anew")
	}
}

func TestFullDiskIsTold(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1))
	m.Hook = disktest.Full()
	_, err := l.Append(keep(2))
	var not *ledger.NotSavedError
	if !errors.As(err, &not) || !errors.Is(err, syscall.ENOSPC) || !strings.Contains(not.Hint, "full") || not.Path != file {
		t.Fatalf("%+v", err)
	}
	if strings.Count(err.Error(), file) != 1 {
		t.Errorf("the path stands twice in %q", err)
	}
	if got := m.Files()[file]; strings.Count(got, "\n") != 1 {
		t.Errorf("the file holds %q", got)
	}
}

func TestOpeningOnAFullDiskShowsWhatIsThere(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1))
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	m.Hook = disktest.Full()
	again := inMemory(t, m)
	ro, why := again.ReadOnly()
	if !ro || !strings.Contains(why, "no space") || len(again.History().Events()) != 1 {
		t.Errorf("%v %q %d events", ro, why, len(again.History().Events()))
	}
}

// TestPowerCutAtEveryStep cuts the power after every operation of a session of decisions, and opens what is left. All
// that was acknowledged by then must be there; one more may be, since it was on its way.
func TestPowerCutAtEveryStep(t *testing.T) {
	whole := disktest.New(home, state)
	work(t, inMemory(t, whole))
	cuts := 0
	for n := 0; n <= whole.Ops(); n++ {
		m := disktest.New(home, state)
		m.Hook = disktest.CrashAfter(n)
		l, err := ledger.Open(ledger.Options{Dir: home, State: state, Disk: m, Now: clock()})
		var acknowledged []quality.Event
		if err == nil {
			acknowledged = work(t, l)
		}
		for _, names := range []bool{false, true} {
			for _, tail := range []float64{0, 0.3, 0.999, 1} {
				cuts++
				again := reopened(t, m.Crash(names, tail))
				got := again.History().Events()
				if len(got) < len(acknowledged) {
					t.Fatalf("cut after %d operations: %d of %d acknowledged events are left", n, len(got), len(acknowledged))
				}
				if diff := cmp.Diff(acknowledged, append([]quality.Event(nil), got[:len(acknowledged)]...)); diff != "" {
					t.Fatal(diff)
				}
				if len(got) > len(acknowledged)+3 {
					t.Fatalf("cut after %d operations: %d events, %d acknowledged", n, len(got), len(acknowledged))
				}
				if ro, why := again.ReadOnly(); ro {
					t.Fatal(why)
				}
				must(t, again, keep(9))
			}
		}
	}
	t.Logf("%d power cuts, none lost", cuts)
}

// work makes decisions of every sort and returns the acknowledged events.
func work(tb testing.TB, l *ledger.Ledger) []quality.Event {
	tb.Helper()
	var out []quality.Event
	for n := range 3 {
		if e, err := l.Append(keep(n)); err == nil {
			out = append(out, e)
		}
	}
	if all, err := l.AppendGroup([]quality.Event{reject(1, "a"), reject(2, "b"), reject(3, "c")}); err == nil {
		out = append(out, all...)
	}
	if e, err := l.Undo(); err == nil {
		out = append(out, e)
	}
	return out
}

// TestPowerCutModelHasTeeth leaves the sync out; then decisions must be lost, or the tests above prove nothing.
func TestPowerCutModelHasTeeth(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, noSync{m})
	must(t, l, keep(1), keep(2))
	if got := len(reopened(t, m.Crash(true, 0)).History().Events()); got != 0 {
		t.Errorf("%d decisions outlived a power cut without a sync", got)
	}
}
