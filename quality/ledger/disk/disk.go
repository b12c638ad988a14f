// Package disk is the little of a file system that the ledger and the cleaned session need, as an interface, so that
// every fault a disk can have can be made to happen in a test. OS is the real one.
//
// Files are made readable and writable by their owner only, folders too: what they hold is about people.
package disk

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
)

// The modes of what is made.
const (
	FileMode   fs.FileMode = 0o600
	FolderMode fs.FileMode = 0o700
)

// A File is an open file.
type File interface {
	io.Reader
	io.Writer
	io.WriterAt
	Truncate(size int64) error
	// Sync returns when everything written is on the disk.
	Sync() error
	Stat() (fs.FileInfo, error)
	Close() error
}

// A Lock is held until it is released.
type Lock interface{ Release() error }

// A System is a file system.
type System interface {
	// Open opens a file with the flags of os.OpenFile; a link in the last element is not followed.
	Open(path string, flag int) (File, error)
	// Lstat describes a file without following a link.
	Lstat(path string) (fs.FileInfo, error)
	// SameFile reports whether both describe one file, whatever names it has.
	SameFile(a, b fs.FileInfo) bool
	MkdirAll(path string) error
	Rename(from, to string) error
	Link(from, to string) error
	Remove(path string) error
	// SyncFolder makes names that were added to or removed from a folder last.
	SyncFolder(path string) error
	// Lock takes the lock whose file is path and writes text into it. It returns a *HeldError at once when another
	// process holds it.
	Lock(path, text string) (Lock, error)
}

// A HeldError says that a lock is held by somebody else.
type HeldError struct {
	Path string
	// By is what the holder wrote into the lock file; it may be empty.
	By string
}

func (e *HeldError) Error() string {
	if e.By == "" {
		return "held by another process"
	}
	return "held by " + e.By
}

// ErrNotRegular is returned for a link, a device, a pipe or a folder where a plain file was expected.
var ErrNotRegular = errors.New("not a plain file")

// ErrTooLarge is returned by ReadAll.
var ErrTooLarge = errors.New("too large")

// ReadAll returns the content of a plain file of at most limit bytes.
func ReadAll(sys System, path string, limit int64) ([]byte, error) {
	info, err := sys.Lstat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "read", Path: path, Err: ErrNotRegular}
	}
	f, err := sys.Open(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, &fs.PathError{Op: "read", Path: path, Err: ErrTooLarge}
	}
	return data, nil
}

// Create makes a new file called path, or path with "-2", "-3" and so on before its ending where that is taken. It
// returns the file and its path.
func Create(sys System, path string) (File, string, error) {
	const tries = 10000
	name := path
	ending := filepath.Ext(path)
	for n := 2; ; n++ {
		f, err := sys.Open(name, os.O_RDWR|os.O_CREATE|os.O_EXCL)
		if err == nil {
			return f, name, nil
		}
		if !errors.Is(err, fs.ErrExist) || n > tries {
			return nil, name, err
		}
		name = path[:len(path)-len(ending)] + "-" + strconv.Itoa(n) + ending
	}
}

// WriteWhole writes a file so that path holds either what it held before or all of the new content, whatever happens:
// temporary file in the same folder, sync, rename, sync of the folder. On an error the temporary file is removed.
// A renamed file whose folder could not be synced is an error too, since the new name may not outlast a power cut.
func WriteWhole(sys System, path string, write func(io.Writer) error) error {
	temp, err := WriteTemp(sys, path, write)
	if err != nil {
		return err
	}
	if err := sys.Rename(temp, path); err != nil {
		return errors.Join(err, sys.Remove(temp))
	}
	return sys.SyncFolder(filepath.Dir(path))
}

// WriteTemp writes a temporary file beside path and syncs it. It returns its path; renaming it is the caller's part.
func WriteTemp(sys System, path string, write func(io.Writer) error) (temp string, err error) {
	f, temp, err := Create(sys, filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".tmp"))
	if err != nil {
		return "", err
	}
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	err = errors.Join(err, f.Close())
	if err != nil {
		return "", errors.Join(fmt.Errorf("write %s: %w", path, err), sys.Remove(temp))
	}
	return temp, nil
}

// Save writes a file of the given bytes with WriteWhole.
func Save(sys System, path string, data []byte) error {
	return WriteWhole(sys, path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
