package review

import (
	"fmt"

	tea "charm.land/bubbletea/v2"

	"plateside/quality"
	"plateside/tui/keymap"
)

// markKey marks reps, takes marks off, and decides on all marked reps at once: one group in the ledger, one undo.
func (m *Model) markKey(a keymap.Action) tea.Cmd {
	m.picture = nil
	rep := m.selected().rep
	switch a { //nolint:exhaustive // only the actions that act hands over
	case keymap.Mark:
		m.marks[rep.Key()] = true
		m.said = fmt.Sprintf("%d marked: Y keeps them all, N rejects them all", len(m.marks))
		return m.move(keymap.Down)
	case keymap.Unmark:
		delete(m.marks, rep.Key())
		m.said = fmt.Sprintf("%d marked", len(m.marks))
	case keymap.KeepAll:
		return m.decideMarked(quality.ActKeep)
	case keymap.RejectAll:
		return m.decideMarked(quality.ActReject)
	}
	return nil
}

// decideMarked gives one decision for all marked reps.
func (m *Model) decideMarked(a quality.Action) tea.Cmd {
	var events []quality.Event
	seen := map[quality.RepKey]bool{}
	for _, r := range m.session.Reps {
		if !m.marks[r.Key()] || seen[r.Key()] {
			continue
		}
		seen[r.Key()] = true // a copy shares its original's decision
		e := m.event(r, a)
		if a == quality.ActReject {
			e.Reason = m.suggested(r)
		}
		events = append(events, e)
	}
	clear(m.marks)
	if len(events) == 0 {
		m.said = "the marked reps are no longer there"
		return nil
	}
	m.said = fmt.Sprintf("%d reps: %s; one u takes it back", len(events), choiceOf(a))
	return m.give(order{events: events})
}

// A filter says which reps the list shows.
type filter int

const (
	filterAll filter = iota
	filterOpen
	filterFound
	filterKept
	filterRejected
	filterAthlete
	filters
)

func (f filter) String() string {
	return [filters]string{"all", "open", "look and redo", "kept", "rejected", "this athlete"}[f]
}

// nextFilter steps through the filters, passing over those that would show nothing.
func (m *Model) nextFilter() tea.Cmd {
	before := m.selected()
	if before.rep != nil {
		m.filterFor = before.rep.Athlete
	}
	for range filters {
		m.filter = (m.filter + 1) % filters
		if m.opt.Blind && m.filter == filterFound {
			continue // it would tell the verdicts
		}
		if m.rows = m.listRows(); m.filter == filterAll || len(m.rows) > 0 {
			break
		}
	}
	m.said = "list: " + m.filter.String()
	m.picture = nil
	for i, r := range m.rows {
		if r.selectable() && r.rep == before.rep && r.refused == before.refused {
			m.at = i
			return m.wantTraces()
		}
	}
	m.at = max(0, m.selectableFrom(-1, 1))
	return m.fetch()
}

// listRows lays out the list under the filter. A rep that is decided stays in sight until the filter is stepped, so
// that the list does not move under the hand.
func (m *Model) listRows() []row {
	rows := rowsOf(m.session)
	if m.filter == filterAll {
		return rows
	}
	var out []row
	var heading *row
	for i := range rows {
		r := rows[i]
		switch {
		case r.heading != "":
			heading = &rows[i]
		case r.rep != nil && m.passes(r.rep):
			if heading != nil {
				out, heading = append(out, *heading), nil
			}
			out = append(out, r)
		}
	}
	return out
}

func (m *Model) passes(rep *quality.Rep) bool {
	d, _ := m.decision(rep)
	switch m.filter {
	case filterOpen:
		return d.Choice == quality.Undecided
	case filterFound:
		return rep.Verdict != quality.VerdictClear
	case filterKept:
		return d.Choice == quality.Keep
	case filterRejected:
		return d.Choice == quality.Reject
	case filterAthlete:
		return rep.Athlete == m.filterFor
	case filterAll, filters:
	}
	return true
}
