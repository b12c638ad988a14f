package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"path/filepath"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// MoveTo writes the whole history and the events that could not be saved to another folder, and goes on there. What it
// returns are the unsaved events as they now stand in the file. The ledger at the old place stays as it is. On an error
// nothing has changed and the events are still not saved.
//
// The next Open of the same recordings finds the decisions at the new place, and brings them home as soon as home can be
// written.
func (l *Ledger) MoveTo(dir string, unsaved []quality.Event) ([]quality.Event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.why != "" {
		return nil, &NotSavedError{Op: "move", Path: l.path, Err: ErrReadOnly, Hint: l.why}
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, notSaved("move", dir, err)
	}
	path := filepath.Join(dir, filepath.Base(l.home))
	if path == l.path {
		return nil, notSaved("move to", path, errors.New("the ledger is there already"))
	}
	b := batch{crc: l.crc}
	for _, e := range unsaved {
		one, err := l.prepare(replayed(l.history, b.events), b.crc, []quality.Event{e})
		if err != nil {
			return nil, notSaved("move to", path, err)
		}
		b.events, b.text, b.crc = append(b.events, one.events...), append(b.text, one.text...), one.crc
	}
	lock, err := l.occupy(path)
	if err != nil {
		return nil, err
	}
	raw := append(bytes.Clone(l.raw), b.text...)
	if err := disk.Save(l.disk, path, raw); err != nil {
		_ = lock.Release()
		return nil, notSaved("write", path, err)
	}
	if l.file != nil {
		_ = l.file.Close()
	}
	if l.lock != nil {
		_ = l.lock.Release()
	}
	l.file, l.lock, l.path, l.doubtful, l.failed = nil, lock, path, false, nil
	l.raw, l.crc, l.history = raw, b.crc, replayed(l.history, b.events)
	if err := l.rememberMove(path); err != nil {
		l.notice("the ledger is now %s; the next start will not find it by itself (%v)", path, reason(err))
	}
	return b.events, nil
}

// replayed returns a history with further events, which are known to apply.
func replayed(h *quality.History, more []quality.Event) *quality.History {
	events := append([]quality.Event(nil), h.Events()...)
	out, _ := quality.Replay(append(events, more...))
	return out
}

// occupy locks a new place and makes sure that no other decisions lie there.
func (l *Ledger) occupy(path string) (disk.Lock, error) {
	if err := l.disk.MkdirAll(filepath.Dir(path)); err != nil {
		return nil, notSaved("make the folder of", path, err)
	}
	lock, err := l.disk.Lock(lockPath(path), l.holder())
	if err != nil {
		return nil, notSaved("lock", path, err)
	}
	s, info, err := l.look(path)
	if err == nil && info != nil && (len(s.rest) > 0 || !bytes.HasPrefix(l.raw, s.good)) {
		err = notSaved("move to", path, errors.New("other decisions lie there already"))
	}
	if err != nil {
		_ = lock.Release()
		return nil, err
	}
	return lock, nil
}

// A place is the small file that remembers where a person was. It is no part of the record and may be lost.
type place struct {
	RepID  string `json:"rep_id,omitempty"`
	SHA256 string `json:"recording_sha256,omitempty"`
	Rep    int    `json:"rep,omitempty"`
	// Ledger is where the ledger was moved to.
	Ledger string `json:"ledger,omitempty"`
}

func (l *Ledger) placePath() string {
	return filepath.Join(l.opt.State, "places", l.key()+".json")
}

func (l *Ledger) readPlace() place {
	var p place
	if l.opt.State == "" {
		return p
	}
	data, err := disk.ReadAll(l.disk, l.placePath(), maxLine)
	if err != nil || json.Unmarshal(data, &p) != nil {
		return place{}
	}
	return p
}

func (l *Ledger) writePlace(change func(*place)) error {
	if l.opt.State == "" {
		return fs.ErrNotExist
	}
	p := l.readPlace()
	change(&p)
	data, err := json.Marshal(p)
	if err != nil {
		return err
	}
	if err := l.disk.MkdirAll(filepath.Dir(l.placePath())); err != nil {
		return err
	}
	return disk.Save(l.disk, l.placePath(), append(data, '\n'))
}

func (l *Ledger) rememberMove(path string) error {
	return l.writePlace(func(p *place) { p.Ledger = path })
}

// movedTo returns where an earlier run moved the ledger, if it is still there.
func (l *Ledger) movedTo() string {
	p := l.readPlace()
	if p.Ledger == "" || !filepath.IsAbs(p.Ledger) || filepath.Base(p.Ledger) != filepath.Base(l.home) || p.Ledger == l.home {
		return ""
	}
	if info, err := l.disk.Lstat(p.Ledger); err != nil || !info.Mode().IsRegular() {
		return ""
	}
	return p.Ledger
}

// SavePlace remembers the rep that a person is at, for the next start. It needs Options.State. An error may be passed
// over: no decision depends on it.
func (l *Ledger) SavePlace(key quality.RepKey, repID string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.writePlace(func(p *place) { p.SHA256, p.Rep, p.RepID = key.SHA256, key.Number, repID })
}

// Place returns the rep that was last given to SavePlace for this ledger, and its name then.
func (l *Ledger) Place() (key quality.RepKey, repID string, ok bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	p := l.readPlace()
	return quality.RepKey{SHA256: p.SHA256, Number: p.Rep}, p.RepID, p.SHA256 != "" || p.RepID != ""
}
