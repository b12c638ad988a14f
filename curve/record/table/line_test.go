package table

import (
	"slices"
	"strings"
	"testing"
)

// linesSlowly is the plain way to cut lines.
func linesSlowly(text string) []string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	lines := strings.Split(text, "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

func TestNextLine(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", "a", "a\n", "a\nb", "a\r\nb\r\n", "a\rb\r", "\n\n", "\r\r", "\r\n\r\n", "a\n\rb", "\r",
		strings.Repeat("x", 255) + "\r\nb", strings.Repeat("x", 254) + "\r\nb", strings.Repeat("x", 256) + "\r\nb",
		strings.Repeat("x", 255) + "\rb", strings.Repeat("x", maxLine-1) + "\r\nb", strings.Repeat("x", maxLine+9) + "\r\nb",
	} {
		var got []string
		for pos := 0; pos < len(text); {
			line, next, ended := nextLine([]byte(text), pos)
			got = append(got, string(line))
			if ended != (strings.HasSuffix(text, "\n") || strings.HasSuffix(text, "\r") || next < len(text)) || next <= pos {
				t.Fatalf("%q at %d: next %d, ended %v", text, pos, next, ended)
			}
			pos = next
		}
		if want := linesSlowly(text); !slices.Equal(got, want) && len(got)+len(want) > 0 {
			t.Errorf("%.40q: %d lines, want %d: %.80q", text, len(got), len(want), got)
		}
	}
}
