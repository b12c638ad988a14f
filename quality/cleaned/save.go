package cleaned

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// Save writes the cleaned session to a file. Path holds either what it held before or the whole new file, whatever
// happens: the bytes go to a temporary file in the same folder, are synced, and the file is renamed. What path held
// before is kept under the same name with .bak added. The file is its owner's only.
func Save(path string, s *quality.Session, o Options) error { return SaveOn(disk.OS{}, path, s, o) }

// SaveOn is Save on a given file system.
func SaveOn(sys disk.System, path string, s *quality.Session, o Options) error {
	return saveWith(sys, path, func(w io.Writer) error { return Write(w, s, o) })
}

// SaveWorkbook writes the workbook to a file in the manner of Save.
func SaveWorkbook(path string, s *quality.Session, o Options) error {
	return saveWith(disk.OS{}, path, func(w io.Writer) error { return WriteWorkbook(w, s, o) })
}

func saveWith(sys disk.System, path string, write func(io.Writer) error) error {
	info, err := sys.Lstat(path)
	exists := err == nil
	switch {
	case exists && !info.Mode().IsRegular():
		return &fs.PathError{Op: "write", Path: path, Err: disk.ErrNotRegular}
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return err
	}
	release, err := alone(sys, path)
	if err != nil {
		return err
	}
	defer release()
	temp, err := disk.WriteTemp(sys, path, write)
	if err != nil {
		return err
	}
	if exists {
		if err := keepOld(sys, path); err != nil {
			return errors.Join(fmt.Errorf("keep the previous %s: %w", filepath.Base(path), err), sys.Remove(temp))
		}
	}
	if err := sys.Rename(temp, path); err != nil {
		return errors.Join(err, sys.Remove(temp))
	}
	return sys.SyncFolder(filepath.Dir(path))
}

// alone keeps two programs from saving to one file at once, and takes away the temporary files of one that was killed.
// Where there are no locks it does neither.
func alone(sys disk.System, path string) (release func(), err error) {
	hidden := filepath.Join(filepath.Dir(path), "."+filepath.Base(path))
	lock, err := sys.Lock(hidden+".lock", "")
	if _, held := errors.AsType[*disk.HeldError](err); held {
		return nil, fmt.Errorf("%s is being written by another program", filepath.Base(path))
	}
	if err != nil {
		return func() {}, nil //nolint:nilerr // writing says what is wrong with the folder
	}
	_ = sys.Remove(hidden + ".tmp")
	_ = sys.Remove(hidden + ".bak.tmp")
	return func() { _ = lock.Release() }, nil
}

// keepOld gives the file at path a second name that ends in .bak. Path itself stays in place the whole time.
func keepOld(sys disk.System, path string) error {
	bak := path + ".bak"
	step := filepath.Join(filepath.Dir(path), "."+filepath.Base(bak)+".tmp")
	_ = sys.Remove(step)
	if err := sys.Link(path, step); err != nil {
		return copyFile(sys, path, bak) // a file system without second names
	}
	if err := sys.Rename(step, bak); err != nil {
		return errors.Join(err, sys.Remove(step))
	}
	return nil
}

func copyFile(sys disk.System, from, to string) error {
	return disk.WriteWhole(sys, to, func(w io.Writer) error {
		in, err := sys.Open(from, 0)
		if err != nil {
			return err
		}
		_, err = io.Copy(w, in)
		return errors.Join(err, in.Close())
	})
}
