package ledger_test

import (
	"errors"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"

	"plateside/quality"
	"plateside/quality/ledger"
	"plateside/quality/ledger/disk/disktest"
)

func TestReadOnlyFolder(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1))
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	sealed := func(op disktest.Op) error {
		if strings.HasPrefix(op.Path, home) {
			return syscall.EROFS
		}
		return nil
	}
	m.Hook = sealed
	away := inMemory(t, m)
	if ro, why := away.ReadOnly(); ro {
		t.Fatal(why)
	}
	if !strings.HasPrefix(away.Path(), state) || !strings.Contains(strings.Join(away.Notices(), " "), "cannot be written") {
		t.Errorf("%s: %q", away.Path(), away.Notices())
	}
	must(t, away, reject(2, "x"))
	if err := away.Close(); err != nil {
		t.Fatal(err)
	}
	// Reading only, as when the cleaned session is written without a screen, finds them.
	reader := open(t, ledger.Options{Dir: home, State: state, Disk: m, ReadOnly: true})
	if got := len(reader.History().Events()); got != 2 {
		t.Errorf("a reader finds %d events", got)
	}
	again := inMemory(t, m)
	if got := len(again.History().Events()); got != 2 {
		t.Errorf("the next start finds %d events", got)
	}
	must(t, again, keep(3))
	if err := again.Close(); err != nil {
		t.Fatal(err)
	}
	back := reopened(t, m)
	if back.Path() != file || len(back.History().Events()) != 3 {
		t.Errorf("%s: %d events", back.Path(), len(back.History().Events()))
	}
	if !strings.Contains(strings.Join(back.Notices(), " "), "2 decisions") {
		t.Errorf("%q", back.Notices())
	}
	if err := back.Close(); err != nil {
		t.Fatal(err)
	}
	if notices := reopened(t, m).Notices(); len(notices) != 0 {
		t.Errorf("the notice comes again: %q", notices)
	}
}

func TestNoPlaceAtAll(t *testing.T) {
	m := disktest.New(home, state)
	m.Hook = func(disktest.Op) error { return syscall.EACCES }
	l := inMemory(t, m)
	if ro, why := l.ReadOnly(); !ro || !strings.Contains(why, "permission denied") {
		t.Errorf("%v %q", ro, why)
	}
	if _, err := l.Append(keep(1)); !errors.Is(err, ledger.ErrReadOnly) {
		t.Error(err)
	}
}

func TestMoveTo(t *testing.T) {
	m := disktest.New(home, state, "/stick")
	l := inMemory(t, m)
	must(t, l, keep(1))
	m.Hook = func(op disktest.Op) error {
		if strings.HasPrefix(op.Path, home) && op.Kind != "lock" {
			return syscall.ENOSPC
		}
		return nil
	}
	if _, err := l.Append(reject(2, "x")); err == nil {
		t.Fatal("a full disk took a decision")
	}
	unsaved := []quality.Event{reject(2, "x"), keep(3), {Action: quality.ActUndo}}
	written, err := l.MoveTo("/stick", unsaved)
	if err != nil {
		t.Fatal(err)
	}
	if len(written) != 3 || written[2].Undoes != 3 || written[0].Group != 0 || l.Path() != "/stick/plateside-ledger.jsonl" {
		t.Errorf("%s %+v", l.Path(), written)
	}
	must(t, l, keep(4))
	want := l.History().Events()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	// The next start finds them while the disk is still full, and brings them home when it is not.
	still := inMemory(t, m)
	if diff := cmp.Diff(want, still.History().Events()); diff != "" || !strings.HasPrefix(still.Path(), "/stick") {
		t.Errorf("%s: %s", still.Path(), diff)
	}
	must(t, still, keep(5))
	if err := still.Close(); err != nil {
		t.Fatal(err)
	}
	back := reopened(t, m)
	if diff := cmp.Diff(want, back.History().Events()[:5]); diff != "" || back.Path() != file {
		t.Errorf("%s: %s", back.Path(), diff)
	}
	must(t, back, keep(6))
}

func TestMoveToKeepsWhatLiesThere(t *testing.T) {
	m := disktest.New(home, state, "/stick")
	other := open(t, ledger.Options{Dir: "/stick", Disk: m})
	must(t, other, keep(7))
	l := inMemory(t, m)
	must(t, l, keep(1))
	if _, err := l.MoveTo("/stick", nil); err == nil {
		t.Error("moved onto a ledger that is in use")
	}
	if err := other.Close(); err != nil {
		t.Fatal(err)
	}
	before := m.Files()
	if _, err := l.MoveTo("/stick", nil); err == nil {
		t.Error("moved onto other decisions")
	}
	if diff := cmp.Diff(before, m.Files()); diff != "" {
		t.Error(diff)
	}
	m.Hook = disktest.Full()
	if _, err := l.MoveTo(state, []quality.Event{keep(2)}); !errors.Is(err, syscall.ENOSPC) {
		t.Error(err)
	}
	m.Hook = nil
	if l.Path() != file || len(l.History().Events()) != 1 {
		t.Errorf("a failed move left %s", l.Path())
	}
	must(t, l, keep(2))
}

