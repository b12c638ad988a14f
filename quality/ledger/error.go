package ledger

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"plateside/quality/ledger/disk"
)

// The kinds of a NotSavedError.
var (
	// ErrReadOnly means that this ledger is open for reading only.
	ErrReadOnly = errors.New("the decisions are open for reading only")
	// ErrChanged means that something else wrote to the file; it was read again and the decision can be made anew.
	ErrChanged = errors.New("the file was changed by something else")
	// ErrNothing means that there is nothing to undo.
	ErrNothing = errors.New("there is no decision to undo")
)

// A NotSavedError says that a decision is not on disk.
type NotSavedError struct {
	// Op is what failed: write, sync, open and so on; Path the file.
	Op, Path string
	Err      error
	// Hint is what a person can do about it; it may be empty.
	Hint string
}

func (e *NotSavedError) Error() string {
	return fmt.Sprintf("not saved: %s %s: %v", e.Op, e.Path, reason(e.Err))
}

func (e *NotSavedError) Unwrap() error { return e.Err }

// reason strips the operation and the path that a file error repeats.
func reason(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	return err
}

// notSaved wraps an error with the hint that fits it.
func notSaved(op, path string, err error) *NotSavedError {
	return &NotSavedError{Op: op, Path: path, Err: err, Hint: hintFor(err)}
}

func hintFor(err error) string {
	var held *disk.HeldError
	switch {
	case errors.As(err, &held):
		return "close the other reviewer, or open a ledger of your own with --reviewer NAME"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full: free some space and try again, or choose another place"
	case errors.Is(err, syscall.EDQUOT):
		return "your share of the disk is used up: free some space and try again, or choose another place"
	case errors.Is(err, syscall.EFBIG):
		return "the file may not grow (a limit on file size is set): choose another place"
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return "this place cannot be written: choose another place"
	case errors.Is(err, syscall.EIO):
		return "the disk reports an error: choose another place, and have the disk looked at"
	case errors.Is(err, ErrChanged):
		return "look at the list again, then repeat the decision"
	case errors.Is(err, disk.ErrNotRegular):
		return "something that is no plain file has the ledger's name: move it away"
	}
	return ""
}
