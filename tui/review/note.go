package review

import (
	"strings"

	"charm.land/bubbles/v2/textinput"
	tea "charm.land/bubbletea/v2"

	"plateside/quality"
)

// A noting is a note being written.
type noting struct {
	rep   *quality.Rep
	input textinput.Model
}

// maxNote bounds a note, in characters.
const maxNote = 200

// startNote opens the line in which a note is written, with the note that stands.
func (m *Model) startNote(rep *quality.Rep) tea.Cmd {
	d, _ := m.decision(rep)
	n := &noting{rep: rep, input: textinput.New()}
	n.input.CharLimit = maxNote
	n.input.Prompt = ""
	n.input.SetVirtualCursor(false)
	n.input.SetStyles(textinput.Styles{})
	n.input.SetValue(m.words(d.Note))
	m.noting = n
	return n.input.Focus()
}

// typed takes a key or a paste while a note is written.
func (m *Model) typed(msg tea.Msg) tea.Cmd {
	n := m.noting
	if key, ok := msg.(tea.KeyPressMsg); ok {
		switch key.String() {
		case "esc":
			m.noting, m.said = nil, "note left as it was"
			return nil
		case "enter":
			return m.endNote(n)
		}
	}
	var cmd tea.Cmd
	n.input, cmd = n.input.Update(msg)
	return cmd
}

// endNote gives the note to the ledger.
func (m *Model) endNote(n *noting) tea.Cmd {
	m.noting = nil
	text := strings.TrimSpace(m.words(n.input.Value()))
	if text == "" {
		m.said = "an empty note changes nothing"
		return nil
	}
	e := m.event(n.rep, quality.ActNote)
	e.Note = text
	return m.give(order{events: []quality.Event{e}})
}

// noteLine is the bottom line while a note is written, the cursor as a bar.
func (m *Model) noteLine() string {
	n := m.noting
	lead := "note to " + m.words(n.rep.ID) + " (Enter saves, Esc leaves): "
	runes := []rune(n.input.Value())
	at := min(n.input.Position(), len(runes))
	text := string(runes[:at]) + "_" + string(runes[at:])
	if room := m.width - len([]rune(lead)); at >= room && room > 0 { // keep the cursor in sight
		text = string(runes[at-room+1:at]) + "_"
	}
	return fit(lead+text, m.width)
}
