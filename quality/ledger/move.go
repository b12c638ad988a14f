package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
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

// A place is the small file that remembers where a person was. It is no part of the record and may be lost, so it is
// neither synced nor written with care; what cannot be read is no place.
type place struct {
	RepID  string `json:"rep_id"`
	SHA256 string `json:"recording_sha256"`
	Rep    int    `json:"rep"`
}

// SavePlace remembers the rep that a person is at, for the next start. It needs Options.State. An error may be passed
// over: no decision depends on it.
func (l *Ledger) SavePlace(key quality.RepKey, repID string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	path, err := l.note("places")
	if err != nil {
		return err
	}
	data, err := json.Marshal(place{repID, key.SHA256, key.Number})
	if err != nil {
		return err
	}
	f, err := l.disk.Open(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	_, err = f.Write(append(data, '\n'))
	return errors.Join(err, f.Close())
}

// Place returns the rep that was last given to SavePlace for this ledger, and its name then.
func (l *Ledger) Place() (key quality.RepKey, repID string, ok bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var p place
	if data := l.readNote("places"); data == nil || json.Unmarshal(data, &p) != nil {
		return quality.RepKey{}, "", false
	}
	return quality.RepKey{SHA256: p.SHA256, Number: p.Rep}, p.RepID, p.SHA256 != ""
}

// notePath is where something is kept about this ledger in the state folder.
func (l *Ledger) notePath(kind string) string {
	return filepath.Join(l.opt.State, kind, l.key()+".json")
}

// note returns the path after making its folder.
func (l *Ledger) note(kind string) (string, error) {
	if l.opt.State == "" {
		return "", errors.New("there is no folder for it")
	}
	path := l.notePath(kind)
	return path, l.disk.MkdirAll(filepath.Dir(path))
}

func (l *Ledger) readNote(kind string) []byte {
	if l.opt.State == "" {
		return nil
	}
	data, err := disk.ReadAll(l.disk, l.notePath(kind), maxLine)
	if err != nil {
		return nil
	}
	return data
}

// A moved is the file that remembers where a ledger was moved to.
type moved struct {
	Ledger string `json:"ledger"`
}

func (l *Ledger) rememberMove(path string) error {
	at, err := l.note("moved")
	if err != nil {
		return err
	}
	data, err := json.Marshal(moved{path})
	if err != nil {
		return err
	}
	return disk.Save(l.disk, at, append(data, '\n'))
}

// movedTo returns where an earlier run moved the ledger, if it is still there.
func (l *Ledger) movedTo() string {
	var m moved
	if data := l.readNote("moved"); data == nil || json.Unmarshal(data, &m) != nil {
		return ""
	}
	if !filepath.IsAbs(m.Ledger) || filepath.Base(m.Ledger) != filepath.Base(l.home) || m.Ledger == l.home {
		return ""
	}
	if info, err := l.disk.Lstat(m.Ledger); err != nil || !info.Mode().IsRegular() {
		return ""
	}
	return m.Ledger
}
