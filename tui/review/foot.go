package review

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"plateside/tui/keymap"
)

// foot returns the bottom line: what was just said, else the keys; at the right whether everything is saved.
func (m *Model) foot() string {
	t := m.opt.Theme
	switch {
	case m.noting != nil:
		return t.Accent.Paint(m.noteLine())
	case m.quitting:
		return t.NotSaved.Paint(fit(fmt.Sprintf("%d NOT SAVED.  r try again   p another place   Q leave and lose them   other keys: stay", len(m.orders)), m.width))
	case m.stuck != nil:
		return t.NotSaved.Paint(fit(fmt.Sprintf("NOT SAVED (%d): r try again, p another place: %s", len(m.orders), m.words(m.stuck.Error())), m.width))
	}
	right := m.savedText()
	if m.said != "" {
		return ends(m.words(m.said), right, m.width, t.Bold.Paint, t.Dim.Paint)
	}
	if m.justReject != nil {
		return fit(reasonLine(), m.width)
	}
	return ends(keyLine(m.state(), m.width-ansi.StringWidth(right)-1), right, m.width, plain, t.Dim.Paint)
}

// savedText says how the ledger stands.
func (m *Model) savedText() string {
	switch n := len(m.session.History.Events()); {
	case m.opt.ReadOnly != "":
		return "read only"
	case len(m.orders) > 0:
		return fmt.Sprintf("saving %d", len(m.orders))
	case n == 0:
		return "nothing decided yet"
	default:
		return "saved " + many(m.session.History.Standing(), "decision")
	}
}

// keyLine is the keys that can be pressed now, as many as fit.
func keyLine(s keymap.State, width int) string {
	line := ""
	for _, b := range keymap.Bindings() {
		if b.Short == "" || (b.Why != nil && b.Why(s) != "") {
			continue
		}
		next := strings.Fields(b.Show)[0] + " " + b.Short
		if ansi.StringWidth(line)+2+ansi.StringWidth(next) > width {
			break
		}
		if line != "" {
			line += "  "
		}
		line += next
	}
	return line
}

// reasonLine lists the digits right after a rejection.
func reasonLine() string {
	var parts []string
	for i, r := range Reasons() {
		parts = append(parts, fmt.Sprintf("%d %s", (i+1)%10, r.Short))
	}
	return strings.Join(parts, " ")
}
