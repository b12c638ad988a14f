package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"os"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// Refresh reads what another process has added since, and reports whether there was anything. It is cheap when there
// was not. A ledger that this process writes has nothing to refresh.
func (l *Ledger) Refresh() (changed bool, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.lock != nil || l.file != nil || l.why == "" {
		return false, nil
	}
	info, err := l.disk.Lstat(l.path)
	if err == nil && l.seen != nil && l.disk.SameFile(info, l.seen) && info.Size() == l.seen.Size() &&
		info.ModTime().Equal(l.seen.ModTime()) {
		return false, nil
	}
	s, info, err := l.look(l.path)
	if err != nil {
		return false, err
	}
	l.seen = info
	if bytes.Equal(s.good, l.raw) || len(s.good) == 0 && info == nil {
		return false, nil // nothing new; a file that is gone takes no decisions from the screen
	}
	l.adopt(s)
	return true, nil
}

// Read returns the history in a ledger file without opening it for writing. What follows a damaged or torn line is left
// out and said in problem.
func Read(path string) (h *quality.History, problem string, err error) {
	l := &Ledger{disk: disk.OS{}}
	s, info, err := l.look(path)
	switch {
	case err != nil:
		return nil, "", err
	case info == nil:
		return nil, "", &os.PathError{Op: "read", Path: path, Err: os.ErrNotExist}
	case s.damage != nil:
		problem = fmt.Sprintf("line %d and what follows are left out: %v", s.badLine, s.damage)
	case s.torn():
		problem = "the last line is not whole and is left out"
	}
	return s.history, problem, nil
}

// A Repaired is what Repair did.
type Repaired struct {
	// Kept is the number of lines that stay; Aside the file that holds every byte after them, empty when there was
	// nothing to repair.
	Kept  int
	Aside string
	// Again names the reps of lines aside that can still be read: decide on them again.
	Again []string
}

// Repair makes a damaged ledger writable again: the lines before the damage stay, everything from it on is copied into a
// file beside it and only then cut off. It takes the lock, so nobody may have the ledger open.
func Repair(path string, o Options) (r Repaired, err error) {
	if o.Disk == nil {
		o.Disk = disk.OS{}
	}
	if o.Now == nil {
		return r, errors.New("the ledger has no clock")
	}
	l := &Ledger{opt: o, disk: o.Disk, path: path}
	lock, err := l.disk.Lock(lockPath(path), l.holder())
	if err != nil {
		return r, notSaved("lock", path, err)
	}
	defer func() { err = errors.Join(err, lock.Release()) }()
	s, _, err := l.look(path)
	if err != nil {
		return r, err
	}
	r.Kept = len(s.history.Events())
	if len(s.rest) == 0 {
		return r, nil
	}
	for text := range bytes.Lines(s.rest) {
		e, _, _, err := decode(bytes.TrimSuffix(text, []byte("\n")), "")
		if err == nil && e.Action != quality.ActUndo {
			r.Again = append(r.Again, e.RepID)
		}
	}
	if r.Aside, err = setAside(l.disk, path, ".damaged-"+l.stamp(), s.rest); err != nil {
		return r, notSaved("set aside the damaged part of", path, err)
	}
	if err := disk.Save(l.disk, path, s.good); err != nil {
		return r, notSaved("write", path, err)
	}
	return r, nil
}
