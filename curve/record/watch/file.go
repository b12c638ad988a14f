package watch

import (
	"errors"
	"io/fs"
	"os"
	"time"

	"plateside/curve/record"
)

const (
	// stall and pause are how many times the patience a file must be quiet that shows zeros where data should be: a text
	// with zeros at its end or inside, and a C3D file with zeros at its end, which may be what the plates gave. A copy over
	// a network can stop for many seconds after the size was reserved; a file that is really padded is read after that.
	stall = 15
	pause = 3
	// gaps is how many times the longest pause that a writer made so far is waited for; at most the patience, or for a file
	// that is to be there within a second, mostSettles/2 times the settling.
	gaps        = 2
	mostSettles = 5
	// lookRest is the shortest time between two looks at a file.
	lookRest = 20 * time.Millisecond
	// confirmAfter is how many times the patience later a whole file is read once more. File systems with coarse times do
	// not show a second change within a tick, and shares may show an old copy.
	confirmAfter = 2
)

// A file is one recording that is there.
type file struct {
	source record.Source // as it was looked at last
	key    string

	taken bool   // reported whole
	sum   string // hash of the bytes that were reported; empty when unknown
	last  string // hash of the bytes at the last look, when nothing changed since that one can see

	since   time.Time // when it changed last
	touched time.Time // when an event told of it last
	looked  time.Time
	next    time.Time // when to look again, while pending
	missing time.Time // since when it is missing; zero when it is not

	gap  time.Duration // the longest quiet after which the writer went on
	need time.Duration // quiet that doubts ask for

	heard    bool // events tell of it
	moving   bool // it changed, and was not taken since
	zeros    bool // its end was zeros at the last look
	reserved bool // its end was zeros at some look
	altered  bool // its size or time changed since it was reported
	reason   string
	round    uint64
}

// quiet returns how long the file must not have changed. One that was reported whole and changes all the same is not in
// a hurry: its writer may pause again.
func (one *file) quiet(o *Options) time.Duration {
	d, most := o.Settle, o.Settle*mostSettles/2
	if !one.heard || one.reserved || one.taken {
		d, most = o.Patience, o.Patience
	}
	return max(d, min(gaps*one.gap, most), one.need)
}

// pend sees to it that a file is looked at.
func (f *follower) pend(one *file, at time.Time) {
	if _, ok := f.pending[one]; !ok || at.Before(one.next) {
		one.next = at
	}
	f.pending[one] = struct{}{}
}

// look looks at a file: first at its size and time alone, then, when it was quiet for long enough, at its bytes.
func (f *follower) look(one *file, now time.Time) {
	one.looked = now
	info, err := os.Stat(one.source.Path)
	if errors.Is(err, fs.ErrNotExist) {
		one.next = now.Add(f.o.Patience)
		f.askScan(now)
		return
	}
	if err != nil {
		f.unreadable(one, now, err)
		return
	}
	differs := info.Size() != one.source.Size || !info.ModTime().Equal(one.source.ModTime)
	if differs || one.touched.After(one.since) {
		one.changed(now, info)
	}
	if now.Sub(one.since) < one.quiet(&f.o) {
		f.again(one, now)
		return
	}
	if info.Size() == 0 {
		f.doubt(one, now, finding{doubt: "it is empty", wait: stall})
		return
	}
	if !info.Mode().IsRegular() || info.Size() > f.o.MaxBytes {
		f.doubt(one, now, finding{sum: "", doubt: "it is not looked into", wait: 1})
		return
	}
	zerosAllowed := now.Sub(one.since) >= stall*f.o.Patience
	found, err := inspect(one.source.Path, info, f.buffer, zerosAllowed)
	switch {
	case errors.Is(err, errMoving):
		one.changed(f.o.Now(), info)
		f.again(one, now)
	case err != nil:
		f.unreadable(one, now, err)
	default:
		f.judge(one, now, found)
	}
}

// changed begins the quiet anew.
func (one *file) changed(now time.Time, info os.FileInfo) {
	if one.moving && one.source.Size > 0 { // a file is often made empty long before its bytes come
		one.gap = max(one.gap, now.Sub(one.since))
	}
	if info.Size() != one.source.Size || !info.ModTime().Equal(one.source.ModTime) {
		one.altered = true
	}
	one.source.Size, one.source.ModTime = info.Size(), info.ModTime()
	one.since, one.moving = now, true
	one.renew()
}

func (one *file) renew() { one.need, one.last = 0, "" }

// again sets the time of the next look: often enough to see a writer pause and go on, less often the longer it is quiet.
func (f *follower) again(one *file, now time.Time) {
	quiet := now.Sub(one.since)
	rest := f.o.Patience / 4
	if quiet > stall*f.o.Patience { // such as a file that stays empty
		rest = f.o.Rescan
	}
	at := now.Add(max(f.o.Settle/4, min(quiet/4, rest), lookRest))
	if full := one.since.Add(one.quiet(&f.o)); full.After(now) && full.Before(at) {
		at = full
	}
	one.next = at
}

// judge decides by what was found in the bytes.
func (f *follower) judge(one *file, now time.Time, found finding) {
	if one.zeros && !found.zeros { // the data came, though size and time may be as before
		one.zeros, one.since = false, now
		one.renew()
		f.again(one, now)
		return
	}
	one.zeros = found.zeros
	one.reserved = one.reserved || found.zeros
	if one.last != "" && found.sum != "" && one.last != found.sum {
		one.since = now
		one.renew()
	}
	one.last = found.sum
	f.doubt(one, now, found)
}

// doubt takes the file when it was quiet for as long as the doubt asks for.
func (f *follower) doubt(one *file, now time.Time, found finding) {
	one.need = time.Duration(found.wait) * f.o.Patience
	empty := one.source.Size == 0
	if now.Sub(one.since) >= one.quiet(&f.o) && (!empty || one.taken) {
		f.take(one, now, found.sum)
		return
	}
	f.arriving(one, found.doubt)
	f.again(one, now)
}

func (f *follower) unreadable(one *file, now time.Time, err error) {
	f.arriving(one, "it cannot be read: "+plain(err))
	one.next = now.Add(f.o.Patience)
}

// arriving reports a file that is not whole. One that was whole before keeps that report until it is whole again.
func (f *follower) arriving(one *file, reason string) {
	if !one.taken && one.reason != reason {
		one.reason = reason
		f.emit(Event{Kind: Arriving, Source: one.source, Text: reason})
	}
}

// take reports a file that is whole, unless the same bytes were reported before.
func (f *follower) take(one *file, now time.Time, sum string) {
	kind, same := Whole, false
	if one.taken {
		kind, same = Changed, one.holds(sum)
	} else {
		f.renamed(sum)
	}
	one.taken, one.sum, one.altered, one.moving = true, sum, false, false
	one.gap, one.reserved, one.reason = 0, false, ""
	one.renew()
	delete(f.pending, one)
	if !same {
		if sum != "" {
			f.pend(one, now.Add(confirmAfter*f.o.Patience))
			one.last = sum // other bytes then begin a quiet of their own
		}
		f.emit(Event{Kind: kind, Source: one.source, SHA256: sum})
	}
}

// holds reports whether a file that was reported has the same bytes, as far as one knows.
func (one *file) holds(sum string) bool {
	if sum == "" || one.sum == "" {
		return !one.altered
	}
	return sum == one.sum
}

// renamed lets the old name of a file go before the new one is reported: the bytes are the same, and those just missing.
func (f *follower) renamed(sum string) {
	for _, other := range f.files {
		if sum != "" && !other.missing.IsZero() && other.sum == sum {
			f.gone(other)
		}
	}
}
