// Package review is the reviewer's screen: the list of reps, the curve of the selected one, its stance, what the checks
// say, and the person's decision. It touches no disk: everything from outside comes as a function in Deps or as a
// message.
package review

import (
	"time"

	"charm.land/bubbles/v2/viewport"
	tea "charm.land/bubbletea/v2"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/theme"
)

// Deps are what the screen asks of the world. The functions may block; they are called in commands.
type Deps struct {
	// Samples reads a rep's recording again.
	Samples func(*quality.Rep) (*curve.Recording, error)
	// Append puts events into the ledger and returns them as written, after they are on disk.
	Append func([]quality.Event) ([]quality.Event, error)
	// Undo takes back the last decision and returns the undo.
	Undo func() (quality.Event, error)
	// History returns the history as the ledger has it now. It may be nil.
	History func() *quality.History
	// Elsewhere puts the whole history and the events that could not be saved into another place and goes on there. It
	// returns the events as written, and where. It may be nil.
	Elsewhere func(unsaved []quality.Event) (written []quality.Event, where string, err error)
	// Refresh returns the history anew where another process has added to it; nil when nothing changed. It may be nil
	// itself.
	Refresh func() (*quality.History, error)
	// Write writes the cleaned session and returns where.
	Write func(*quality.Session) (string, error)
	// Place remembers the selected rep for the next start.
	Place func(key quality.RepKey, id string)
	Now   func() time.Time
}

// Options are how the screen begins.
type Options struct {
	Title   string
	Theme   theme.Theme
	Method  curve.Method
	Limits  quality.Limits
	History *quality.History
	// Start is the rep to begin at, zero for the first undecided one.
	Start quality.RepKey
	// ReadOnly says why nothing can be decided, "" when it can.
	ReadOnly string
	// Notices are said once on the bottom line.
	Notices []string
	Cues    map[string]string
	Advance string
	InUnits Unit
	// Wanted is what a test asks of an athlete; no tally is shown without it.
	Wanted quality.Wanted
	// Roster is the order in which athletes are tested; empty for none.
	Roster []string
	// Blind hides verdicts and findings, so that a second reviewer judges by eye.
	Blind bool
	// Bell rings when a recording arrives.
	Bell bool
	// MouseOff leaves the mouse to the terminal.
	MouseOff bool
}

// A Unit is that of the force axis.
type Unit int

// The units.
const (
	Newtons Unit = iota
	BodyWeights
)

// A span is a part of the rep that is drawn.
type span int

// The spans, in the order that the view key steps through them.
const (
	spanJump span = iota
	spanLanding
	spanWhole
	spans
)

// lines say which forces are drawn.
type lines int

const (
	linesAll lines = iota
	linesLeft
	linesRight
	linesTotal
	linesLanes
	linesCount
)

// page is what fills the right side.
type page int

const (
	pageCurve page = iota
	pageNumbers
	pageReps
	pages
)

// A strip is a further picture below the curve.
type strip int

const (
	stripNone strip = iota
	stripDifference
	stripVelocity
	stripDisplacement
	stripPower
	strips
)

// An overlay is what lies behind the curve.
type overlay int

const (
	overlayNone overlay = iota
	overlayKept
	overlayBest
	overlays
)

// A Model is the state of the screen.
type Model struct {
	deps Deps
	opt  Options

	width, height int
	session       *quality.Session
	ahead         *quality.History   // the history with what is on its way to the disk; nil when that is nothing
	earlier       map[repName]string // the bytes on which a changed recording's rep was decided
	rows          []row
	at            int // index into rows
	moved         bool
	read, total   int
	loading       bool
	failed        error

	span      span
	lines     lines
	strip     strip
	overlay   overlay
	zero      zero
	scrolled  int    // rows of the page of numbers above the window
	zoomed    string // the phase that is zoomed to, "" for none
	filter    filter
	filterFor string // the athlete of filterAthlete
	marks     map[quality.RepKey]bool
	mouseOff  bool
	ownScale  bool
	unit      Unit
	page      page
	help      *viewport.Model // nil when help is closed
	cursor    int             // sample of the recording, -1 for none

	samples samplesMsg
	traces  map[traceKey]trace // other reps' totals, for overlays and the page of all reps
	picture *picture

	follow   bool // a recording that arrives is selected
	arriving []string
	restFrom map[string]time.Time // when an athlete last landed

	orders     []order // what the ledger is still to be told; the first is in flight unless stuck
	stuck      error
	justReject *quality.Rep // the rep that the last key rejected
	noting     *noting
	said       string // the bottom line's last word
	quitting   bool
	scale      scale
}

