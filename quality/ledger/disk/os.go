package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"

	"github.com/gofrs/flock"
	"github.com/rogpeppe/go-internal/robustio"
)

// OS is the real file system.
type OS struct{}

// Open implements System.
func (OS) Open(path string, flag int) (File, error) {
	f, err := os.OpenFile(path, flag|noFollow, FileMode)
	if err != nil {
		return nil, err
	}
	return osFile{f}, nil
}

// Lstat implements System.
func (OS) Lstat(path string) (fs.FileInfo, error) { return os.Lstat(path) }

// SameFile implements System.
func (OS) SameFile(a, b fs.FileInfo) bool { return os.SameFile(a, b) }

// MkdirAll implements System. The names of the folders that it makes last.
func (o OS) MkdirAll(path string) error {
	var parents []string
	for p := filepath.Clean(path); ; p = filepath.Dir(p) {
		if _, err := os.Lstat(p); err == nil || p == filepath.Dir(p) {
			break
		}
		parents = append(parents, filepath.Dir(p))
	}
	if err := os.MkdirAll(path, FolderMode); err != nil {
		return err
	}
	for _, p := range parents {
		if err := o.SyncFolder(p); err != nil {
			return err
		}
	}
	return nil
}

// Rename implements System. It tries again for a while where another program has the file open, as Windows needs.
func (OS) Rename(from, to string) error { return robustio.Rename(from, to) }

// Link implements System.
func (OS) Link(from, to string) error { return os.Link(from, to) }

// Remove implements System.
func (OS) Remove(path string) error { return os.Remove(path) }

// SyncFolder implements System. Where a file system cannot sync a folder there is nothing more to do.
func (OS) SyncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || cannotSync(err) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// cannotSync reports whether the file system has no sync at all, as some network shares do not.
func cannotSync(err error) bool {
	return errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.ENOTTY)
}

type osFile struct{ *os.File }

// Sync is a full flush of the device where the system has one.
func (f osFile) Sync() error {
	if err := f.File.Sync(); !cannotSync(err) {
		return err
	}
	return nil
}

// Lock implements System by an advisory lock on a file of its own. The file is removed when the lock is released; whoever
// opened it before that finds that the name is gone, and tries again on the new one.
func (o OS) Lock(path, text string) (Lock, error) {
	const tries = 100
	for range tries {
		l := flock.New(path, flock.SetFlag(os.O_CREATE|os.O_RDWR|noFollow), flock.SetPermissions(FileMode))
		got, err := l.TryLock()
		if err != nil {
			return nil, errors.Join(err, l.Close())
		}
		if !got {
			by, _ := ReadAll(o, path, 4096)
			return nil, errors.Join(&HeldError{Path: path, By: strings.TrimSpace(string(by))}, l.Close())
		}
		held, err := l.Stat()
		named, err2 := os.Lstat(path)
		if err == nil && err2 == nil && os.SameFile(held, named) {
			o.write(path, text)
			return osLock{l}, nil
		}
		_ = l.Close()
	}
	return nil, &fs.PathError{Op: "lock", Path: path, Err: syscall.EAGAIN}
}

// write puts the holder's words into the lock file. The lock holds without them.
func (o OS) write(path, text string) {
	f, err := o.Open(path, os.O_WRONLY|os.O_TRUNC)
	if err != nil {
		return
	}
	_, _ = f.Write([]byte(text))
	_ = f.Close()
}

type osLock struct{ flock *flock.Flock }

// Release implements Lock. The name goes first, while the lock is still held.
func (l osLock) Release() error {
	err := os.Remove(l.flock.Path())
	if runtime.GOOS == "windows" || errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return errors.Join(err, l.flock.Close())
}
