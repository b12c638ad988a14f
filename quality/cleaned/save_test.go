package cleaned_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"plateside/quality"
	"plateside/quality/cleaned"
	"plateside/quality/ledger/disk"
	"plateside/quality/ledger/disk/disktest"
)

// tiny is a session with one kept rep of a few samples, for tests that save it hundreds of times.
func tiny(tb testing.TB) *squad {
	tb.Helper()
	q := newSquad(tb)
	q.session.Reps = q.session.Reps[3:4]
	q.session.Reps[0].Curve.To = q.session.Reps[0].Curve.From + 200
	return q
}

const target = "/out/squad.session.zip"

func TestSaveIsTheOwnersOnlyAndKeepsThePrevious(t *testing.T) {
	q := newSquad(t)
	path := q.save(t)
	first, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	q.apply(t, 4, quality.Event{Action: quality.ActKeep})
	if err := cleaned.Save(path, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	second, _ := os.ReadFile(path)
	bak, _ := os.ReadFile(path + ".bak")
	if bytes.Equal(first, second) || !bytes.Equal(first, bak) {
		t.Error("the previous file is not kept as .bak")
	}
	if err := cleaned.Save(path, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	if bak, _ = os.ReadFile(path + ".bak"); !bytes.Equal(second, bak) {
		t.Error(".bak is not the previous file the second time")
	}
	all, _ := os.ReadDir(filepath.Dir(path))
	for _, e := range all {
		info, err := e.Info()
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", e.Name(), info.Mode())
		}
	}
	if len(all) != 2 {
		t.Errorf("%v is in the folder", all)
	}
	holdClean(t, path)
}

// TestFailedSaveLeavesTheOldFile makes every operation of a save fail in turn, in several ways. The old file must be
// there, byte for byte, and no half-written one beside it.
func TestFailedSaveLeavesTheOldFile(t *testing.T) {
	q := tiny(t)
	after := q.bytes(t)
	tries := 0
	for _, kind := range []string{"create", "write", "sync", "link", "rename"} {
		for nth := 1; nth <= 3; nth++ {
			for _, cause := range []error{syscall.ENOSPC, syscall.EIO, &disktest.PartialError{N: 10, Err: syscall.ENOSPC}} {
				m := disktest.New("/out")
				m.Put(target, []byte("old"))
				m.Hook = disktest.FailOnce(kind, nth, cause)
				err := cleaned.SaveOn(m, target, q.session, q.options)
				files := m.Files()
				tries++
				if err == nil {
					if files[target] != string(after) || files[target+".bak"] != "old" {
						t.Errorf("%v at %s %d: saved, but not so", cause, kind, nth)
					}
					continue
				}
				if files[target] != "old" {
					t.Errorf("%v at %s %d: the old file is gone", cause, kind, nth)
				}
				for name := range files {
					if strings.Contains(name, ".tmp") {
						t.Errorf("%v at %s %d: %s is left", cause, kind, nth, name)
					}
				}
			}
		}
	}
	t.Logf("%d saves with a fault", tries)
}

// TestPowerCutWhileSaving cuts the power after every operation. What is found must be the old file or the new one,
// whole, and the new one once Save has returned.
func TestPowerCutWhileSaving(t *testing.T) {
	q := tiny(t)
	after := string(q.bytes(t))
	whole := disktest.New("/out")
	whole.Put(target, []byte("old"))
	if err := cleaned.SaveOn(whole, target, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	cuts := 0
	for n := 0; n <= whole.Ops(); n++ {
		m := disktest.New("/out")
		m.Put(target, []byte("old"))
		m.Hook = disktest.CrashAfter(n)
		err := cleaned.SaveOn(m, target, q.session, q.options)
		for _, names := range []bool{false, true} {
			for _, tail := range []float64{0, 0.5, 1} {
				cuts++
				got := m.Crash(names, tail).Files()[target]
				if got != after && (got != "old" || err == nil) {
					t.Errorf("cut after %d operations: %d bytes, saved %v", n, len(got), err == nil)
				}
			}
		}
	}
	t.Logf("%d power cuts", cuts)
}

func TestSaveWhereLinksAreUnknown(t *testing.T) {
	q := tiny(t)
	m := disktest.New("/out")
	m.Put(target, []byte("old"))
	m.Hook = func(op disktest.Op) error {
		if op.Kind == "link" {
			return syscall.EPERM
		}
		return nil
	}
	if err := cleaned.SaveOn(m, target, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	if files := m.Files(); files[target+".bak"] != "old" || len(files) != 2 {
		t.Errorf("%d files", len(files))
	}
}

func TestSaveOntoWhatIsNoFile(t *testing.T) {
	q := newSquad(t)
	dir := t.TempDir()
	link := filepath.Join(dir, "link.zip")
	if err := os.Symlink(filepath.Join(dir, "elsewhere"), link); err != nil {
		t.Skipf("symbolic links cannot be made on this system: %v", err)
	}
	for _, path := range []string{dir, link, os.DevNull} {
		if err := cleaned.Save(path, q.session, q.options); !errors.Is(err, disk.ErrNotRegular) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if err := cleaned.Save(filepath.Join(dir, "none", "x.zip"), q.session, q.options); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}

// failing fails after n bytes.
type failing struct{ n int }

func (f *failing) Write(b []byte) (int, error) {
	if len(b) > f.n {
		return f.n, io.ErrShortWrite
	}
	f.n -= len(b)
	return len(b), nil
}

func TestWriteReportsEveryError(t *testing.T) {
	q := tiny(t)
	all := len(q.bytes(t))
	for n := 0; n < all; n += all / 40 {
		if err := cleaned.Write(&failing{n}, q.session, q.options); err == nil {
			t.Errorf("a disk of %d bytes took %d", n, all)
		}
	}
	if err := cleaned.Write(&failing{all}, q.session, q.options); err != nil {
		t.Error(err)
	}
}
