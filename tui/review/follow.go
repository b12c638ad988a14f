package review

import (
	"fmt"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"

	"plateside/quality"
)

// A FollowedMsg says what became of a recording while the folder is followed.
type FollowedMsg struct {
	// Arrival is a recording that is whole now; nil for the other news.
	Arrival *Arrival
	// Changed says that the arrival takes the place of an earlier recording of the same name.
	Changed bool
	// Arriving is a recording that is still being written, Gone one that is no longer there, Notice what to tell.
	Arriving, Gone, Notice string
}

// refreshedMsg brings what another process has decided.
type refreshedMsg struct {
	history *quality.History
	err     error
}

// followed takes in news of the folder. The list grows at its end; the selection stays, unless the tester follows.
func (m *Model) followed(msg FollowedMsg) tea.Cmd {
	m.picture = nil
	switch {
	case msg.Notice != "":
		m.said = msg.Notice
	case msg.Gone != "":
		for _, r := range m.session.Reps {
			r.Gone = r.Gone || r.Recording == msg.Gone
		}
		m.arriving = without(m.arriving, msg.Gone)
	case msg.Arriving != "":
		m.arriving = append(without(m.arriving, msg.Arriving), msg.Arriving)
	case msg.Arrival != nil:
		return m.arrivedLate(*msg.Arrival, msg.Changed)
	}
	return nil
}

func without(names []string, name string) []string {
	out := names[:0:0]
	for _, n := range names {
		if n != name {
			out = append(out, n)
		}
	}
	return out
}

// arrivedLate takes in one recording after the first reading.
func (m *Model) arrivedLate(a Arrival, changed bool) tea.Cmd {
	m.arriving = without(m.arriving, a.Source.Recording)
	before, top := m.selected(), m.scale.pushN
	decided := m.replace(a)
	m.session.Add(a.Source, a.Reps, a.Refused)
	m.judgeAgain()
	m.rows = m.listRows()
	m.at = max(0, m.find(before))
	if !m.selected().selectable() {
		m.at = max(0, m.selectableFrom(-1, 1))
	}
	m.said = "arrived: " + a.Source.Recording
	if changed {
		m.said = "changed: " + a.Source.Recording
	}
	if decided {
		m.said += "; what was decided on the earlier bytes is kept and marked"
	}
	if m.scale.pushN > top {
		m.said += fmt.Sprintf("; every rep is now drawn to %.0f N", roundUp(m.scale.pushN*headroom))
	}
	var ring tea.Cmd
	if m.opt.Bell {
		ring = tea.Raw("\a")
	}
	if m.follow && len(a.Reps) > 0 {
		return tea.Batch(ring, m.selectRep(a.Reps[len(a.Reps)-1]))
	}
	if now := m.selected(); !now.same(before) || (now.rep != nil && now.rep != before.rep) {
		return tea.Batch(ring, m.fetch())
	}
	return ring
}

// replace takes out what an arrival takes the place of: earlier reps of the same file, and reps of files that are gone
// whose bytes it holds. It remembers on which bytes the former were decided, and reports whether any was.
func (m *Model) replace(a Arrival) (decided bool) {
	kept := m.session.Reps[:0:0]
	for _, r := range m.session.Reps {
		if r.Recording != a.Source.Recording && (!r.Gone || r.SHA256 != a.Source.SHA256) {
			kept = append(kept, r)
			continue
		}
		delete(m.marks, r.Key())
		if r.Recording != a.Source.Recording || r.SHA256 == a.Source.SHA256 {
			continue
		}
		if m.history().Spoken(r.Key()) {
			m.earlier[nameOf(r)], decided = r.SHA256, true
		}
	}
	m.session.Reps = kept
	m.session.Forget(a.Source.Recording)
	return decided
}

// judgeAgain compares the reps with each other and lays out the common scale anew.
func (m *Model) judgeAgain() {
	m.session.NameReps()
	quality.JudgeTogether(m.session.Reps, m.opt.Limits)
	m.scale = scaleOf(m.session.Reps)
	m.picture = nil
	for _, r := range m.session.Reps {
		if r.LandedAt.After(m.restFrom[r.Group()]) {
			m.restFrom[r.Group()] = r.LandedAt
		}
	}
}

