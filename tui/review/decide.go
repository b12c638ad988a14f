package review

import (
	"fmt"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"plateside/quality"
	"plateside/tui/keymap"
)

// A Reason is what a rejection can give: as it is written, and in a word for the bottom line.
type Reason struct{ Text, Short string }

// Reasons are in the order of the digits: the checks that spoil a rep, then what only a person sees.
func Reasons() []Reason {
	return []Reason{
		{quality.StanceSway, "sway"}, {quality.StanceShift, "shift"}, {quality.StanceShort, "short"}, {quality.EarlyLoad, "load"},
		{quality.NoFlight, "flight"}, {quality.OffPlate, "plate"}, {quality.HeightGap, "tuck"},
		{"arms or technique", "arms"}, {"not a full effort", "effort"}, {quality.ReasonJudgement, "other"},
	}
}

// decide turns a key into an order to the ledger.
func (m *Model) decide(a keymap.Action, key string) tea.Cmd {
	rep := m.selected().rep
	switch a { //nolint:exhaustive // only the actions that act hands over
	case keymap.Keep:
		return m.settle(rep, quality.ActKeep, "")
	case keymap.Reject:
		m.justReject = rep
		return m.settle(rep, quality.ActReject, m.suggested(rep))
	case keymap.Reason:
		return m.changeReason(key)
	case keymap.Clear:
		return m.give(order{events: []quality.Event{m.event(rep, quality.ActClear)}})
	case keymap.Undo:
		return m.give(order{undo: true})
	case keymap.Note:
		return m.startNote(rep)
	case keymap.Retry:
		m.stuck = nil
		return m.send()
	case keymap.Elsewhere:
		return m.elsewhere()
	}
	return nil
}

// suggested is the reason that a rejection takes by itself.
func (m *Model) suggested(rep *quality.Rep) string {
	if m.opt.Blind {
		return quality.ReasonJudgement
	}
	return rep.SuggestedReason()
}

// event builds an event about a rep.
func (m *Model) event(rep *quality.Rep, a quality.Action) quality.Event {
	return quality.Event{Action: a, Key: rep.Key(), RepID: rep.ID, Recording: rep.Recording, Verdict: rep.Verdict}
}

// settle keeps or rejects a rep and moves on. The same decision again is no new event.
func (m *Model) settle(rep *quality.Rep, a quality.Action, reason string) tea.Cmd {
	e := m.event(rep, a)
	e.Reason = reason
	var cmd tea.Cmd
	if d, _ := m.decision(rep); m.onEarlierBytes(rep) || d.Choice != choiceOf(a) || (a == quality.ActReject && d.Reason != reason) {
		cmd = m.give(order{events: []quality.Event{e}})
	} else {
		m.said = rep.ID + " stands as it is: " + d.Choice.String()
	}
	return tea.Batch(cmd, m.advance())
}

func choiceOf(a quality.Action) quality.Choice {
	if a == quality.ActKeep {
		return quality.Keep
	}
	return quality.Reject
}

// advance moves to the next undecided rep, the one before when there is none after, or stays.
func (m *Model) advance() tea.Cmd {
	m.moved = true
	var to int
	switch m.opt.Advance {
	case "off":
		return nil
	case "next":
		to = m.selectableFrom(m.at, 1)
	default:
		if to = m.openFrom(m.at, 1); to < 0 {
			to = m.openFrom(m.at, -1)
		}
	}
	if to < 0 || to == m.at {
		return nil
	}
	m.at = to
	return m.fetch()
}

// changeReason gives the rejection just made another reason.
func (m *Model) changeReason(key string) tea.Cmd {
	i := (strings.Index("1234567890", key) + len(Reasons())) % len(Reasons())
	e := m.event(m.justReject, quality.ActReject)
	e.Reason = Reasons()[i].Text
	m.said = m.justReject.ID + " rejected: " + e.Reason
	return m.give(order{events: []quality.Event{e}})
}

// give queues an order. One order is on its way at a time, so the ledger's lines keep the order of the keys.
func (m *Model) give(o order) tea.Cmd {
	m.orders = append(m.orders, o)
	m.lookAhead()
	if len(m.orders) > 1 || m.stuck != nil {
		return nil
	}
	return m.send()
}

// send hands the first order to the ledger.
func (m *Model) send() tea.Cmd {
	if len(m.orders) == 0 {
		return nil
	}
	o, deps := m.orders[0], m.deps
	return func() tea.Msg {
		if o.undo {
			e, err := deps.Undo()
			return savedMsg{order: o, events: []quality.Event{e}, err: err}
		}
		events, err := deps.Append(slices.Clone(o.events))
		return savedMsg{order: o, events: events, err: err}
	}
}