// TestSomethingElseWrites changes the file behind the ledger's back. Nothing acknowledged may be lost, no byte of the
// other may be lost, and the decision in hand must be refused so that the person looks first.
func TestSomethingElseWrites(t *testing.T) {
	two := disktest.New(home, state)
	must(t, inMemory(t, two), keep(1), keep(2))
	lines := strings.SplitAfter(two.Files()[file], "\n")
	all := lines[0] + lines[1]
	for name, content := range map[string]string{
		"added to":         all,
		"emptied":          "",
		"cut":              lines[0][:50],
		"replaced":         `{"some":"json"}` + "\n",
		"garbage after it": lines[0] + "xxxx",
		"damage after it":  lines[0] + "xxxx\nyyy\n",
	} {
		t.Run(name, func(t *testing.T) {
			m := disktest.New(home, state)
			l := inMemory(t, m)
			must(t, l, keep(1))
			m.Put(file, []byte(content))
			if _, err := l.Append(reject(5, "x")); !errors.Is(err, ledger.ErrChanged) {
				t.Fatalf("%v", err)
			}
			if len(l.Notices()) == 0 {
				t.Error("nothing was said")
			}
			must(t, l, reject(5, "x"))
			want := l.History().Events()
			if err := l.Close(); err != nil {
				t.Fatal(err)
			}
			again := reopened(t, m)
			if diff := cmp.Diff(want, again.History().Events()); diff != "" {
				t.Error(diff)
			}
			if d := again.History().Decision(key(1)); d.Choice != quality.Keep {
				t.Error("the acknowledged decision is gone")
			}
			kept := strings.Join(slices.Collect(maps.Values(m.Files())), "\n")
			if rest := strings.TrimPrefix(content, lines[0]); content != all && !strings.Contains(kept, rest) {
				t.Errorf("the other's bytes are gone: %q", m.Files())
			}
		})
	}
}

func TestFileTakenAway(t *testing.T) {
	m := disktest.New(home, state)
	l := inMemory(t, m)
	must(t, l, keep(1), keep(2))
	if err := m.Remove(file); err != nil {
		t.Fatal(err)
	}
	must(t, l, keep(3))
	if got := len(reopened(t, m.Crash(false, 0)).History().Events()); got != 3 {
		t.Errorf("%d events", got)
	}
}

func TestTwoPeople(t *testing.T) {
	m := disktest.New(home, state)
	first := inMemory(t, m)
	must(t, first, keep(1))
	second := open(t, ledger.Options{Dir: home, State: state, Disk: m, Holder: "CD at laptop"})
	ro, why := second.ReadOnly()
	if !ro || !strings.Contains(why, "AB at desk") {
		t.Errorf("%v %q", ro, why)
	}
	if _, err := second.Append(keep(2)); !errors.Is(err, ledger.ErrReadOnly) {
		t.Error(err)
	}
	if _, err := second.MoveTo("/elsewhere", nil); !errors.Is(err, ledger.ErrReadOnly) {
		t.Error(err)
	}
	for _, want := range []bool{false, false} {
		if changed, err := second.Refresh(); changed != want || err != nil {
			t.Errorf("%v %v", changed, err)
		}
	}
	must(t, first, reject(2, "x"))
	if changed, err := second.Refresh(); !changed || err != nil {
		t.Errorf("%v %v", changed, err)
	}
	if got := second.History().Decision(key(2)).Choice; got != quality.Reject {
		t.Errorf("the second sees %v", got)
	}
	if changed, _ := second.Refresh(); changed {
		t.Error("the same again")
	}
	if filepath.Base(second.Path()) != filepath.Base(first.Path()) {
		t.Error(second.Path())
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	third := inMemory(t, m)
	if ro, why := third.ReadOnly(); ro {
		t.Error(why)
	}
}

func TestFolderWithoutLocks(t *testing.T) {
	m := disktest.New(home, state)
	m.Hook = func(op disktest.Op) error {
		if op.Kind == "lock" {
			return syscall.ENOLCK
		}
		return nil
	}
	a, b := inMemory(t, m), inMemory(t, m)
	if !strings.Contains(strings.Join(a.Notices(), " "), "no locks") {
		t.Errorf("%q", a.Notices())
	}
	must(t, a, keep(1))
	if _, err := b.Append(keep(2)); !errors.Is(err, ledger.ErrChanged) {
		t.Fatalf("the second writer did not notice the first: %v", err)
	}
	must(t, b, keep(2))
	if _, err := a.Append(keep(3)); !errors.Is(err, ledger.ErrChanged) {
		t.Fatalf("the first writer did not notice the second: %v", err)
	}
	must(t, a, keep(3))
	if got := len(reopened(t, m).History().Events()); got != 3 {
		t.Errorf("%d events", got)
	}
}
