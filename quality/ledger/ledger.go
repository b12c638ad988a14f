// Package ledger keeps decisions on disk: an append-only file of JSON lines beside the recordings.
//
// # What is promised
//
// When Append returns without an error the decision is on the disk: it was written in one write and synced, and neither
// a kill nor a power cut takes it back. When it returns an error the decision is not in History, and the file is as it
// was before. A line is never changed or removed; undo and clear are lines too.
//
// A last line that was not written to its end is copied beside the file and cut off when the ledger is opened, and a
// notice says so. A line that is damaged elsewhere makes the ledger read-only until Repair has moved it and what
// follows aside. No byte is ever thrown away.
//
// One process at a time writes. It holds a lock on a file of its own, in which stands who it is; everyone else reads,
// and Refresh shows them what was decided meanwhile. Where a file system knows no locks, the size of the file is
// compared before every write, so that a second writer is noticed.
package ledger

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// Options say whose ledger is opened and where.
type Options struct {
	// Dir is the folder of the recordings.
	Dir string
	// State is the user's own folder for what cannot lie beside the recordings: the ledger where Dir cannot be written,
	// and the place of the last rep. Empty means that there is none.
	State string
	// Reviewer is written into every line. With Own set the ledger is a file of the reviewer's own.
	Reviewer string
	Own      bool
	// ReadOnly opens for reading only: no lock is taken, nothing is written.
	ReadOnly bool
	// Now is the clock. It must be set.
	Now func() time.Time
	// Disk is the file system, nil for the real one.
	Disk disk.System
	// Holder is what other processes are told about this one; empty for the user, host and process.
	Holder string
}

// A Ledger is an open decision file. Its methods may be called from several goroutines.
type Ledger struct {
	opt  Options
	disk disk.System
	home string // where the ledger lies when nothing is in the way
	away string // where it lies else; empty when there is no such place

	mu       sync.Mutex
	path     string
	file     disk.File // nil before the first append to a file
	raw      []byte    // what the file holds, as far as it is known to be on disk
	crc      string    // of the last line of raw
	history  *quality.History
	seen     fs.FileInfo // of the file when it was last read, for Refresh
	why      string      // why nothing can be written; empty when it can
	lock     disk.Lock
	notices  []string
	named    bool   // the folder was synced since the file got its name, as far as this process knows
	doubtful bool   // a write or sync failed: what the file holds after raw is not known
	failed   []byte // what was then being written
}

// FileName returns the name of the ledger: the shared one for an empty reviewer, else that reviewer's own. It refuses a
// name that is no plain file name.
func FileName(reviewer string) (string, error) {
	if reviewer == "" {
		return "plateside-ledger.jsonl", nil
	}
	for _, r := range reviewer {
		plain := r == '-' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
		if !plain || len(reviewer) > 40 {
			return "", fmt.Errorf("reviewer %q: a name may have up to 40 letters a to z, digits, - and _", reviewer)
		}
	}
	return "plateside-ledger." + reviewer + ".jsonl", nil
}

// Open reads the ledger of a folder and gets ready to write it. It makes no file but the lock; the ledger itself comes
// with the first decision. A ledger that can be read but not written (held by another process, damaged, ReadOnly) is no
// error: ReadOnly says why. An error means that nothing could be read, and why.
func Open(o Options) (*Ledger, error) {
	if o.Now == nil {
		return nil, errors.New("the ledger has no clock")
	}
	if o.Disk == nil {
		o.Disk = disk.OS{}
	}
	owner := ""
	if o.Own {
		owner = o.Reviewer
		if owner == "" {
			return nil, errors.New("a ledger of one's own needs the reviewer's name")
		}
	}
	name, err := FileName(owner)
	if err != nil {
		return nil, err
	}
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return nil, err
	}
	l := &Ledger{opt: o, disk: o.Disk, home: filepath.Join(dir, name), history: &quality.History{}, crc: noPrev}
	l.path, l.away = l.home, l.awayPath()
	if o.ReadOnly {
		return l, l.openToRead()
	}
	if err := l.openToWrite(); err != nil {
		return nil, errors.Join(err, l.Close())
	}
	return l, nil
}

