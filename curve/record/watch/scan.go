package watch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"plateside/curve/record"
)

const (
	// scanRest is the shortest time between two scans, and scanShare how much longer than a scan the rest after it is: on a
	// slow share the following must not be all that the share does. When one scan happens to be slow the rest is no longer
	// than that scan, or the time between two scans.
	scanRest  = 50 * time.Millisecond
	scanShare = 2
	// mostFiles bounds the files that are followed.
	mostFiles = 1 << 16
	// mostHeard bounds the names kept between two scans. A name that is not kept costs its file some patience.
	mostHeard = 1024
	// aboutEvents is the key of the events' own state, which no path has.
	aboutEvents = "\x00events"
)

// listen turns what was heard into looks and scans.
func (f *follower) listen(now time.Time) {
	hints, lost := f.ears.take()
	if lost {
		f.askScan(now)
	}
	for name, op := range hints {
		if one := f.files[name]; one != nil {
			one.heard, one.touched = true, now
			f.pend(one, later(now, one.looked.Add(lookRest)))
			if op.Has(fsnotify.Remove) || op.Has(fsnotify.Rename) {
				f.askScan(now)
			}
			continue
		}
		if !f.concerns(name) {
			continue
		}
		if len(f.heard) < mostHeard {
			f.heard[name] = struct{}{}
		}
		if op != fsnotify.Write { // writing alone makes no new file; the decisions beside the recordings are written often
			f.askScan(now)
		}
	}
}

// concerns reports whether a scan might find a recording at the name or below it.
func (f *follower) concerns(name string) bool {
	for _, p := range f.o.Paths {
		rel, err := filepath.Rel(p, name)
		if err != nil {
			continue
		}
		if rel == "." {
			return true
		}
		hidden := false // also true of what is outside: that begins with ..
		for part := range strings.SplitSeq(filepath.ToSlash(rel), "/") {
			hidden = hidden || strings.HasPrefix(part, ".")
		}
		if !hidden {
			return true
		}
	}
	return false
}

// wasHeard reports whether an event told of a new file, or of a folder that it came with.
func (f *follower) wasHeard(path string) bool {
	for {
		if _, ok := f.heard[path]; ok {
			return true
		}
		up := filepath.Dir(path)
		if up == path || len(f.heard) == 0 {
			return false
		}
		path = up
	}
}

// adopt takes over what was read already.
func (f *follower) adopt(known []Known) {
	for _, k := range known {
		key := filepath.Clean(k.Source.Path)
		f.files[key] = &file{source: k.Source, key: key, taken: true, sum: k.SHA256}
	}
	f.hush = true
}

// scan looks everything through: what is new, what is different, what is gone.
func (f *follower) scan(now time.Time) {
	f.round++
	paths, blind := f.survey()
	found, refusals, err := record.Find(paths)
	if err != nil { // a path went away since it was surveyed
		f.rest(now)
		f.askScan(now.Add(f.o.Settle))
		return
	}
	for _, s := range found {
		f.found(s, now)
	}
	clear(f.heard)
	hidden := f.refusals(refusals)
	for _, one := range f.files {
		if one.round != f.round && !isBelow(one.source.Path, blind) && !isBelow(one.source.Name, hidden) {
			f.absent(one, now)
		}
	}
	f.rest(now)
}

// rest sets the times of the scans to come.
func (f *follower) rest(began time.Time) {
	now := f.o.Now()
	cost := now.Sub(began)
	rest := max(cost, min(scanShare*cost, f.o.Rescan), scanRest)
	f.earliestScan = now.Add(rest)
	f.nextScan = now.Add(max(f.o.Rescan, rest))
	for _, one := range f.files {
		if !one.missing.IsZero() {
			f.askScan(one.missing.Add(f.o.Settle))
		}
	}
}

