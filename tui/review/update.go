package review

import (
	"fmt"

	tea "charm.land/bubbletea/v2"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/keymap"
)

// Update takes in a message. Anything that may wait for a disk is returned as a command.
func (m *Model) Update(msg tea.Msg) (*Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.picture = nil
		if m.help != nil {
			m.openHelp()
		}
		return m, nil
	case ArrivedMsg:
		return m, m.arrived(msg)
	case FollowedMsg:
		return m, m.followed(msg)
	case tickMsg:
		return m, m.ticked()
	case refreshedMsg:
		return m, m.refreshed(msg)
	case FailedMsg:
		if m.loading {
			m.failed, m.loading = msg.Err, false
		} else {
			m.said = "the folder is no longer followed: " + msg.Err.Error()
		}
		return m, nil
	case samplesMsg:
		m.tookSamples(msg)
		return m, nil
	case tracesMsg:
		m.tookTraces(msg)
		return m, nil
	case savedMsg:
		return m, m.saved(msg)
	case tea.MouseClickMsg:
		return m, m.clicked(msg.Mouse())
	case tea.MouseWheelMsg:
		return m, m.wheeled(msg.Mouse())
	case wroteMsg:
		m.wrote(msg)
		return m, nil
	case tea.PasteMsg:
		if m.noting != nil {
			return m, m.typed(msg)
		}
		return m, nil
	case tea.KeyPressMsg:
		return m, m.pressed(msg)
	}
	return m, nil
}

// arrived takes in recordings. The list grows at its end and the selection stays where it is, unless it never moved and
// the rep to begin at has come.
func (m *Model) arrived(msg ArrivedMsg) tea.Cmd {
	for _, a := range msg.Arrivals {
		m.session.Add(a.Source, a.Reps, a.Refused)
	}
	m.read, m.total = msg.Read, msg.Total
	if msg.Done {
		m.loading = false
	}
	if msg.Done || len(msg.Arrivals) > 0 {
		m.judgeAgain()
	}
	before := m.selected()
	m.rows = m.listRows()
	m.at = m.find(before)
	if !m.moved {
		m.begin(msg.Done)
	}
	if !m.selected().same(before) {
		return m.fetch()
	}
	return nil
}

// begin rests the selection on the rep to begin at, or on the first undecided one.
func (m *Model) begin(done bool) {
	for i, r := range m.rows {
		if r.rep != nil && m.opt.Start != (quality.RepKey{}) && r.rep.Key() == m.opt.Start {
			m.at, m.moved = i, true
			return
		}
	}
	if m.opt.Start == (quality.RepKey{}) || done || !m.selected().selectable() {
		m.at = m.openFrom(-1, 1)
		if m.at < 0 {
			m.at = m.selectableFrom(-1, 1)
		}
	}
}

// find returns where a row is now.
func (m *Model) find(want row) int {
	for i, r := range m.rows {
		if r.selectable() && r.same(want) {
			return i
		}
	}
	if m.at < len(m.rows) {
		return m.at
	}
	return len(m.rows) - 1
}

// fetch asks for the samples of the selected rep.
func (m *Model) fetch() tea.Cmd {
	m.picture, m.cursor, m.scrolled = nil, -1, 0
	rep := m.selected().rep
	if rep == nil {
		m.samples = samplesMsg{}
		return nil
	}
	return tea.Batch(m.fetchSamples(rep), m.wantTraces())
}

// fetchSamples asks for the samples of a rep.
func (m *Model) fetchSamples(rep *quality.Rep) tea.Cmd {
	key, samples, method := rep.Key(), m.deps.Samples, m.opt.Method
	if m.deps.Place != nil {
		m.deps.Place(key, rep.ID)
	}
	if m.samples.key.SHA256 == key.SHA256 && m.samples.file == rep.Recording && m.samples.rec != nil {
		m.samples = traced(samplesMsg{key: key, file: rep.Recording, rec: m.samples.rec}, rep, method)
		return nil
	}
	return func() tea.Msg {
		rec, err := samples(rep)
		msg := samplesMsg{key: key, file: rep.Recording, rec: rec, err: err}
		if err != nil {
			return msg
		}
		return traced(msg, rep, method)
	}
}

func (m *Model) tookSamples(msg samplesMsg) {
	if rep := m.selected().rep; rep != nil && rep.Key() == msg.key && rep.Recording == msg.file {
		m.samples, m.picture = msg, nil
	}
}

