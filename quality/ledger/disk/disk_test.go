package disk_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"plateside/quality/ledger/disk"
)

func TestLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	first, err := disk.OS{}.Lock(path, "AB at desk\n")
	if err != nil {
		t.Fatal(err)
	}
	_, err = disk.OS{}.Lock(path, "CD")
	var held *disk.HeldError
	if !errors.As(err, &held) || held.By != "AB at desk" {
		t.Fatalf("%v", err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != disk.FileMode {
		t.Errorf("%v %v", info, err)
	}
	if err := first.Release(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the lock file stays")
	}
	// A file that a killed program left is no lock, and its words are replaced.
	if err := os.WriteFile(path, []byte("somebody who was killed long ago"), 0o600); err != nil {
		t.Fatal(err)
	}
	again, err := disk.OS{}.Lock(path, "EF")
	if err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(path); string(text) != "EF" {
		t.Errorf("%q", text)
	}
	if err := again.Release(); err != nil {
		t.Fatal(err)
	}
}

func TestCreateNeverTakesAnExistingName(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.torn")
	for _, want := range []string{"x.torn", "x-2.torn", "x-3.torn"} {
		f, name, err := disk.Create(disk.OS{}, path)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(name) != want {
			t.Errorf("%s, want %s", name, want)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

func TestReadAll(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "x"), filepath.Join(dir, "link")
	if err := os.WriteFile(path, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := disk.ReadAll(disk.OS{}, path, 5); err != nil || string(got) != "12345" {
		t.Errorf("%q %v", got, err)
	}
	if _, err := disk.ReadAll(disk.OS{}, path, 4); !errors.Is(err, disk.ErrTooLarge) {
		t.Error(err)
	}
	if _, err := disk.ReadAll(disk.OS{}, dir, 5); !errors.Is(err, disk.ErrNotRegular) {
		t.Error(err)
	}
	if err := os.Symlink(path, link); err != nil {
		t.Skipf("symbolic links cannot be made on this system: %v", err)
	}
	if _, err := disk.ReadAll(disk.OS{}, link, 5); !errors.Is(err, disk.ErrNotRegular) {
		t.Error(err)
	}
	if f, err := (disk.OS{}).Open(link, os.O_RDWR); err == nil {
		_ = f.Close()
		t.Error("a link was followed")
	}
}

func TestFoldersAreTheOwnersOnly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a", "b", "c")
	for range 2 {
		if err := (disk.OS{}).MkdirAll(path); err != nil {
			t.Fatal(err)
		}
	}
	for ; filepath.Base(path) != "001"; path = filepath.Dir(path) {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != disk.FolderMode {
			t.Errorf("%s: %v %v", path, info.Mode(), err)
		}
	}
}

func TestWriteWholeLeavesNothingOnFailure(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x")
	if err := disk.Save(disk.OS{}, path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	broken := errors.New("broken")
	err := disk.WriteWhole(disk.OS{}, path, func(w io.Writer) error {
		if _, err := w.Write([]byte("half")); err != nil {
			return err
		}
		return broken
	})
	if !errors.Is(err, broken) {
		t.Error(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("%q", got)
	}
	if all, _ := os.ReadDir(dir); len(all) != 1 {
		t.Errorf("%v", all)
	}
}