// lockPath is the lock of a ledger.
func lockPath(path string) string { return strings.TrimSuffix(path, ".jsonl") + ".lock" }

// Path returns where the ledger is.
func (l *Ledger) Path() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.path
}

// History returns a copy of what was decided, which is the caller's own: later decisions do not show in it.
func (l *Ledger) History() *quality.History {
	l.mu.Lock()
	defer l.mu.Unlock()
	// What was applied once applies again.
	h, _ := quality.Replay(append([]quality.Event(nil), l.history.Events()...))
	return h
}

// ReadOnly reports whether nothing can be written, and why, in words for the screen.
func (l *Ledger) ReadOnly() (readOnly bool, why string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.why != "", l.why
}

// Notices returns what a person should be told since the ledger was opened, oldest first.
func (l *Ledger) Notices() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return append([]string(nil), l.notices...)
}

func (l *Ledger) notice(format string, args ...any) {
	l.notices = append(l.notices, fmt.Sprintf(format, args...))
}

// Close gives the lock back. Everything that was acknowledged is on disk already.
func (l *Ledger) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	var err error
	if l.file != nil {
		err = l.file.Close()
		l.file = nil
	}
	if l.lock != nil {
		err = errors.Join(err, l.lock.Release())
		l.lock = nil
	}
	if l.why == "" {
		l.why = "closed"
	}
	return err
}

// load reads the file at path, which becomes the ledger's. A file that is not there is an empty ledger.
func (l *Ledger) load(path string) (scan, error) {
	s, info, err := l.look(path)
	if err != nil {
		return s, err
	}
	l.path, l.seen = path, info
	l.adopt(s)
	if s.damage != nil {
		l.why = fmt.Sprintf("line %d of %s is damaged (%v); the %d decisions before it are shown; "+
			"repairing moves the rest aside", s.badLine, filepath.Base(path), s.damage, len(s.history.Events()))
	}
	return s, nil
}

func (l *Ledger) adopt(s scan) { l.raw, l.crc, l.history = slices.Clip(s.good), s.crc, s.history }

// look reads and scans a file.
func (l *Ledger) look(path string) (scan, fs.FileInfo, error) {
	info, err := l.disk.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return read(nil), nil, nil
	}
	if err != nil {
		return scan{}, nil, notSaved("look at", path, err)
	}
	data, err := disk.ReadAll(l.disk, path, maxFile)
	if errors.Is(err, fs.ErrPermission) {
		return scan{}, nil, &NotSavedError{
			Op: "read", Path: path, Err: err,
			Hint: "it belongs to another user: open a ledger of your own with --reviewer NAME",
		}
	}
	if err != nil {
		return scan{}, nil, notSaved("read", path, err)
	}
	s := read(data)
	if newer, ok := errors.AsType[*versionError](s.damage); ok {
		return s, nil, notSaved("read", path, newer)
	}
	return s, info, nil
}

// stamp is the time as it stands in the names of files that were set aside.
func (l *Ledger) stamp() string { return l.opt.Now().UTC().Format("20060102T150405Z") }

// setAside copies bytes into a new file beside path and syncs it.
func setAside(sys disk.System, path, suffix string, data []byte) (string, error) {
	f, name, err := disk.Create(sys, path+suffix)
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = sys.SyncFolder(filepath.Dir(path))
	}
	return name, err
}

// cutTornTail sets what was not written to its end aside and cuts it off.
func (l *Ledger) cutTornTail(s scan) error {
	name, err := setAside(l.disk, l.path, ".torn-"+l.stamp(), s.rest)
	if err != nil {
		return notSaved("set aside the torn end of", l.path, err)
	}
	f, err := l.disk.Open(l.path, os.O_RDWR)
	if err != nil {
		return notSaved("open", l.path, err)
	}
	err = f.Truncate(int64(len(s.good)))
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return notSaved("cut the torn end of", l.path, err)
	}
	l.notice("the last line of the ledger was not written to its end, as after a power cut; "+
		"it was never shown as saved. Its %d bytes are in %s", len(s.rest), filepath.Base(name))
	return nil
}