// state is what the keys look at.
func (m *Model) state() keymap.State {
	sel := m.selected()
	s := keymap.State{HasReps: len(m.rows) > 0, OnRep: sel.rep != nil, ReadOnly: m.opt.ReadOnly, Unsaved: m.stuck != nil,
		CursorOn: m.cursor >= 0}
	if sel.rep != nil {
		d, _ := m.decision(sel.rep)
		s.Decided = d.Choice != quality.Undecided
		s.HasCurve = m.samples.rec != nil && m.samples.key == sel.rep.Key()
		s.HasSides = sel.rep.Plates == 2
	}
	s.JustReject = m.justReject != nil
	_, s.CanUndo = m.history().LastUndoable()
	s.Marked, s.Zoomed = len(m.marks), m.zoomed != ""
	s.MarkedThis = sel.rep != nil && m.marks[sel.rep.Key()]
	return s
}

// pressed finds the action of a key. A key that cannot be pressed now says why.
func (m *Model) pressed(msg tea.KeyPressMsg) tea.Cmd {
	if m.noting != nil {
		return m.typed(msg)
	}
	key := msg.String()
	if m.quitting {
		return m.quitAnswer(key)
	}
	if m.help != nil {
		return m.helpKey(msg)
	}
	b, ok := keymap.Find(key)
	m.said = ""
	if !ok {
		return nil
	}
	if b.Why != nil {
		if why := b.Why(m.state()); why != "" {
			m.said = why
			return nil
		}
	}
	if b.Action != keymap.Reason && b.Action != keymap.Reject {
		m.justReject = nil
	}
	if m.page == pageReps {
		if cmd, done := m.moveOnPage(b.Action); done {
			return cmd
		}
	}
	return m.act(b.Action, key)
}

// moveOnPage moves the selection on the page of all reps, where the arrows follow the thumbnails.
func (m *Model) moveOnPage(a keymap.Action) (cmd tea.Cmd, done bool) {
	columns, _, _ := pageShape(m.width-m.listWidth()-1, m.listHeight())
	steps := map[keymap.Action]int{keymap.CursorFwd: 1, keymap.CursorBack: -1, keymap.Down: columns, keymap.Up: -columns}
	step, ok := steps[a]
	if !ok {
		return nil, false
	}
	reps := m.groupReps()
	for i, r := range reps {
		if r != m.selected().rep {
			continue
		}
		if to := i + step; to >= 0 && to < len(reps) {
			return m.selectRep(reps[to]), true
		}
	}
	if a == keymap.Down || a == keymap.Up { // past the last row: the next athlete
		return m.move(a), true
	}
	return nil, true
}

// selectRep moves the selection to a rep.
func (m *Model) selectRep(rep *quality.Rep) tea.Cmd {
	for i, r := range m.rows {
		if r.rep == rep && i != m.at {
			m.at, m.moved = i, true
			return m.fetch()
		}
	}
	return nil
}

// act does what a key asks for.
func (m *Model) act(a keymap.Action, key string) tea.Cmd {
	switch a {
	case keymap.Up, keymap.Down, keymap.PageUp, keymap.PageDown, keymap.First, keymap.Last, keymap.NextOpen, keymap.PrevOpen:
		return m.move(a)
	case keymap.Keep, keymap.Reject, keymap.Clear, keymap.Reason, keymap.Undo, keymap.Retry, keymap.Elsewhere, keymap.Note:
		return m.decide(a, key)
	case keymap.Mark, keymap.Unmark, keymap.KeepAll, keymap.RejectAll:
		return m.markKey(a)
	case keymap.View, keymap.Lines, keymap.Scale, keymap.Unit, keymap.Page, keymap.Strip, keymap.Overlay, keymap.Align,
		keymap.Zoom, keymap.ZoomOut:
		return m.look(a)
	case keymap.Filter:
		return m.nextFilter()
	case keymap.Follow:
		m.follow = !m.follow
		m.said = map[bool]string{true: "following: a recording that arrives is selected", false: "not following: the selection stays"}[m.follow]
	case keymap.Mouse:
		m.mouseOff = !m.mouseOff
		m.said = map[bool]string{true: "mouse off: the terminal selects text", false: "mouse on: click selects, wheel moves"}[m.mouseOff]
	case keymap.CursorFwd, keymap.CursorBack, keymap.CursorNext, keymap.CursorPrev, keymap.CursorOff:
		m.moveCursor(a)
	case keymap.Write:
		return m.write()
	case keymap.Help:
		m.openHelp()
	case keymap.Suspend:
		return tea.Suspend
	case keymap.Quit:
		return m.quit()
	case keymap.None:
	}
	return nil
}