// ticked is a second gone by: rest counts on, and a reviewer who only reads sees what the other has decided.
func (m *Model) ticked() tea.Cmd {
	if m.deps.Refresh == nil || m.opt.ReadOnly == "" {
		return tick()
	}
	refresh := m.deps.Refresh
	return tea.Batch(tick(), func() tea.Msg {
		h, err := refresh()
		return refreshedMsg{h, err}
	})
}

func (m *Model) refreshed(msg refreshedMsg) tea.Cmd {
	switch {
	case msg.err != nil:
		m.said = msg.err.Error()
	case msg.history != nil:
		before := m.selected()
		m.session.History = msg.history
		m.lookAhead()
		m.rows = m.listRows()
		if m.at = max(0, m.find(before)); !m.selected().selectable() {
			m.at = max(0, m.selectableFrom(-1, 1))
		}
		if !m.selected().same(before) {
			return m.fetch()
		}
	}
	return nil
}

// tallyWords says where the selected rep's athlete stands: reps kept and wanted, rest, who is next. It speaks while
// athletes are tested, which is when a recording is followed or was just made, and is silent when a session is culled.
func (m *Model) tallyWords() string {
	rep := m.selected().rep
	if rep == nil || rep.Athlete == "" || m.opt.Wanted.Kept == 0 || m.opt.Blind {
		return ""
	}
	rest := m.restWords(rep)
	if !m.follow && rest == "" {
		return ""
	}
	var reps []*quality.Rep
	for _, r := range m.session.Reps {
		if r.Athlete == rep.Athlete {
			reps = append(reps, r)
		}
	}
	t := quality.TallyOf(reps, m.session.History, m.opt.Wanted)
	words := m.words(rep.Athlete) + ": " + t.Words()
	if rest != "" && !t.Enough && !t.Stopped {
		words += "; " + rest
	}
	if next := m.nextOnRoster(rep.Athlete); next != "" && (t.Enough || t.Stopped) {
		words += "; next: " + m.words(next)
	}
	return words
}

// restShownS is how long after a landing the rest is still shown, in seconds.
const restShownS = 600

// restWords says how long the athlete has rested, and when that is too short; "" long after the last landing.
func (m *Model) restWords(rep *quality.Rep) string {
	landed, ok := m.restFrom[rep.Group()]
	if !ok || m.deps.Now == nil {
		return ""
	}
	rested := m.deps.Now().Sub(landed)
	if rested < 0 || rested > restShownS*time.Second {
		return ""
	}
	text := fmt.Sprintf("rest %d:%02d", int(rested.Minutes()), int(rested.Seconds())%60)
	if left := time.Duration(m.opt.Wanted.RestS*float64(time.Second)) - rested; left > 0 {
		text += fmt.Sprintf(", wait %d s more", int(left.Seconds())+1)
	}
	return text
}

// nextOnRoster is who comes after an athlete on the roster; "" at its end or without one.
func (m *Model) nextOnRoster(athlete string) string {
	for i, name := range m.opt.Roster {
		if name == athlete && i+1 < len(m.opt.Roster) {
			return m.opt.Roster[i+1]
		}
	}
	return ""
}

// ruleLine is the line between head and body; it names the rep and carries the tally where there is one.
func (m *Model) ruleLine() string {
	t := m.opt.Theme
	var parts []string
	if m.follow {
		parts = append(parts, "following")
	}
	if rep := m.selected().rep; rep != nil {
		parts = append(parts, m.words(rep.ID))
	}
	if words := m.tallyWords(); words != "" {
		parts = append(parts, words)
	}
	if len(parts) == 0 {
		return t.Dim.Paint(strings.Repeat(t.Glyph.Rule, m.width))
	}
	text := strings.TrimRight(fit(" "+strings.Join(parts, "; ")+" ", m.width-4), " ") + " "
	rest := m.width - 2 - ansi.StringWidth(text)
	return t.Dim.Paint(strings.Repeat(t.Glyph.Rule, 2)) + t.Bold.Paint(text) + t.Dim.Paint(strings.Repeat(t.Glyph.Rule, max(0, rest)))
}
