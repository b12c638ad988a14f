package review

import (
	"fmt"
	"strings"

	"charm.land/bubbles/v2/viewport"
	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"

	"plateside/quality"
	"plateside/tui/keymap"
)

// openHelp lays the help page out for the window as it is.
func (m *Model) openHelp() {
	v := viewport.New(viewport.WithWidth(m.width), viewport.WithHeight(m.height-1))
	v.SetContentLines(m.helpLines())
	m.help = &v
}

// helpKey moves in the help page; any other key closes it.
func (m *Model) helpKey(msg tea.KeyPressMsg) tea.Cmd {
	switch msg.String() {
	case "up", "down", "k", "j", "pgup", "pgdown", "space", "home", "end":
		v, cmd := m.help.Update(msg)
		m.help = &v
		return cmd
	case "ctrl+c":
		return m.quit()
	}
	m.help = nil
	return nil
}

// helpPage is the help page with its heading.
func (m *Model) helpPage() string {
	t := m.opt.Theme
	heading := t.Bold.Paint("keys") + t.Dim.Paint("   Up and Down scroll, any other key goes back")
	return pad(heading, m.width) + "\n" + m.help.View()
}

// helpLines is every key with its words, the reasons, the words of the screen and the cautions: in two columns where
// the window is wide.
func (m *Model) helpLines() []string {
	t := m.opt.Theme
	block := func(group string) string {
		lines := []string{"", t.Dim.Paint(group)}
		for _, b := range keymap.Bindings() {
			if b.Group != group {
				continue
			}
			line := fmt.Sprintf("  %-8s %s", b.Show, b.Help)
			if b.Why != nil && b.Why(m.state()) != "" { // pressing it says why
				line = t.Dim.Paint(line + " (not now)")
			}
			lines = append(lines, line)
		}
		return strings.Join(lines, "\n")
	}
	groups := keymap.Groups()
	page := ""
	if half := m.width / 2; half >= leastWidth*3/4 {
		column := lipgloss.NewStyle().Width(half)
		left := lipgloss.JoinVertical(lipgloss.Left, block(groups[0]), block(groups[1]))
		right := lipgloss.JoinVertical(lipgloss.Left, block(groups[2]), block(groups[3]))
		page = lipgloss.JoinHorizontal(lipgloss.Top, column.Render(left), right)
	} else {
		for _, g := range groups {
			page += block(g) + "\n"
		}
	}
	lines := strings.Split(page, "\n")
	lines = append(lines, "", t.Dim.Paint("reasons, by digit right after n"))
	for i, r := range Reasons() {
		lines = append(lines, fmt.Sprintf("  %d        %s", (i+1)%10, r.Text))
	}
	lines = append(lines, "", t.Dim.Paint("words and lines"),
		"  clear: nothing found   look: a person should look   redo: do not use, jump again",
		"  T total (bold, thick)   L left (solid)   R right (dashed); where both lie on each other: plain",
		"  stance strip: dotted lines are the limit of its sway; below it what was weighed and what spoilt it",
		"  asymmetry: (left - right) / (left + right) of mean force in a phase", "")
	for _, l := range wrap(quality.Cautions, m.width-4) {
		lines = append(lines, "  "+l)
	}
	return lines
}
