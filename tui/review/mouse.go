package review

import (
	tea "charm.land/bubbletea/v2"

	"plateside/tui/keymap"
)

// MouseOn reports whether the screen wants the mouse.
func (m *Model) MouseOn() bool { return !m.mouseOff }

// clicked selects the row of the list under the mouse.
func (m *Model) clicked(at tea.Mouse) tea.Cmd {
	if m.mouseOff || m.help != nil || m.noting != nil || at.Button != tea.MouseLeft || at.X >= m.listWidth() {
		return nil
	}
	i := m.listTop() + at.Y - headRows
	if at.Y < headRows || i < 0 || i >= len(m.rows) || !m.rows[i].selectable() || i == m.at {
		return nil
	}
	m.at, m.moved = i, true
	return m.fetch()
}

// wheeled moves in the list.
func (m *Model) wheeled(at tea.Mouse) tea.Cmd {
	if m.mouseOff || m.help != nil || m.noting != nil || len(m.rows) == 0 {
		return nil
	}
	switch at.Button {
	case tea.MouseWheelUp:
		return m.move(keymap.Up)
	case tea.MouseWheelDown:
		return m.move(keymap.Down)
	}
	return nil
}
