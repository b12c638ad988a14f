package theme

import (
	"strconv"
	"strings"
)

// A Depth is how many colours a terminal has.
type Depth int

// The depths.
const (
	NoColour Depth = iota
	Colours16
	Colours256
	TrueColour
)

// A Style paints text: one sequence before it and one after it, made beforehand, so that painting costs one
// concatenation. The zero value paints nothing. Styles can be compared.
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

// An rgb is a colour as a true-colour terminal shows it.
type rgb struct{ r, g, b uint8 }

// An ink is one colour in every depth and on both backgrounds.
type ink struct {
	dark, light     rgb
	dark16, light16 int // the sixteen colours, as SGR foreground codes
}

// The inks of the two sides: lime and violet on dark, olive and violet on light. Among themselves and against the
// terminal's own foreground they keep the largest distances found under the common colour-vision deficiencies (simulated
// with the Machado matrices): at least 69 CIE76 under deuteranopia and protanopia, 40 under tritanopia, with a contrast
// of 4.5 or more on their background.
func leftInk() ink {
	return ink{dark: rgb{0x55, 0xff, 0x00}, light: rgb{0x85, 0x71, 0x0f}, dark16: 92, light16: 33}
}

func rightInk() ink {
	return ink{dark: rgb{0xda, 0x24, 0xff}, light: rgb{0xc3, 0x19, 0xe6}, dark16: 95, light16: 35}
}

// The inks of the verdicts and the selection, none near either side's.

func clearInk() ink {
	return ink{dark: rgb{0x6c, 0xc8, 0xc8}, light: rgb{0x00, 0x6b, 0x6b}, dark16: 36, light16: 36}
}

// lookInk has no colour on light: every amber that can be read on white is too near to the olive of the left side.
func lookInk() ink { return ink{dark: rgb{0xff, 0xc0, 0x58}, dark16: 93} }

func redoInk() ink {
	return ink{dark: rgb{0xff, 0x6a, 0x55}, light: rgb{0xb3, 0x1b, 0x0c}, dark16: 91, light16: 31}
}

func accentInk() ink {
	return ink{dark: rgb{0x8a, 0xb8, 0xff}, light: rgb{0x1b, 0x4f, 0xa8}, dark16: 94, light16: 34}
}

// attributes of a style that are no colours: they stay where colours are not wanted.
const (
	bold    = "1"
	dim     = "2"
	reverse = "7"
)

// style returns an ink at the terminal's depth, with further attributes.
func (o Options) style(i ink, attributes ...string) Style {
	colour, code := i.light, i.light16
	if o.Dark {
		colour, code = i.dark, i.dark16
	}
	switch o.Depth {
	case TrueColour:
		attributes = append(attributes, "38;2;"+itoa(int(colour.r))+";"+itoa(int(colour.g))+";"+itoa(int(colour.b)))
	case Colours256:
		attributes = append(attributes, "38;5;"+itoa(colour.cube()))
	case Colours16:
		attributes = append(attributes, itoa(code))
	case NoColour:
	}
	return attribute(attributes...)
}

// attribute returns a style of attributes alone.
func attribute(codes ...string) Style {
	if len(codes) == 0 {
		return Style{}
	}
	return Style{"\x1b[" + strings.Join(codes, ";") + "m"}
}

func itoa(v int) string { return strconv.Itoa(v) }

// cube returns the nearest colour of the 6x6x6 cube of 256-colour terminals, whose levels are 0, 95, 135, 175, 215, 255.
func (c rgb) cube() int {
	level := func(v uint8) int {
		switch {
		case v < 48:
			return 0
		case v < 115:
			return 1
		}
		return (int(v) - 35) / 40
	}
	return 16 + 36*level(c.r) + 6*level(c.g) + level(c.b)
}
