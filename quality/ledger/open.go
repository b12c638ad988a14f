package ledger

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"syscall"

	"plateside/quality/ledger/disk"
)

// Where the ledger is.
//
// Home is beside the recordings. Where that folder cannot be written (a share that is read-only, a stick with the
// switch set) decisions go away, to the user's own folder, as a continuation of what lies at home. As soon as home can
// be written again, what was decided away comes home.

// awayPath returns the place for a folder that cannot be written.
func (l *Ledger) awayPath() string {
	if l.opt.State == "" {
		return ""
	}
	if moved := l.movedTo(); moved != "" {
		return moved
	}
	return filepath.Join(l.opt.State, "ledgers", l.key(), filepath.Base(l.home))
}

// key names the ledger in the state folder without telling where it lies.
func (l *Ledger) key() string {
	sum := sha256.Sum256([]byte(l.home))
	return fmt.Sprintf("%x", sum[:10])
}

// holder is what stands in the lock file.
func (l *Ledger) holder() string {
	if l.opt.Holder != "" {
		return l.opt.Holder
	}
	name, host := "someone", "this computer"
	if u, err := user.Current(); err == nil && u.Username != "" {
		name = u.Username
	}
	if h, err := os.Hostname(); err == nil {
		host = h
	}
	return fmt.Sprintf("%s at %s, process %d, since %s", name, host, os.Getpid(),
		l.opt.Now().Format("2006-01-02 15:04"))
}

// openToRead loads home, or what continues it away.
func (l *Ledger) openToRead() error {
	if _, err := l.load(l.home); err != nil {
		return err
	}
	if l.away != "" {
		if s, info, err := l.look(l.away); err == nil && len(s.good) > len(l.raw) && bytes.HasPrefix(s.good, l.raw) {
			l.adopt(s)
			l.path, l.seen = l.away, info
		}
	}
	if l.why == "" {
		l.why = "opened for reading only"
	}
	return nil
}

// openToWrite takes the lock at home and loads it, or goes away.
func (l *Ledger) openToWrite() error {
	lock, err := l.disk.Lock(lockPath(l.home), l.holder())
	var held *disk.HeldError
	switch {
	case err == nil:
		l.lock = lock
	case errors.As(err, &held):
		return l.onlyRead("the decisions are " + held.Error() + "; you see them as they appear, but cannot decide")
	case noLocks(err):
		l.notice("this folder knows no locks: make sure that nobody else decides on the same recordings")
	case unwritable(err) && l.present(lockPath(l.home)):
		return l.onlyRead("the lock " + filepath.Base(lockPath(l.home)) + " belongs to another user")
	case unwritable(err):
		return l.goAway(err)
	case errors.Is(err, fs.ErrNotExist):
		return notSaved("lock", l.home, err)
	default:
		return l.onlyRead(fmt.Sprintf("%s cannot be locked (%v)", l.home, reason(err)))
	}
	if l.present(l.home) {
		if err := l.writableFile(); err != nil {
			return l.goAway(err)
		}
	}
	if err := l.settle(l.home); err != nil || l.why != "" {
		return err
	}
	return l.comeHome()
}

// onlyRead loads home without a lock.
func (l *Ledger) onlyRead(why string) error {
	_, err := l.load(l.home)
	l.why = why
	return err
}

// settle loads a ledger that this process may write, and cuts off a torn end.
func (l *Ledger) settle(path string) error {
	s, err := l.load(path)
	if err != nil || !s.torn() {
		return err
	}
	if err := l.cutTornTail(s); err != nil {
		l.why = err.Error()
	}
	return nil
}

func (l *Ledger) present(path string) bool {
	_, err := l.disk.Lstat(path)
	return err == nil
}

// writableFile returns an error when the ledger at home is there and cannot be opened for writing.
func (l *Ledger) writableFile() error {
	if info, err := l.disk.Lstat(l.home); err == nil && !info.Mode().IsRegular() {
		return nil // loading it says what is wrong
	}
	f, err := l.disk.Open(l.home, os.O_RDWR)
	if err == nil {
		return f.Close()
	}
	if unwritable(err) {
		return err
	}
	return nil
}

// unwritable reports whether an error means that a place can never be written, as opposed to a fault of the moment.
func unwritable(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS)
}

func noLocks(err error) bool {
	return errors.Is(err, syscall.ENOLCK) || errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.ENOSYS)
}

// goAway continues the ledger in the state folder.
func (l *Ledger) goAway(cause error) error {
	if l.lock != nil {
		_ = l.lock.Release()
		l.lock = nil
	}
	here := fmt.Sprintf("%s cannot be written (%v)", filepath.Dir(l.home), reason(cause))
	if l.away == "" {
		return l.onlyRead(here + " and there is no other place")
	}
	atHome, _, err := l.look(l.home)
	if err != nil {
		return err
	}
	if err := l.disk.MkdirAll(filepath.Dir(l.away)); err != nil {
		return l.onlyRead(fmt.Sprintf("%s, nor can %s (%v)", here, filepath.Dir(l.away), reason(err)))
	}
	lock, err := l.disk.Lock(lockPath(l.away), l.holder())
	if held, ok := errors.AsType[*disk.HeldError](err); ok {
		_, lerr := l.load(l.away)
		l.why = "the decisions are " + held.Error() + "; you see them as they appear, but cannot decide"
		return lerr
	}
	if err != nil {
		return l.onlyRead(fmt.Sprintf("%s, nor can %s (%v)", here, l.away, reason(err)))
	}
	l.lock = lock
	if err := l.settle(l.away); err != nil || l.why != "" {
		return err
	}
	l.notice("%s: decisions are kept in %s", here, l.away)
	if bytes.HasPrefix(l.raw, atHome.good) {
		return nil
	}
	if !bytes.HasPrefix(atHome.good, l.raw) {
		l.notice("the ledger beside the recordings has other decisions, which are not shown: %s", l.home)
		return nil
	}
	if err := disk.Save(l.disk, l.away, atHome.good); err != nil {
		return notSaved("write", l.away, err)
	}
	return l.settle(l.away)
}

// comeHome takes in what was decided while home could not be written. Where that fails (the disk is full), it goes on
// away.
func (l *Ledger) comeHome() error {
	if l.away == "" || !l.present(l.away) {
		return nil
	}
	lock, err := l.disk.Lock(lockPath(l.away), l.holder())
	if err != nil {
		l.notice("decisions that lie in %s could not be taken in: %v", l.away, reason(err))
		return nil
	}
	s, _, err := l.look(l.away)
	switch {
	case err != nil:
		l.notice("decisions that lie in %s could not be taken in: %v", l.away, err)
		return lock.Release()
	case bytes.HasPrefix(l.raw, s.good):
		return lock.Release()
	case !bytes.HasPrefix(s.good, l.raw):
		l.notice("other decisions on these recordings lie in %s; they are not shown", l.away)
		return lock.Release()
	}
	added := len(s.history.Events()) - len(l.history.Events())
	if err := disk.Save(l.disk, l.home, s.good); err != nil {
		if l.lock != nil {
			_ = l.lock.Release()
		}
		l.lock = lock
		l.notice("%s cannot be written (%v): decisions are kept in %s", filepath.Dir(l.home), reason(err), l.away)
		return l.settle(l.away)
	}
	if err := l.settle(l.home); err != nil {
		return errors.Join(err, lock.Release())
	}
	l.notice("%d decisions that were kept in %s are beside the recordings again", added, l.away)
	// The other copy keeps its bytes under another name; if that fails it is recognised as an equal next time.
	_ = l.disk.Rename(l.away, l.away+".home-"+l.stamp())
	return lock.Release()
}
