package theme

// Glyphs are the signs of the screens. Each is one cell wide, except that the plain forms of the half-width sign and of
// the ellipsis are two or three.
type Glyphs struct {
	Keep, Reject, Open        string // decisions
	Clear, Look, Redo         string // verdicts
	Selected, Marked          string
	PlusMinus, Ellipsis, Dash string
	Rule, TickLeft, AxisV     string
	Peak, Cursor, WindowBar   string
	Arrow                     string
	// TickBottom stands on the bottom edge of a chart, TickTop hangs from the top.
	TickBottom, TickTop string
}

// A Sign is a glyph with the word that goes with it; the word alone carries the meaning too.
type Sign struct{ Glyph, Word string }

// Legend returns the signs of decisions, verdicts and marks with their words, in the order of a legend.
func (g Glyphs) Legend() []Sign {
	return []Sign{{g.Keep, "kept"}, {g.Reject, "rejected"}, {g.Open, "open"},
		{g.Clear, "clear"}, {g.Look, "look"}, {g.Redo, "redo"}, {g.Marked, "marked"}}
}

func unicodeGlyphs() Glyphs {
	return Glyphs{Keep: "✓", Reject: "✗", Open: "·", Clear: "○", Look: "?", Redo: "!", Selected: "▸", Marked: "•",
		PlusMinus: "±", Ellipsis: "…", Dash: "–", Rule: "─", TickLeft: "┤", AxisV: "│", Peak: "▲", Cursor: "│", WindowBar: "━", Arrow: "→",
		TickBottom: "╷", TickTop: "╵"}
}

func asciiGlyphs() Glyphs {
	return Glyphs{Keep: "K", Reject: "R", Open: ".", Clear: "o", Look: "?", Redo: "!", Selected: ">", Marked: "*",
		PlusMinus: "+/-", Ellipsis: "..", Dash: "-", Rule: "-", TickLeft: "+", AxisV: "|", Peak: "^", Cursor: "|", WindowBar: "=", Arrow: ">",
		TickBottom: ",", TickTop: "'"}
}