// survey returns the paths that can be looked through, and those that cannot although they may be there: what is below
// them is not gone. It watches their folders first, so that nothing arrives unheard after the look.
func (f *follower) survey() (paths, blind []string) {
	folders := map[string]os.FileInfo{}
	for _, p := range f.o.Paths {
		info, err := os.Stat(p)
		if err == nil && info.IsDir() {
			err = foldersOf(p, folders)
		} else {
			up := filepath.Dir(p) // where the file is replaced, or the folder appears
			if above, statErr := os.Stat(up); statErr == nil {
				folders[filepath.Clean(up)] = above
			}
		}
		trouble := ""
		switch {
		case err == nil:
			paths = append(paths, p)
		case errors.Is(err, fs.ErrNotExist):
			trouble = p + " is not there; it is looked for again and again"
		default:
			blind = append(blind, p)
			trouble = p + " cannot be looked into: " + plain(err)
		}
		f.tell(p, trouble, p+" is there again")
	}
	if f.ears != nil {
		trouble := ""
		if why := f.ears.attend(folders, len(f.files)); why != "" {
			trouble = fmt.Sprintf("new recordings are found by re-scan only, every %v: %s", f.o.Rescan, why)
		}
		f.tell(aboutEvents, trouble, "new recordings are found by the system's events again")
	}
	return paths, blind
}

// foldersOf adds a folder and those below it that are not hidden.
func foldersOf(root string, into map[string]os.FileInfo) error {
	real, err := filepath.EvalSymlinks(root)
	if err != nil {
		return err
	}
	return filepath.WalkDir(real, func(p string, d fs.DirEntry, err error) error {
		rel, relErr := filepath.Rel(real, p)
		switch {
		case relErr != nil:
			return relErr
		case err != nil && rel == ".":
			return err
		case err != nil || !d.IsDir():
			return nil //nolint:nilerr // what cannot be looked into is for the scan to tell
		case rel != "." && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		}
		if info, err := d.Info(); err == nil && len(into) <= mostFolders {
			into[filepath.Join(root, rel)] = info
		}
		return nil
	})
}

// tell makes a notice of a state that changed.
func (f *follower) tell(about, trouble, over string) {
	if f.state[about] == trouble {
		return
	}
	f.state[about] = trouble
	if trouble == "" {
		trouble = over
	}
	f.emit(Event{Kind: Notice, Text: trouble})
}

// refusals gives notice of what the scan cannot look into and could before, and returns the names of it all.
func (f *follower) refusals(refusals []record.Refusal) []string {
	now := map[string]struct{}{}
	var names []string
	for _, r := range refusals {
		if errors.Is(r.Err, fs.ErrNotExist) { // removed while it was looked at
			continue
		}
		names = append(names, filepath.FromSlash(r.Recording))
		now[r.Recording] = struct{}{}
		if _, old := f.refused[r.Recording]; !old && !f.hush {
			f.emit(Event{Kind: Notice, Text: r.Error()})
		}
	}
	f.refused, f.hush = now, false
	return names
}

// found is told of each file of a scan.
func (f *follower) found(s record.Source, now time.Time) {
	key := filepath.Clean(s.Path)
	one := f.files[key]
	if one == nil {
		if len(f.files) >= mostFiles {
			f.tell(aboutEvents+"files", fmt.Sprintf("there are more than %d files; the others are not followed", mostFiles), "")
			return
		}
		one = &file{source: s, key: key, since: now, heard: f.wasHeard(key), moving: true, round: f.round}
		f.files[key] = one
		f.pend(one, now)
		f.arriving(one, "it is being written")
		return
	}
	one.round = f.round
	if !one.missing.IsZero() { // removed and made again, so that its bytes are news whatever its size and time
		one.missing, one.touched = time.Time{}, now
		f.pend(one, now)
	}
	if one.source.Size != s.Size || !one.source.ModTime.Equal(s.ModTime) {
		f.pend(one, now)
	}
}

// absent is told of each file that a scan did not find. It is gone when it is still missing a while later: some programs
// remove a file to replace it, and a listing can miss a file that is renamed while it is made.
func (f *follower) absent(one *file, now time.Time) {
	if one.missing.IsZero() {
		one.missing = now
	} else if now.Sub(one.missing) >= f.o.Settle {
		f.gone(one)
	}
}

func (f *follower) gone(one *file) {
	delete(f.files, one.key)
	delete(f.pending, one)
	f.emit(Event{Kind: Gone, Source: one.source, SHA256: one.sum})
}

// isBelow reports whether a path is one of the others or below it.
func isBelow(path string, others []string) bool {
	for _, other := range others {
		rel, err := filepath.Rel(other, filepath.FromSlash(path))
		if err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
			return true
		}
	}
	return false
}

// plain is an error without the path that the person knows already.
func plain(err error) string {
	if where, ok := errors.AsType[*fs.PathError](err); ok {
		err = where.Err
	}
	return err.Error()
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