// An order is something for the ledger.
type order struct {
	events []quality.Event
	undo   bool
	// elsewhere asks for another place for all that is still in memory.
	elsewhere bool
}

// New returns the screen before anything was read.
func New(deps Deps, opt Options) *Model {
	if opt.History == nil {
		opt.History = &quality.History{}
	}
	m := &Model{deps: deps, opt: opt, loading: true, cursor: -1, unit: opt.InUnits, marks: map[quality.RepKey]bool{}, earlier: map[repName]string{}, traces: map[traceKey]trace{}, restFrom: map[string]time.Time{}, mouseOff: opt.MouseOff,
		session: &quality.Session{Title: opt.Title, History: opt.History}}
	if len(opt.Notices) > 0 {
		m.said = opt.Notices[len(opt.Notices)-1]
	}
	if opt.ReadOnly != "" {
		m.said = opt.ReadOnly
	}
	return m
}

// Init starts the clock that shows rest and what others decide.
func (m *Model) Init() tea.Cmd { return tick() }

// tickMsg is a second gone by.
type tickMsg struct{}

func tick() tea.Cmd { return tea.Tick(time.Second, func(time.Time) tea.Msg { return tickMsg{} }) }

// Session returns what the screen shows, for tests and for writing.
func (m *Model) Session() *quality.Session { return m.session }

// Unsaved returns the number of decisions that are not on disk.
func (m *Model) Unsaved() int { return len(m.orders) }

// Idle reports whether nothing is on its way: all is read, the selected rep's samples are there, and every decision is
// saved or stuck.
func (m *Model) Idle() bool {
	if m.loading || (len(m.orders) > 0 && m.stuck == nil) {
		return false
	}
	rep := m.selected().rep
	return rep == nil || (m.samples.key == rep.Key() && m.samples.file == rep.Recording)
}

// selected returns the row under the cursor; an empty row when there is none.
func (m *Model) selected() row {
	if m.at < 0 || m.at >= len(m.rows) {
		return row{}
	}
	return m.rows[m.at]
}

// history is what stands, decisions on their way to the disk included.
func (m *Model) history() *quality.History {
	if m.ahead != nil {
		return m.ahead
	}
	return m.session.History
}

// lookAhead makes the history with everything that is on its way to the disk, in the order of the keys.
func (m *Model) lookAhead() {
	m.picture = nil
	if m.ahead = nil; len(m.orders) == 0 {
		return
	}
	h, err := quality.Replay(m.session.History.Events())
	if err != nil {
		return
	}
	for _, o := range m.orders {
		if o.undo {
			if last, ok := h.LastUndoable(); ok {
				_ = h.Apply(quality.Event{Seq: h.NextSeq(), Action: quality.ActUndo, Undoes: last.Seq, Key: last.Key}) // it was just found to be undoable
			}
		}
		group := h.NextSeq()
		for _, e := range o.events {
			e.Seq = h.NextSeq()
			if len(o.events) > 1 {
				e.Group = group
			}
			if h.Apply(e) != nil {
				return
			}
		}
	}
	m.ahead = h
}

// decision returns what stands for a rep, and whether something about it is still on its way to the disk.
func (m *Model) decision(rep *quality.Rep) (d quality.Decision, saving bool) {
	key := rep.Key()
	if m.onEarlierBytes(rep) {
		key = m.earlierKey(rep)
	}
	for _, o := range m.orders {
		for _, e := range o.events {
			saving = saving || e.Key == key
		}
	}
	return m.history().Decision(key), saving
}

// A repName names a rep by its file, whatever bytes the file holds.
type repName struct {
	recording string
	number    int
}

func nameOf(r *quality.Rep) repName { return repName{r.Recording, r.Curve.Number} }

// earlierKey is the rep before its recording changed.
func (m *Model) earlierKey(rep *quality.Rep) quality.RepKey {
	return quality.RepKey{SHA256: m.earlier[nameOf(rep)], Number: rep.Curve.Number}
}

// onEarlierBytes reports whether what stands for a rep was decided before its recording changed, and nothing since.
func (m *Model) onEarlierBytes(rep *quality.Rep) bool {
	sha := m.earlier[nameOf(rep)]
	return sha != "" && sha != rep.SHA256 && !m.history().Spoken(rep.Key()) && m.history().Spoken(m.earlierKey(rep))
}
