package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// Append puts one event on disk. It fills in Seq, At and Reviewer and returns the event as it stands in the file. An
// error is a *NotSavedError; the event is then not in the history and may be given again, here or to MoveTo.
func (l *Ledger) Append(e quality.Event) (quality.Event, error) {
	written, err := l.AppendGroup([]quality.Event{e})
	if err != nil {
		return e, err
	}
	return written[0], nil
}

// AppendGroup puts several events on disk as one: all of them or none, and one undo takes all back.
func (l *Ledger) AppendGroup(events []quality.Event) ([]quality.Event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(events) == 0 {
		return nil, nil
	}
	if l.why != "" {
		return nil, &NotSavedError{Op: "write", Path: l.path, Err: fmt.Errorf("%w: %s", ErrReadOnly, l.why)}
	}
	b, err := l.prepare(l.history, l.crc, events)
	if err != nil {
		return nil, notSaved("write", l.path, err)
	}
	if err := l.ready(); err != nil {
		return nil, err
	}
	if err := l.put(b); err != nil {
		return nil, err
	}
	l.raw, l.crc = append(l.raw, b.text...), b.crc
	for _, e := range b.events {
		if err := l.history.Apply(e); err != nil {
			return nil, notSaved("replay", l.path, err) // prepare has tried this
		}
	}
	return b.events, nil
}

// Undo takes back the newest decision that stands, with its whole group, by a line that says so. It returns that line's
// event; its Undoes, Key and RepID tell what was taken back.
func (l *Ledger) Undo() (quality.Event, error) {
	return l.Append(quality.Event{Action: quality.ActUndo})
}

// A batch is events ready to be written.
type batch struct {
	events []quality.Event
	text   []byte
	crc    string
}

// prepare fills in what the ledger knows, and makes sure that the events will replay.
func (l *Ledger) prepare(h *quality.History, prev string, events []quality.Event) (batch, error) {
	trial, err := quality.Replay(append([]quality.Event(nil), h.Events()...))
	if err != nil {
		return batch{}, err
	}
	b := batch{crc: prev}
	first, of := trial.NextSeq(), 0
	if len(events) > 1 {
		of = len(events)
	}
	for _, e := range events {
		e.Seq, e.At, e.Group = trial.NextSeq(), l.opt.Now(), 0
		if l.opt.Reviewer != "" {
			e.Reviewer = l.opt.Reviewer
		}
		if of > 0 {
			e.Group = first
		}
		if e.Action == quality.ActUndo {
			if e, err = pointUndo(trial, e); err != nil {
				return b, err
			}
		}
		e = plain(e)
		if err := trial.Apply(e); err != nil {
			return b, err
		}
		text, crc, err := encode(e, of, b.crc)
		if err != nil {
			return b, err
		}
		b.events, b.text, b.crc = append(b.events, e), append(b.text, text...), crc
	}
	return b, nil
}

// pointUndo lets an undo name what it takes back: the newest decision unless it says otherwise.
func pointUndo(h *quality.History, e quality.Event) (quality.Event, error) {
	target := e.Undoes
	if target == 0 {
		last, ok := h.LastUndoable()
		if !ok {
			return e, ErrNothing
		}
		target = last.Seq
	}
	e.Undoes, e.Verdict = target, quality.VerdictClear
	if target >= 1 && target <= len(h.Events()) {
		of := h.Events()[target-1]
		e.Key, e.RepID, e.Recording = of.Key, of.RepID, of.Recording
	}
	return e, nil
}

// put writes the lines at the known end and syncs them. On an error the file is cut back to where it was.
func (l *Ledger) put(b batch) error {
	end := int64(len(l.raw))
	n, err := l.file.WriteAt(b.text, end)
	if err == nil && n < len(b.text) {
		err = errors.New("short write")
	}
	if err != nil {
		if cut := l.file.Truncate(end); cut != nil {
			l.doubt(b.text)
		}
		return notSaved("write", l.path, err)
	}
	err = l.file.Sync()
	op := "sync"
	if err == nil && !l.named {
		op = "sync the folder of"
		err = l.disk.SyncFolder(filepath.Dir(l.path))
		l.named = err == nil
	}
	if err != nil {
		// After a failed sync the system may have dropped what it could not write and report the next sync as good. So
		// this file is not trusted again: the next append writes all of it anew.
		_ = l.file.Truncate(end)
		l.doubt(b.text)
		return notSaved(op, l.path, err)
	}
	return nil
}

