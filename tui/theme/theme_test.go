package theme_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"plateside/tui/theme"
)

func everyTerminal() []theme.Options {
	var all []theme.Options
	for _, depth := range []theme.Depth{theme.NoColour, theme.Colours16, theme.Colours256, theme.TrueColour} {
		for _, dark := range []bool{false, true} {
			all = append(all, theme.Options{Depth: depth, Dark: dark})
		}
	}
	return all
}

// styles returns the styles of a theme by name.
func styles(t theme.Theme) map[string]theme.Style {
	all := map[string]theme.Style{}
	v := reflect.ValueOf(t)
	for i := range v.NumField() {
		if s, ok := v.Field(i).Interface().(theme.Style); ok {
			all[v.Type().Field(i).Name] = s
		}
	}
	return all
}

// TestSidesAreAlone: nothing else is painted like the left or the right side, on any terminal that has colours.
func TestSidesAreAlone(t *testing.T) {
	for _, o := range everyTerminal() {
		th := theme.New(o)
		if o.Depth == theme.NoColour {
			continue
		}
		all := styles(th)
		if len(all) < 15 {
			t.Fatalf("only %d styles were found", len(all))
		}
		for name, s := range all {
			for side, own := range map[string]theme.Style{"Left": th.Left, "Right": th.Right} {
				if name != side && colour(s) == colour(own) {
					t.Errorf("%+v: %s is painted %q like %s", o, name, s.Open(), side)
				}
			}
		}
	}
}

// colour is the part of a style's sequence that names a colour.
func colour(s theme.Style) string {
	var codes []string
	for _, code := range strings.Split(strings.TrimSuffix(strings.TrimPrefix(s.Open(), "\x1b["), "m"), ";") {
		if code != "1" && code != "2" && code != "7" && code != "" {
			codes = append(codes, code)
		}
	}
	return strings.Join(codes, ";")
}

// TestNoColour: without colours only bold, dim and reverse are left, and a plain theme writes no sequence at all.
func TestNoColour(t *testing.T) {
	for name, s := range styles(theme.New(theme.Options{Dark: true})) {
		if colour(s) != "" {
			t.Errorf("%s has the colour %q", name, colour(s))
		}
	}
	for name, s := range styles(theme.New(theme.Options{Dark: true, Depth: theme.TrueColour, Plain: true})) {
		if got := s.Paint("x"); got != "x" {
			t.Errorf("%s paints %q on a plain terminal", name, got)
		}
	}
}

// TestSequences holds the sequences of the two sides against ones written out by hand.
func TestSequences(t *testing.T) {
	for _, c := range []struct {
		o           theme.Options
		left, right string
	}{
		{theme.Options{Depth: theme.TrueColour, Dark: true}, "\x1b[38;2;85;255;0m", "\x1b[38;2;218;36;255m"},
		{theme.Options{Depth: theme.TrueColour}, "\x1b[38;2;133;113;15m", "\x1b[38;2;195;25;230m"},
		{theme.Options{Depth: theme.Colours256, Dark: true}, "\x1b[38;5;82m", "\x1b[38;5;165m"},
		{theme.Options{Depth: theme.Colours256}, "\x1b[38;5;94m", "\x1b[38;5;164m"},
		{theme.Options{Depth: theme.Colours16, Dark: true}, "\x1b[92m", "\x1b[95m"},
		{theme.Options{Depth: theme.Colours16}, "\x1b[33m", "\x1b[35m"},
		{theme.Options{Dark: true}, "", ""},
	} {
		th := theme.New(c.o)
		if th.Left.Open() != c.left || th.Right.Open() != c.right {
			t.Errorf("%+v: left %q right %q, want %q %q", c.o, th.Left.Open(), th.Right.Open(), c.left, c.right)
		}
		if c.left != "" && th.Left.Paint("a") != c.left+"a\x1b[m" {
			t.Errorf("painted %q", th.Left.Paint("a"))
		}
		if th.Left.Paint("") != "" {
			t.Error("nothing to paint, and yet a sequence")
		}
	}
}

// TestContrast: both sides can be read on their background, and differ from each other and from the verdicts.
func TestContrast(t *testing.T) {
	for _, o := range []theme.Options{{Depth: theme.TrueColour, Dark: true}, {Depth: theme.TrueColour}} {
		th := theme.New(o)
		ground := [3]float64{255, 255, 255}
		if o.Dark {
			ground = [3]float64{30, 30, 30}
		}
		inks := map[string]theme.Style{"left": th.Left, "right": th.Right, "clear": th.Clear, "look": th.Look, "redo": th.Redo, "accent": th.Accent}
		for name, s := range inks {
			c, ok := parse(s)
			if !ok {
				continue // the terminal's own foreground
			}
			if got := contrast(c, ground); got < 4.5 {
				t.Errorf("%+v: %s has a contrast of %.1f", o, name, got)
			}
			for other, s2 := range inks {
				if d, ok := parse(s2); ok && name < other && distance(c, d) < 60 {
					t.Errorf("%+v: %s and %s are only %.0f apart", o, name, other, distance(c, d))
				}
			}
		}
	}
}

func parse(s theme.Style) (c [3]float64, ok bool) {
	_, after, ok := strings.Cut(s.Open(), "38;2;")
	for i, part := range strings.Split(strings.TrimSuffix(after, "m"), ";") {
		for _, digit := range part {
			c[i] = c[i]*10 + float64(digit-'0')
		}
	}
	return c, ok
}

// contrast is the ratio of relative luminances with the usual 0.05 of stray light.
func contrast(a, b [3]float64) float64 {
	luminance := func(c [3]float64) float64 {
		sum := 0.0
		for i, weight := range [3]float64{0.2126, 0.7152, 0.0722} {
			v := c[i] / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			sum += weight * v
		}
		return sum
	}
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// TestGlyphs: every sign has both forms, the plain ones are plain, signs take one cell, and no two that stand in the
// same place look alike.
func TestGlyphs(t *testing.T) {
	plain, full := theme.New(theme.Options{ASCII: true}).Glyph, theme.New(theme.Options{}).Glyph
	wide := map[string]int{"PlusMinus": 3, "Ellipsis": 2} // in plain characters
	for i := range reflect.TypeOf(plain).NumField() {
		name := reflect.TypeOf(plain).Field(i).Name
		a, u := reflect.ValueOf(plain).Field(i).String(), reflect.ValueOf(full).Field(i).String()
		if strings.IndexFunc(a, func(r rune) bool { return r >= 0x7f || r <= ' ' }) >= 0 || len(a) != max(1, wide[name]) {
			t.Errorf("%s: %q is not a plain sign", name, a)
		}
		if ansi.StringWidth(u) != 1 {
			t.Errorf("%s: %q is not one cell wide", name, u)
		}
	}
	for _, g := range []theme.Glyphs{plain, full} {
		seen := map[string]string{}
		for _, s := range g.Legend() {
			if s.Word == "" || seen[s.Glyph] != "" {
				t.Errorf("%q means %s and %s", s.Glyph, s.Word, seen[s.Glyph])
			}
			seen[s.Glyph] = s.Word
		}
	}
}

// TestComparable: equal options give equal themes, other options others.
func TestComparable(t *testing.T) {
	if a, b := theme.New(theme.Options{Dark: true}), theme.New(theme.Options{Dark: true}); a != b {
		t.Error("the same terminal, another theme")
	}
	if theme.New(theme.Options{Dark: true, Depth: theme.Colours16}) == theme.New(theme.Options{Depth: theme.Colours16}) {
		t.Error("dark and light are the same theme")
	}
}
