// Package theme holds what things look like: semantic inks as ready-made escape sequences, and glyphs with their plain
// forms. Colours live here and nowhere else. Left and right have a colour each that nothing else uses; a verdict's colour
// is a help beside its glyph and word, never the only sign.
package theme

// Options say what the terminal can show.
type Options struct {
	Depth Depth
	Dark  bool
	// ASCII asks for plain characters only; Plain for no escape sequences at all.
	ASCII, Plain bool
}

// A Theme is every ink and glyph of the screens. It is passed by value and can be compared, so it can be part of a key
// under which something drawn is kept.
type Theme struct {
	Options
	Left, Right, Total Style // the traces
	Both               Style // left and right in one cell: the terminal's own foreground, not bold
	Weight, Band       Style // body weight, limits of the stance
	Faint              Style // other reps under the curve
	Dim, Normal, Bold  Style // labels, what is read, what is decided
	Accent             Style // the selection
	Rule               Style // the line between parts of a screen
	Clear, Look, Redo  Style // verdicts
	Kept, Rejected     Style // decisions
	Saved, NotSaved    Style
	Glyph              Glyphs
}

// New returns the theme for a terminal. Without colours, bold, dim and reverse are kept; a plain theme has none of them.
func New(o Options) Theme {
	t := Theme{Options: o, Glyph: unicodeGlyphs()}
	if o.ASCII {
		t.Glyph = asciiGlyphs()
	}
	if o.Plain {
		return t
	}
	t.Dim, t.Bold, t.Total = attribute(dim), attribute(bold), attribute(bold)
	t.Weight, t.Band, t.Faint, t.Rule = t.Dim, t.Dim, t.Dim, t.Dim
	t.Left, t.Right = o.style(leftInk()), o.style(rightInk())
	t.Clear, t.Look, t.Redo = o.style(clearInk()), o.style(lookInk()), o.style(redoInk())
	if !o.Dark {
		t.Look = t.Bold
	}
	t.Kept, t.Rejected, t.Saved = t.Bold, t.Dim, t.Dim
	t.Accent = o.style(accentInk(), bold)
	t.NotSaved = o.style(redoInk(), bold, reverse)
	return t
}