func (l *Ledger) doubt(text []byte) {
	l.doubtful, l.failed = true, text
	_ = l.file.Close()
	l.file = nil
}

// ready makes sure that the file is open and ends where this ledger thinks it ends.
func (l *Ledger) ready() error {
	info, err := l.disk.Lstat(l.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return l.create()
	case err != nil:
		return notSaved("look at", l.path, err)
	case !info.Mode().IsRegular():
		return notSaved("open", l.path, disk.ErrNotRegular)
	case l.doubtful:
		return l.renew()
	}
	if l.file == nil {
		if l.file, err = l.disk.Open(l.path, os.O_RDWR); err != nil {
			l.file = nil
			return notSaved("open", l.path, err)
		}
	}
	mine, err := l.file.Stat()
	if err != nil {
		return notSaved("look at", l.path, err)
	}
	if info.Size() != int64(len(l.raw)) || !l.disk.SameFile(mine, info) {
		return l.changed()
	}
	return nil
}

// create makes the file: empty for a first decision, with everything that is known where it was taken away.
func (l *Ledger) create() error {
	if l.file != nil {
		_ = l.file.Close()
		l.file = nil
	}
	if len(l.raw) > 0 {
		if err := l.renew(); err != nil {
			return err
		}
		l.notice("the ledger was gone and was written anew, with all %d lines", len(l.history.Events()))
		return nil
	}
	f, err := l.disk.Open(l.path, os.O_RDWR|os.O_CREATE|os.O_EXCL)
	if err != nil {
		return notSaved("create", l.path, err)
	}
	l.file, l.named, l.doubtful = f, false, false
	return nil
}

// renew writes everything that is known to be saved into a new file in place of the one that cannot be trusted.
func (l *Ledger) renew() error {
	if l.doubtful {
		data, err := disk.ReadAll(l.disk, l.path, maxFile)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return notSaved("read", l.path, err)
		}
		// Only what was acknowledged, with a part of what failed, may be there. Anything else is not ours to replace.
		if err == nil && !bytes.HasPrefix(append(bytes.Clone(l.raw), l.failed...), data) {
			return l.changed()
		}
	}
	if err := disk.Save(l.disk, l.path, l.raw); err != nil {
		return notSaved("write anew", l.path, err)
	}
	f, err := l.disk.Open(l.path, os.O_RDWR)
	if err != nil {
		return notSaved("open", l.path, err)
	}
	l.file, l.doubtful, l.failed = f, false, nil
	return nil
}

// changed deals with a file that is not as this ledger left it. Decisions that were added are taken in; a file that
// lacks acknowledged decisions is set aside, and all that is known is written anew. It always returns an error, so that
// the person looks before deciding again.
func (l *Ledger) changed() error {
	if l.file != nil {
		_ = l.file.Close()
		l.file = nil
	}
	s, info, err := l.look(l.path)
	if err != nil {
		return err
	}
	// A part of what failed may still be there; it was never acknowledged.
	l.doubtful, l.failed = false, nil
	if bytes.HasPrefix(s.good, l.raw) && s.damage == nil {
		added := len(s.history.Events()) - len(l.history.Events())
		l.adopt(s)
		l.seen = info
		if s.torn() {
			if err := l.cutTornTail(s); err != nil {
				return err
			}
		}
		l.notice("something else wrote to the ledger: %d decisions were added", added)
		return notSaved("write", l.path, ErrChanged)
	}
	name := l.path + ".other-" + l.stamp()
	if err := l.disk.Rename(l.path, name); err != nil {
		return notSaved("set aside", l.path, err)
	}
	if err := l.renew(); err != nil {
		return err
	}
	l.notice("something else replaced the ledger; its file was set aside as %s and yours was written anew",
		filepath.Base(name))
	return notSaved("write", l.path, ErrChanged)
}
