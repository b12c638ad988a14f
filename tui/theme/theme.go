// Package theme holds what things look like: semantic inks as ready-made escape sequences, and glyphs with their plain
// forms. Colours live here and nowhere else. Left and right have a colour each that nothing else uses; a verdict's colour
// is a help beside its glyph and word, never the only sign.
package theme

import "fmt"

// A Depth is how many colours a terminal has.
type Depth int

// The depths.
const (
	NoColour Depth = iota
	Colours16
	Colours256
	TrueColour
)

// A Style paints text. The zero value paints nothing.
type Style struct{ open string }

// reset ends any style.
const reset = "\x1b[m"

// Paint returns the text in the style.
func (s Style) Paint(text string) string {
	if s.open == "" || text == "" {
		return text
	}
	return s.open + text + reset
}

// Open returns the sequence that begins the style, "" for none; Close the one that ends it.
func (s Style) Open() string { return s.open }

// Close returns the sequence that ends the style.
func (s Style) Close() string {
	if s.open == "" {
		return ""
	}
	return reset
}

// Options say what the terminal can show.
type Options struct {
	Depth Depth
	Dark  bool
	// ASCII asks for plain characters only; Plain for no escape sequences at all.
	ASCII, Plain bool
}

// A Theme is every ink and glyph of the screens.
type Theme struct {
	Options
	Left, Right, Total Style
	Weight, Band       Style // body weight, limits of the stance
	Dim, Normal, Bold  Style
	Accent             Style // the selection
	Clear, Look, Redo  Style
	Kept, Rejected     Style
	NotSaved           Style
	Faint              Style // other reps under the curve
	Glyph              Glyphs
}

// Glyphs are the signs of the screens.
type Glyphs struct {
	Keep, Reject, Open        string
	Clear, Look, Redo         string
	Selected, Marked          string
	PlusMinus, Ellipsis, Dash string
	Rule, TickLeft, AxisV     string
	Peak, Cursor, WindowBar   string
	Arrow                     string
}

func unicodeGlyphs() Glyphs {
	return Glyphs{Keep: "✓", Reject: "✗", Open: "·", Clear: "○", Look: "?", Redo: "!", Selected: "▸", Marked: "•",
		PlusMinus: "±", Ellipsis: "…", Dash: "–", Rule: "─", TickLeft: "┤", AxisV: "│", Peak: "▲", Cursor: "│", WindowBar: "━", Arrow: "→"}
}

func asciiGlyphs() Glyphs {
	return Glyphs{Keep: "K", Reject: "R", Open: ".", Clear: "o", Look: "?", Redo: "!", Selected: ">", Marked: "*",
		PlusMinus: "+-", Ellipsis: "~", Dash: "-", Rule: "-", TickLeft: "+", AxisV: "|", Peak: "^", Cursor: "|", WindowBar: "=", Arrow: ">"}
}

// an ink is one colour in every depth and on both backgrounds.
type ink struct {
	dark, light     [3]uint8
	dark16, light16 int // SGR foreground codes
}

// The inks. Left and right: lime and violet on dark, olive and violet on light, chosen for the smallest distance under
// the common colour-vision deficiencies (simulated with the Machado matrices); see DEVELOPERS.md.
func leftInk() ink {
	return ink{dark: [3]uint8{0x55, 0xff, 0x00}, light: [3]uint8{0x85, 0x71, 0x0f}, dark16: 92, light16: 33}
}

func rightInk() ink {
	return ink{dark: [3]uint8{0xda, 0x24, 0xff}, light: [3]uint8{0xc3, 0x19, 0xe6}, dark16: 95, light16: 35}
}

func clearInk() ink {
	return ink{dark: [3]uint8{0x6c, 0xc8, 0xc8}, light: [3]uint8{0x00, 0x6b, 0x6b}, dark16: 36, light16: 36}
}

func lookInk() ink { return ink{dark: [3]uint8{0xff, 0xc0, 0x58}, dark16: 93} }

func redoInk() ink {
	return ink{dark: [3]uint8{0xff, 0x6a, 0x55}, light: [3]uint8{0xb3, 0x1b, 0x0c}, dark16: 91, light16: 31}
}

func accentInk() ink {
	return ink{dark: [3]uint8{0x8a, 0xb8, 0xff}, light: [3]uint8{0x1b, 0x4f, 0xa8}, dark16: 94, light16: 34}
}

// New returns the theme for a terminal.
func New(o Options) Theme {
	t := Theme{Options: o, Glyph: unicodeGlyphs()}
	if o.ASCII {
		t.Glyph = asciiGlyphs()
	}
	if o.Plain {
		return t
	}
	attr := func(code string) Style { return Style{"\x1b[" + code + "m"} }
	t.Dim, t.Bold, t.Total = attr("2"), attr("1"), attr("1")
	t.Weight, t.Band, t.Faint = t.Dim, t.Dim, t.Dim
	paint := func(i ink, extra string) Style { return o.style(i, extra) }
	t.Left, t.Right = paint(leftInk(), ""), paint(rightInk(), "")
	t.Clear, t.Look, t.Redo = paint(clearInk(), ""), paint(lookInk(), ""), paint(redoInk(), "")
	if !o.Dark { // every amber that can be read on white is too near to the olive of the left side
		t.Look = t.Bold
	}
	t.Kept, t.Rejected = t.Bold, t.Dim
	t.Accent = paint(accentInk(), "1")
	t.NotSaved = paint(redoInk(), "1;7")
	return t
}

// style returns an ink at the terminal's depth, with further attributes.
func (o Options) style(i ink, attributes string) Style {
	rgb, code := i.light, i.light16
	if o.Dark {
		rgb, code = i.dark, i.dark16
	}
	sgr := attributes
	add := func(s string) {
		if sgr != "" {
			sgr += ";"
		}
		sgr += s
	}
	switch o.Depth {
	case TrueColour:
		add(fmt.Sprintf("38;2;%d;%d;%d", rgb[0], rgb[1], rgb[2]))
	case Colours256:
		add(fmt.Sprintf("38;5;%d", cube(rgb)))
	case Colours16:
		add(fmt.Sprint(code))
	case NoColour:
	}
	if sgr == "" {
		return Style{}
	}
	return Style{"\x1b[" + sgr + "m"}
}

// cube returns the nearest colour of the 6x6x6 cube of 256-colour terminals.
func cube(rgb [3]uint8) int {
	level := func(v uint8) int {
		if v < 48 {
			return 0
		}
		if v < 115 {
			return 1
		}
		return (int(v) - 35) / 40
	}
	return 16 + 36*level(rgb[0]) + 6*level(rgb[1]) + level(rgb[2])
}