// elsewhere puts everything that could not be saved into another place.
func (m *Model) elsewhere() tea.Cmd {
	if m.deps.Elsewhere == nil {
		m.said = "there is no other place: try again (r)"
		return nil
	}
	m.stuck = nil
	var unsaved []quality.Event
	for _, o := range m.orders {
		if o.undo {
			unsaved = append(unsaved, quality.Event{Action: quality.ActUndo})
		}
		unsaved = append(unsaved, o.events...)
	}
	elsewhere := m.deps.Elsewhere
	return func() tea.Msg {
		events, where, err := elsewhere(unsaved)
		return savedMsg{order: order{elsewhere: true}, events: events, where: where, err: err}
	}
}

// saved takes in the ledger's answer. On failure the orders stay in memory and nothing more is sent until the person
// asks again.
func (m *Model) saved(msg savedMsg) tea.Cmd {
	defer m.lookAhead()
	if msg.err != nil {
		if msg.order.undo && len(m.orders) > 0 { // an undo that cannot be done is no decision to keep
			m.orders = m.orders[1:]
			m.said = "not undone: " + msg.err.Error()
			return m.send()
		}
		m.stuck = msg.err
		return nil
	}
	m.stuck = nil
	switch {
	case msg.order.elsewhere:
		m.orders = nil
		m.said = "saved in another place: " + msg.where
	case len(m.orders) > 0:
		m.orders = m.orders[1:]
	}
	for _, e := range msg.events {
		if m.session.History.Apply(e) != nil && m.deps.History != nil {
			m.session.History = m.deps.History() // somebody else wrote to the same ledger: take it whole
			break
		}
	}
	if len(m.orders) == 0 {
		m.quitting = false
	}
	m.sayNoted(msg)
	if msg.order.undo {
		return tea.Batch(m.backTo(msg.events), m.send())
	}
	return m.send()
}

// sayNoted says that a note was saved; decisions are seen in the list.
func (m *Model) sayNoted(msg savedMsg) {
	for _, e := range msg.order.events {
		if e.Action == quality.ActNote {
			m.said = "note saved: " + e.RepID
		}
	}
}

// backTo selects the rep whose decision was taken back.
func (m *Model) backTo(events []quality.Event) tea.Cmd {
	if len(events) == 0 || events[0].Undoes < 1 {
		return nil
	}
	all := m.session.History.Events()
	undone := all[events[0].Undoes-1]
	m.said = fmt.Sprintf("undone: %s of %s", undone.Action, undone.RepID)
	for i, r := range m.rows {
		if r.rep != nil && r.rep.Key() == undone.Key {
			if i == m.at {
				return nil
			}
			m.at, m.moved = i, true
			return m.fetch()
		}
	}
	return nil
}

// write writes the cleaned session as it stands on disk.
func (m *Model) write() tea.Cmd {
	switch {
	case m.loading:
		m.said = "wait until all recordings are read, then write"
		return nil
	case len(m.orders) > 0:
		m.said = "decisions are still being saved: write again in a moment"
		return nil
	}
	m.said = "writing the cleaned session"
	s, write := m.copyOfSession(), m.deps.Write
	return func() tea.Msg {
		path, err := write(s)
		return wroteMsg{path, err}
	}
}

// copyOfSession is the session with a history of its own, since writing goes on beside further keys.
func (m *Model) copyOfSession() *quality.Session {
	s := *m.session
	s.Reps = make([]*quality.Rep, len(m.session.Reps))
	for i, r := range m.session.Reps {
		one := *r
		s.Reps[i] = &one
	}
	s.History, _ = quality.Replay(m.session.History.Events())
	return &s
}

func (m *Model) wrote(msg wroteMsg) {
	if msg.err != nil {
		m.said = "NOT WRITTEN: " + msg.err.Error()
		return
	}
	c := m.session.Count()
	m.said = fmt.Sprintf("written: %s (%d kept, %d rejected, %d open)", msg.path, c.Kept, c.Rejected, c.Open)
}

// Rescue tries once more to save what is still in memory, after the screen has ended, and returns how many decisions are
// not on disk.
func (m *Model) Rescue() int {
	for len(m.orders) > 0 {
		o := m.orders[0]
		var err error
		if o.undo {
			_, err = m.deps.Undo()
		} else {
			_, err = m.deps.Append(slices.Clone(o.events))
		}
		if err != nil {
			return len(m.orders)
		}
		m.orders = m.orders[1:]
	}
	return 0
}
