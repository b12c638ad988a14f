// Package cleaned writes the file that a review ends in: kept reps with their force and metrics, every rep with its
// decision and the reasons, the history of decisions, the method, and where everything came from. It also reads such a
// file back, to verify it and to say what changed since.
//
// The file is a zip that is a Data Package, version 2 (datapackage.org), and can be read by programs that know version
// 1. Inside is plain CSV. Equal input gives equal bytes.
package cleaned

import (
	"errors"
	"io"
	"time"

	"plateside/curve"
	"plateside/quality"
)

// Options say what a session does not know of itself.
type Options struct {
	// Program and Version are who writes.
	Program, Version string
	// Method is every choice and limit in force, see Settings.
	Method []Setting
	// Created is written into the file. Zero means the time of the last decision, so that the same decisions give the
	// same bytes whenever they are written.
	Created time.Time
	// Force reads the recording of a kept rep again. Its SHA256 must be the rep's.
	Force func(*quality.Rep) (*curve.Recording, error)
	// Pseudonyms are what to write in place of athletes' names. Where it is not nil every athlete must have one, and the
	// names are replaced in all text: file names, rep identifiers, notes. A recording whose athlete is not known is
	// called by its hash.
	Pseudonyms map[string]string
}

// A Setting is one choice or limit in force.
type Setting struct {
	Key string `json:"key"`
	// Value is a number or a word.
	Value  any    `json:"value"`
	Unit   string `json:"unit,omitempty"`
	Source string `json:"source,omitempty"`
	// SetIn names what set it, such as a settings file; empty for the default. Folders are not written.
	SetIn string `json:"set_in,omitempty"`
}

// Settings lists a method and limits. The map says where a key of the method was set; limits know it themselves.
func Settings(m curve.Method, limits quality.Limits, setIn map[string]string) []Setting {
	out := make([]Setting, 0, 2+len(m.Parameters())+len(limits.Rows()))
	out = append(out, Setting{Key: "onset", Value: m.Onset, SetIn: setIn["onset"]},
		Setting{Key: "weighing", Value: m.Weighing, SetIn: setIn["weighing"]})
	for _, p := range m.Parameters() {
		out = append(out, Setting{Key: p.Key, Value: *p.Value, Unit: p.Unit, Source: p.Source, SetIn: setIn[p.Key]})
	}
	for _, l := range limits.Rows() {
		out = append(out, Setting{Key: "limit." + l.Key, Value: l.Value, Unit: l.Unit, Source: l.Source, SetIn: l.SetIn})
	}
	return out
}

// Write writes the cleaned session. It reads the samples of every kept rep through o.Force, one recording at a time, and
// fails with the recording's name when one cannot be read or has other bytes than those that were judged.
func Write(w io.Writer, s *quality.Session, o Options) error {
	b, err := newBook(s, o)
	if err != nil {
		return err
	}
	p := newPacker(w)
	p.folder("force/")
	p.folder("schema/")
	for _, t := range b.tables() {
		p.table(t)
	}
	p.file("schema/force.json", asJSON(schemaOf(forceTable())))
	if err := b.packForce(p); err != nil {
		return err
	}
	p.file("README.txt", b.readme())
	p.file("datapackage.json", asJSON(b.descriptor(p.packed)))
	return p.close()
}

// A book is a session on its way into a file.
type book struct {
	session *quality.Session
	options Options
	names   *pseudonyms
	entries []entry
	byKey   map[quality.RepKey]string // rep_id of the reps in the session
	history *quality.History
}

// An entry is a rep with the names it has in the file.
type entry struct {
	rep       *quality.Rep
	decision  quality.Decision
	id        string
	recording string
	// force is the path of its samples; empty unless it is kept.
	force string
}

func newBook(s *quality.Session, o Options) (*book, error) {
	b := &book{session: s, options: o, history: s.History, byKey: map[quality.RepKey]string{}}
	if b.history == nil {
		b.history = &quality.History{}
	}
	var err error
	if b.names, err = newPseudonyms(s, o.Pseudonyms); err != nil {
		return nil, err
	}
	ids, files := newNames(false), newNames(true)
	for _, r := range s.Reps {
		e := entry{rep: r, decision: b.history.Decision(r.Key()), recording: b.names.recording(r.Recording, r.Athlete, r.SHA256)}
		e.id = ids.unique(clean(b.names.rep(r.ID, r.Athlete, r.Key())), "")
		if e.decision.Choice == quality.Keep {
			if o.Force == nil {
				return nil, errors.New("there is no way to the samples of kept reps")
			}
			e.force = "force/" + files.unique(safeName(e.id), ".csv")
		}
		if _, taken := b.byKey[r.Key()]; !taken {
			b.byKey[r.Key()] = e.id
		}
		b.entries = append(b.entries, e)
	}
	return b, nil
}

// kept returns the entries that were decided to be kept.
func (b *book) kept() []entry {
	var out []entry
	for _, e := range b.entries {
		if e.decision.Choice == quality.Keep {
			out = append(out, e)
		}
	}
	return out
}

// created returns the time that the file carries.
func (b *book) created() time.Time {
	at := b.options.Created
	if events := b.history.Events(); at.IsZero() && len(events) > 0 {
		at = events[len(events)-1].At
	}
	return at.UTC().Truncate(time.Second)
}
