package review

import (
	"strconv"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"plateside/quality"
)

// words makes text from files and findings fit for the screen: harmless on any terminal, and in plain characters where
// that is asked for.
func (m *Model) words(s string) string {
	s = quality.Printable(s)
	if !m.opt.Theme.ASCII {
		return s
	}
	s = strings.NewReplacer("±", "+/-", "\u201c", "\"", "\u201d", "\"", "–", "-", "…", "..").Replace(s)
	return strings.Map(func(r rune) rune {
		if r > '~' {
			return '?'
		}
		return r
	}, s)
}

// fit cuts or pads unstyled text to exactly n cells. What does not fit ends in a sign that says so.
func fit(s string, n int) string {
	if n <= 0 {
		return ""
	}
	if wide := ansi.StringWidth(s); wide <= n {
		return s + strings.Repeat(" ", n-wide)
	}
	cut := ansi.Truncate(s, n, "~")
	return cut + strings.Repeat(" ", max(0, n-ansi.StringWidth(cut)))
}

// pad pads styled text to n cells.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-ansi.StringWidth(s)))
}

// wrap breaks unstyled text into lines of at most n cells, between words.
func wrap(s string, n int) []string {
	if n < 4 {
		return nil
	}
	return strings.Split(ansi.Wordwrap(s, n, " "), "\n")
}

// ends puts left at the left and right at the right of n cells; the left one gives way. Both are styled by the caller's
// functions after they were fitted.
func ends(left, right string, n int, paintLeft, paintRight func(string) string) string {
	room := n - ansi.StringWidth(right)
	if right == "" || room < 8 {
		return paintLeft(fit(left, n))
	}
	return paintLeft(fit(left, room-1)) + " " + paintRight(right)
}

// many writes a count with its noun.
func many(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// fitMiddle cuts unstyled text in its middle, since names differ at their ends.
func fitMiddle(s string, n int) string {
	runes := []rune(s)
	if ansi.StringWidth(s) <= n || n < 4 {
		return fit(s, n)
	}
	tail := (n - 1) * 2 / 3
	return fit(string(runes[:n-1-tail])+"~"+string(runes[len(runes)-tail:]), n)
}