// look changes how the curve is drawn.
func (m *Model) look(a keymap.Action) tea.Cmd {
	m.picture = nil
	switch a { //nolint:exhaustive // only the actions that act hands over
	case keymap.View:
		m.span, m.zoomed = (m.span+1)%spans, ""
	case keymap.Strip:
		m.strip = (m.strip + 1) % strips
		if m.strip == stripDifference && !m.state().HasSides {
			m.strip++
		}
	case keymap.Overlay:
		m.overlay = (m.overlay + 1) % overlays
		if m.overlay != overlayNone && len(m.others(m.selected().rep)) == 0 {
			m.said = "nothing to lay behind: the athlete has no other kept rep"
		}
	case keymap.Align:
		m.zero = (m.zero + 1) % zeros
		m.said = "time zero: " + m.zero.String()
	case keymap.Zoom:
		m.zoomed = nextPhase(m.selected().rep, m.zoomed)
	case keymap.ZoomOut:
		m.zoomed = ""
	case keymap.Lines:
		m.lines = (m.lines + 1) % linesCount
	case keymap.Scale:
		m.ownScale = !m.ownScale
	case keymap.Unit:
		m.unit = Newtons + BodyWeights - m.unit
	case keymap.Page:
		m.page = (m.page + 1) % pages
	}
	return m.wantTraces()
}

// nextPhase is the phase after one in the order of time, the first after the last or after none.
func nextPhase(rep *quality.Rep, after string) string {
	var names []string
	for _, p := range rep.Curve.Phases {
		if p.Name != curve.PhaseWeighing {
			names = append(names, p.Name)
		}
	}
	for i, n := range names {
		if n == after && i+1 < len(names) {
			return names[i+1]
		}
	}
	if len(names) == 0 {
		return ""
	}
	return names[0]
}

// move changes the selection.
func (m *Model) move(a keymap.Action) tea.Cmd {
	m.moved = true
	before := m.at
	listed := max(1, m.listHeight()-2)
	switch a { //nolint:exhaustive // only the actions that act hands over
	case keymap.Up:
		m.at = m.orStay(m.selectableFrom(m.at, -1))
	case keymap.Down:
		m.at = m.orStay(m.selectableFrom(m.at, 1))
	case keymap.PageUp:
		if m.page == pageNumbers {
			m.scrolled, m.picture = max(0, m.scrolled-m.listHeight()/2), nil
			return nil
		}
		if to := m.selectableFrom(max(m.at-listed, 0)+1, -1); to >= 0 {
			m.at = to
		} else {
			m.at = m.orStay(m.selectableFrom(-1, 1))
		}
	case keymap.PageDown:
		if m.page == pageNumbers {
			m.scrolled, m.picture = m.scrolled+m.listHeight()/2, nil
			return nil
		}
		m.at = m.orStay(m.selectableFrom(min(m.at+listed, len(m.rows)-1)-1, 1))
	case keymap.First:
		m.at = m.orStay(m.selectableFrom(-1, 1))
	case keymap.Last:
		m.at = m.orStay(m.selectableFrom(len(m.rows), -1))
	case keymap.NextOpen, keymap.PrevOpen:
		step := 1
		if a == keymap.PrevOpen {
			step = -1
		}
		if open := m.openFrom(m.at, step); open >= 0 {
			m.at = open
		} else {
			m.said = "no undecided rep is left that way"
		}
	}
	if m.at == before {
		return nil
	}
	return m.fetch()
}

func (m *Model) orStay(at int) int {
	if at < 0 {
		return m.at
	}
	return at
}

// selectableFrom returns the next row in a direction that the selection can rest on; -1 when there is none.
func (m *Model) selectableFrom(at, step int) int {
	for i := at + step; i >= 0 && i < len(m.rows); i += step {
		if m.rows[i].selectable() {
			return i
		}
	}
	return -1
}

// openFrom returns the next undecided rep in a direction; -1 when there is none.
func (m *Model) openFrom(at, step int) int {
	for i := at + step; i >= 0 && i < len(m.rows); i += step {
		if rep := m.rows[i].rep; rep != nil {
			if d, _ := m.decision(rep); d.Choice == quality.Undecided {
				return i
			}
		}
	}
	return -1
}

// quit leaves at once when everything is saved, and asks otherwise.
func (m *Model) quit() tea.Cmd {
	if len(m.orders) == 0 {
		return tea.Quit
	}
	m.quitting = true
	return nil
}

// quitAnswer takes the answer to the question of leaving with unsaved decisions.
func (m *Model) quitAnswer(key string) tea.Cmd {
	m.quitting = false
	switch key {
	case "Q":
		return tea.Quit
	case "r":
		if m.stuck != nil {
			return m.decide(keymap.Retry, key)
		}
	case "p":
		if m.stuck != nil {
			return m.decide(keymap.Elsewhere, key)
		}
	default:
		m.said = fmt.Sprintf("still here; %d decisions are NOT SAVED", len(m.orders))
	}
	return nil
}

// Interrupted is what an interrupt from outside asks for: to leave, unless decisions are not saved.
func (m *Model) Interrupted() tea.Cmd { return m.quit() }
