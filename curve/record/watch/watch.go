// Package watch follows a folder of recordings while more of them arrive.
//
// Two things are done, always both: the file system's events are heard, and everything is looked through again every two
// seconds. Events are quick but cannot be relied on: shares on a network send none, queues overflow, watches run out. So
// an event is never more than a hint to look now; what is true is what the look finds.
//
// A recording that is read while it is still being written is a wrong recording, so each file is first reported as
// arriving, and as whole once it has been quiet for a while and its content shows no sign of more to come. What signs there
// are is in content.go; how long quiet must last is in file.go. A file whose bytes change later is reported as changed.
// Nobody can tell a writer that pauses at the end of a line from one that is done: such a file is reported whole too early
// and changed when the writer goes on, never left as it was.
//
// What is kept in mind is one small record for each file that is there, so memory does not grow with time or events.
package watch

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"

	"plateside/curve/record"
)

// A Kind is what happened to a recording.
type Kind int

const (
	// Arriving says that the file is there but not complete; Text says what is missing. It is said again when that changes.
	Arriving Kind = iota
	// Whole says that the file is complete and can be read. It is said once for a path, until the file is gone.
	Whole
	// Changed says that a file that was whole is complete again with other bytes.
	Changed
	// Gone says that the file was removed or has another name now. One that comes back arrives anew, whatever its bytes.
	Gone
	// Notice says, in Text, something about the following itself; there is no source.
	Notice
)

// String returns the kind as a word.
func (k Kind) String() string {
	switch k {
	case Arriving:
		return "arriving"
	case Whole:
		return "whole"
	case Changed:
		return "changed"
	case Gone:
		return "gone"
	case Notice:
		return "notice"
	}
	return "unknown"
}

// An Event is one thing that happened.
type Event struct {
	Kind   Kind
	Source record.Source
	// SHA256 is that of the bytes that were complete, in hexadecimal; for a file that is gone, of those last reported. It
	// is empty where the file is not read, being larger than MaxBytes or no ordinary file.
	SHA256 string
	// Text is a plain sentence or empty.
	Text string
}

// A Known is a recording that was read before the following began.
type Known struct {
	Source record.Source
	// SHA256 is that of its bytes in hexadecimal; empty when nobody knows, and then any change of size or time counts.
	SHA256 string
}

// Options say what is followed and how patiently. Zero durations are the defaults.
type Options struct {
	// Paths are what record.Find was given: folders, followed with their sub-folders, and files.
	Paths []string
	// Known is what was read already; it is not reported again unless it changed or is gone.
	Known []Known
	// Rescan is the time between two looks at everything; 2 s.
	Rescan time.Duration
	// Settle is how long a file must be quiet that events tell of; 300 ms, so that a recording is there within a second.
	Settle time.Duration
	// Patience is how long any other file must be quiet, or one that looks unfinished; 2 s.
	Patience time.Duration
	// MaxBytes bounds the files whose bytes are looked at; record.DefaultMaxBytes.
	MaxBytes int64
	// NoEvents leaves the events out.
	NoEvents bool
	// Now is the clock, and must be given.
	Now func() time.Time
	// After is the timer that goes with the clock; time.After.
	After func(time.Duration) <-chan time.Time
}

func (o *Options) setDefaults() {
	o.Rescan = cmp.Or(o.Rescan, 2*time.Second)
	o.Settle = cmp.Or(o.Settle, 300*time.Millisecond)
	o.Patience = cmp.Or(o.Patience, 2*time.Second)
	o.MaxBytes = cmp.Or(o.MaxBytes, record.DefaultMaxBytes)
	if o.After == nil {
		o.After = time.After
	}
}

// A Watcher follows recordings.
type Watcher struct {
	o    Options
	open func() (*fsnotify.Watcher, error)
}

// New makes a watcher. It does nothing until Run.
func New(o Options) *Watcher {
	o.setDefaults()
	return &Watcher{o: o, open: fsnotify.NewWatcher}
}

// Run follows until the context ends, which is no error. It calls emit for one event after the other and waits for it;
// what happens meanwhile is not lost. Nothing that it started is left when it returns. On a share that hangs it returns
// when the call to the share does.
func (w *Watcher) Run(ctx context.Context, emit func(Event)) error {
	if w.o.Now == nil {
		return errors.New("watch: no clock")
	}
	f := &follower{
		o: w.o, emit: emit, files: map[string]*file{}, pending: map[*file]struct{}{}, heard: map[string]struct{}{},
		refused: map[string]struct{}{}, state: map[string]string{}, buffer: make([]byte, headBytes),
	}
	if !w.o.NoEvents {
		f.ears = &ears{open: w.open, signal: make(chan struct{}, 1)}
		defer f.ears.close()
	}
	f.adopt(w.o.Known)
	for ctx.Err() == nil {
		f.turn(ctx)
		f.sleep(ctx)
	}
	return nil
}

// A follower is what one run keeps in mind.
type follower struct {
	o       Options
	emit    func(Event)
	ears    *ears // nil when events are left out
	files   map[string]*file
	pending map[*file]struct{}  // those to be looked at before the next scan finds them different
	heard   map[string]struct{} // names that events told of since the last scan and that are not in files
	refused map[string]struct{} // what the last scan could not look into
	state   map[string]string   // of each path, and of the events: the trouble that was told last
	buffer  []byte
	round   uint64 // counts scans

	nextScan, earliestScan, nextHearing time.Time
	// hush ends the first scan's silence about what could not be looked into: whoever gave Known has seen it.
	hush bool
}

// hearingRest is the time between two hearings. A writer of many small pieces makes thousands of events a second, and
// nobody is served by a look at each.
const hearingRest = 10 * time.Millisecond

// turn does what is due.
func (f *follower) turn(ctx context.Context) {
	now := f.o.Now()
	if f.ears != nil && !now.Before(f.nextHearing) {
		f.listen(now)
		f.nextHearing = now.Add(hearingRest)
	}
	if !now.Before(f.nextScan) {
		f.scan(now)
	}
	for _, one := range f.due() {
		if ctx.Err() != nil {
			return
		}
		if f.files[one.key] == one { // not found gone meanwhile
			f.look(one, f.o.Now())
		}
	}
}

// due returns the files to be looked at now, those that were quiet longest first.
func (f *follower) due() []*file {
	now := f.o.Now()
	var out []*file
	for one := range f.pending {
		if !one.next.After(now) {
			out = append(out, one)
		}
	}
	slices.SortFunc(out, func(a, b *file) int {
		return cmp.Or(a.since.Compare(b.since), cmp.Compare(a.source.Path, b.source.Path))
	})
	return out
}

// sleep waits for what comes first: a scan, a look, a sound, the end.
func (f *follower) sleep(ctx context.Context) {
	now := f.o.Now()
	until := f.nextScan
	for one := range f.pending {
		if one.next.Before(until) {
			until = one.next
		}
	}
	var sound <-chan struct{}
	if f.ears != nil {
		if now.Before(f.nextHearing) {
			if f.nextHearing.Before(until) {
				until = f.nextHearing
			}
		} else {
			sound = f.ears.signal
		}
	}
	select {
	case <-ctx.Done():
	case <-sound:
	case <-f.o.After(until.Sub(now)):
	}
}

// askScan brings the next scan forward.
func (f *follower) askScan(at time.Time) {
	if at.Before(f.earliestScan) {
		at = f.earliestScan
	}
	if at.Before(f.nextScan) {
		f.nextScan = at
	}
}
