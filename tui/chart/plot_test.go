package chart

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"plateside/tui/theme"
)

// jump is an invented force-time curve of 8 s: stance, dip, push, flight, landing.
func jump(n int, scale, lean float64) []float64 {
	bump := func(x, at, width float64) float64 { return math.Exp(-(x - at) * (x - at) / (2 * width * width)) }
	v := make([]float64, n)
	for i := range v {
		x := float64(i) / float64(n) * 8
		force := 750 - 420*bump(x, 3.05, 0.13) + 950*bump(x, 3.5, 0.16) + 500*bump(x, 3.75+lean, 0.08)
		switch {
		case x > 3.93 && x < 4.45:
			force = 0
		case x >= 4.45:
			force = 750 + 2600*bump(x, 4.52+lean, 0.03) + 600*bump(x, 4.7, 0.1) - 250*bump(x, 5.1, 0.15)
		}
		if force > 0 {
			force += 4 * math.Sin(float64(i)*1.7)
		}
		v[i] = scale * force
	}
	return v
}

// jumpPlot is a plot of total, left and right with all that a plot can have but the cursor.
func jumpPlot(width, height, n int) Plot {
	series := func(scale, lean float64, form Form, ink Ink, label string) Series {
		return Series{Values: jump(n, scale, lean), StepS: 8 / float64(n), Form: form, Ink: ink, Label: label}
	}
	return Plot{Width: width, Height: height, X: Range{2.4, 5.4}, Y: Range{-50, 2500}, YUnit: "N", XLabels: true, XUnit: "s", XOrigin: 2.8,
		Levels: []Level{{Value: 750, Ink: InkWeight}},
		Series: []Series{series(1, 0, Double, InkTotal, "T"), series(0.53, 0.01, Solid, InkLeft, "L"), series(0.47, -0.01, Dashed, InkRight, "R")},
		Flags:  []Flag{{S: 4.52, Text: "^ 3360 N", Ink: InkDim}},
		Marks:  []Mark{{S: 2.8, Ink: InkDim}, {S: 3.3, Ink: InkDim}, {S: 3.93, Ink: InkDim}}}
}

func jumpStrip(width int, t theme.Theme) string {
	return Strip([]Segment{{Name: "stance", FromS: 2, ToS: 2.8, Ink: InkDim}, {Name: "unweighting", Short: "unw.", FromS: 2.8, ToS: 3.2},
		{Name: "braking", FromS: 3.2, ToS: 3.5}, {Name: "propulsion", FromS: 3.5, ToS: 3.93}, {Name: "flight", FromS: 3.93, ToS: 4.45},
		{Name: "landing", FromS: 4.45, ToS: 9}}, Range{2.4, 5.4}, width, t)
}

// stancePlot is a stance around body weight with its limit band, and the bar beneath.
func stancePlot(width, height int, t theme.Theme) []string {
	sway := make([]float64, 2500)
	for i := range sway {
		x := float64(i) / 1000
		sway[i] = 3*math.Sin(x*9) + 2*math.Sin(x*31)
		if x > 1.6 && x < 2.1 {
			sway[i] += 14 * math.Sin((x-1.6)*2*math.Pi)
		}
	}
	p := Plot{Width: width, Height: height, X: Range{0, 2.5}, Y: Range{-25, 25}, Series: []Series{{Values: sway, StepS: 0.001, Form: Double, Ink: InkTotal, Label: "T"}},
		Levels: []Level{{Value: 0, Ink: InkWeight}, {Value: 8, Ink: InkBand, Dotted: true}, {Value: -8, Ink: InkBand, Dotted: true}}}
	bar := Strip([]Segment{{FromS: 0.4, ToS: 1.4, Ink: InkDim, Filler: t.Glyph.WindowBar}, {FromS: 1.6, ToS: 2.1, Ink: InkTotal, Filler: t.Glyph.Redo}}, p.X, width, t)
	return append(Render(p, t), bar)
}

// page is all that the package draws, at one size.
func page(width, height int, t theme.Theme) []string {
	p := jumpPlot(width, height, 8000)
	rows := append(Render(p, t), jumpStrip(width, t), "")
	rows = append(rows, stancePlot(width, max(4, height/3), t)...)
	p.CursorS, p.HasCursor, p.CursorLabels = 3.62, true, true
	p.Series[0], p.Series[2] = p.Series[2], p.Series[0]
	rows = append(append(rows, ""), Render(p, t)...)
	rows = append(rows, "")
	other := Series{Values: jump(8000, 0.9, 0.05), StepS: 0.001, Ink: InkFaint}
	thumb := Thumb{Width: 22, Height: 4, X: p.X, Y: p.Y, Series: append(p.Series[2:], other), Levels: p.Levels}
	return append(rows, Thumbnail(thumb, t)...)
}

// update is -update: write the golden files instead of comparing with them.
var update = flag.Bool("update", false, "write the golden files")

// golden compares rows with a file of testdata.
func golden(t *testing.T, name string, rows []string) {
	t.Helper()
	path := filepath.Join("testdata", name+".txt")
	got := strings.Join(rows, "\n") + "\n"
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; -update writes it anew. Now:\n%s", path, got)
	}
}

// TestPages holds everything drawn against the golden files: three sizes, dots and plain characters, and once with
// colours.
func TestPages(t *testing.T) {
	for _, size := range [][2]int{{54, 10}, {88, 20}, {150, 34}} {
		for name, o := range map[string]theme.Options{"dots": {Plain: true}, "plain": {Plain: true, ASCII: true}} {
			golden(t, fmt.Sprintf("page_%dx%d_%s", size[0], size[1], name), page(size[0], size[1], theme.New(o)))
		}
	}
	colours := page(54, 10, theme.New(theme.Options{Depth: theme.TrueColour, Dark: true}))
	for i, row := range colours {
		colours[i] = strings.ReplaceAll(row, "\x1b", "\\e")
	}
	golden(t, "page_54x10_colours", colours)
}

// TestSameWithoutColours: what a colour terminal shows is the same text.
func TestSameWithoutColours(t *testing.T) {
	plain := page(88, 20, theme.New(theme.Options{Plain: true}))
	for _, depth := range []theme.Depth{theme.NoColour, theme.Colours16, theme.Colours256, theme.TrueColour} {
		for i, row := range page(88, 20, theme.New(theme.Options{Depth: depth})) {
			if got := ansi.Strip(row); got != plain[i] {
				t.Errorf("depth %d: row %d is %q, want %q", depth, i, got, plain[i])
			}
		}
	}
}

// TestPlainIsPlain: plain characters are plain, to the last.
func TestPlainIsPlain(t *testing.T) {
	for _, row := range page(88, 20, theme.New(theme.Options{ASCII: true, Plain: true})) {
		if i := strings.IndexFunc(row, func(r rune) bool { return r > '~' || r < ' ' }); i >= 0 {
			t.Errorf("%q", row)
		}
	}
}

// TestRenderSize: every row has exactly the width that was asked for, whatever the size and the terminal.
func TestRenderSize(t *testing.T) {
	for _, o := range []theme.Options{{Depth: theme.TrueColour, Dark: true}, {Depth: theme.Colours16}, {ASCII: true}, {ASCII: true, Plain: true}} {
		th := theme.New(o)
		for _, size := range [][2]int{{0, 0}, {-3, -1}, {3, 1}, {12, 9}, {13, 3}, {14, 4}, {56, 10}, {90, 20}, {240, 60}} {
			p := jumpPlot(size[0], size[1], 8000)
			p.Flags = append(p.Flags, Flag{S: 5.39, Text: "\u25b2 3620 newtons at the very edge"}, Flag{S: 2.5, Text: "x", Bottom: true}, Flag{S: math.NaN(), Text: "?"})
			p.Marks = append(p.Marks, Mark{S: math.NaN()}, Mark{S: 99}, Mark{S: -99, Top: true}, Mark{S: 5.4, Top: true})
			p.Levels = append(p.Levels, Level{Value: math.NaN()}, Level{Value: 1e9})
			p.YUnit, p.CursorS, p.HasCursor, p.CursorLabels = "a long unit", 3.3, true, true
			rows := Render(p, th)
			if len(rows) != max(0, size[1]) {
				t.Fatalf("%v: %d rows", size, len(rows))
			}
			thumb := Thumbnail(Thumb{Width: size[0], Height: size[1], X: p.X, Y: p.Y, Series: p.Series, Levels: p.Levels}, th)
			if len(thumb) != max(0, size[1]) {
				t.Fatalf("%v: a thumbnail of %d rows", size, len(thumb))
			}
			for _, row := range slices.Concat(rows, thumb, []string{jumpStrip(size[0], th)}) {
				if got := ansi.StringWidth(row); got != max(0, size[0]) {
					t.Errorf("%v: a row is %d wide: %q", size, got, row)
				}
				if o.Plain && strings.ContainsRune(row, '\x1b') {
					t.Errorf("escape sequence on a plain terminal: %q", row)
				}
			}
		}
	}
}

// TestOddRanges: ranges in which nothing can be drawn give blank rows, and odd series draw nothing.
func TestOddRanges(t *testing.T) {
	th := theme.New(theme.Options{Plain: true})
	nan, inf := math.NaN(), math.Inf(1)
	for _, r := range []Range{{0, 0}, {1, 0}, {nan, 1}, {0, nan}, {0, inf}, {-inf, inf}, {-math.MaxFloat64, math.MaxFloat64}} {
		for _, p := range []Plot{{X: r, Y: Range{0, 1}}, {X: Range{0, 1}, Y: r}} {
			p.Width, p.Height, p.XLabels, p.CursorS, p.HasCursor = 40, 8, true, 0.5, true
			p.Series = []Series{{Values: []float64{0, 1}, StepS: 1, Label: "T"}}
			if got := strings.Join(Render(p, th), ""); got != strings.Repeat(" ", 320) {
				t.Errorf("%v: %q", r, got)
			}
		}
	}
	for _, s := range []Series{{}, {Values: []float64{nan, inf}, StepS: 1}, {Values: []float64{0.5, 0.5}}, {Values: []float64{0.5, 0.5}, StepS: -1}, {Values: []float64{0.5, 0.5}, StepS: nan},
		{Values: []float64{0.5, 0.5}, StepS: 1, FirstS: nan}, {Values: []float64{0.5, 0.5}, StepS: 0.001, FirstS: 50}} {
		s.Label = "T"
		d := Draw(Plot{Width: 40, Height: 8, X: Range{0, 1}, Y: Range{0, 1}, Series: []Series{s}}, th)
		for _, c := range d.area.cells {
			if c.kind == trace {
				t.Errorf("%+v draws something", s)
				break
			}
		}
	}
}

// TestFixedOrder: the colour of a shared cell does not depend on the order of the series.
func TestFixedOrder(t *testing.T) {
	flat := func(ink Ink) Series { return Series{Values: []float64{1, 1}, StepS: 1, Ink: ink} }
	for _, c := range []struct {
		inks []Ink
		want Ink
	}{
		{[]Ink{InkTotal}, InkTotal},
		{[]Ink{InkTotal, InkLeft}, InkLeft},
		{[]Ink{InkRight, InkTotal}, InkRight},
		{[]Ink{InkLeft, InkRight}, InkBoth},
		{[]Ink{InkTotal, InkRight, InkLeft}, InkBoth},
		{[]Ink{InkFaint, InkTotal}, InkTotal},
		{[]Ink{InkFaint, InkLeft, InkRight}, InkBoth},
		{[]Ink{InkLeft, InkLeft}, InkLeft},
	} {
		for range 2 {
			slices.Reverse(c.inks)
			p := Plot{Width: 30, Height: 6, X: Range{0, 1}, Y: Range{0, 2}, Levels: []Level{{Value: 1, Ink: InkWeight}}}
			for _, ink := range c.inks {
				p.Series = append(p.Series, flat(ink))
			}
			d := Draw(p, theme.New(theme.Options{}))
			for _, cell := range d.area.cells {
				if cell.kind == trace && cell.ink != c.want {
					t.Fatalf("%v: a cell has ink %d, want %d", c.inks, cell.ink, c.want)
				}
				if cell.kind == level {
					t.Fatalf("%v: the level is seen through the trace", c.inks)
				}
			}
		}
	}
}

// TestFaintGivesWay: the dots of a faint trace are not mixed into those of another in the same cell.
func TestFaintGivesWay(t *testing.T) {
	d := Draw(Plot{Width: 30, Height: 3, X: Range{0, 1}, Y: Range{0, 11}, Series: []Series{{Values: []float64{6, 6}, StepS: 1, Ink: InkLeft},
		{Values: []float64{5, 5}, StepS: 1, Ink: InkFaint}, {Values: []float64{1, 1}, StepS: 1, Ink: InkFaint}}}, theme.New(theme.Options{}))
	if c := d.area.at(3, 1); c.r != '⠒' || c.ink != InkLeft {
		t.Errorf("%q in ink %d", c.r, c.ink)
	}
	if c := d.area.at(3, 2); c.r != '⠤' || c.ink != InkFaint {
		t.Errorf("%q in ink %d", c.r, c.ink)
	}
}

// TestCursorIsAnOverlay: moving the cursor over a picture gives what drawing it anew gives, leaves all other columns as
// they were, and leaves no trace of where it was.
func TestCursorIsAnOverlay(t *testing.T) {
	th := theme.New(theme.Options{Depth: theme.Colours16, Dark: true})
	p := jumpPlot(80, 16, 8000)
	d := Draw(p, th)
	without := d.Rows()
	for _, s := range []float64{2.4, 3, 3.5, 5.4, 2.41} {
		anew := p
		anew.CursorS, anew.HasCursor = s, true
		moved := d.RowsWithCursor(s)
		if !slices.Equal(moved, Render(anew, th)) {
			t.Fatalf("cursor at %v: the overlay differs from a new picture", s)
		}
		changed := map[int]int{}
		for y, row := range moved {
			a, b := []rune(ansi.Strip(row)), []rune(ansi.Strip(without[y]))
			for x := range a {
				if a[x] != b[x] {
					changed[x]++
				}
			}
		}
		if want := gutter + d.m.column(s)/2; len(changed) != 1 || changed[want] == 0 {
			t.Errorf("cursor at %v: columns %v changed, want %d alone", s, changed, want)
		}
	}
	if !slices.Equal(d.Rows(), without) {
		t.Error("the cursor stayed in the picture")
	}
	for _, s := range []float64{-5, 99, math.NaN(), math.Inf(1)} {
		if !slices.Equal(d.RowsWithCursor(s), without) {
			t.Errorf("a cursor at %v is drawn", s)
		}
	}
}

// TestCursorLabels: each series is named beside the cursor on its own row.
func TestCursorLabels(t *testing.T) {
	p := Plot{Width: 40, Height: 9, X: Range{0, 1}, Y: Range{0, 8}, CursorLabels: true}
	for i, label := range []string{"L", "R", "T"} {
		v := float64(2*i + 1)
		p.Series = append(p.Series, Series{Values: []float64{v, math.NaN(), v, v + 2, math.NaN()}, StepS: 0.25, Label: label})
	}
	rows := Draw(p, theme.New(theme.Options{Plain: true})).RowsWithCursor(0.5)
	for y, label := range map[int]string{7: "L", 5: "R", 3: "T"} {
		if !strings.Contains(rows[y], label+"│") {
			t.Errorf("row %d is %q, want %s at the cursor", y, rows[y], label)
		}
	}
}

// TestMarksHideNothing: marks take cells without a trace.
func TestMarksHideNothing(t *testing.T) {
	th := theme.New(theme.Options{Plain: true})
	p := jumpPlot(80, 16, 8000)
	p.Marks, p.Flags = nil, nil
	before := Draw(p, th)
	for x := 2.4; x < 5.4; x += 0.01 {
		p.Marks = append(p.Marks, Mark{S: x}, Mark{S: x, Top: true})
	}
	after := Draw(p, th)
	drawn := 0
	for i, c := range before.area.cells {
		switch now := after.area.cells[i]; {
		case c.kind == trace && now != c:
			t.Fatalf("a mark hides the trace in cell %d", i)
		case now != c:
			drawn++
		}
	}
	if drawn < before.area.wide {
		t.Errorf("only %d marks were drawn", drawn)
	}
}

// TestLineEnds: the labels stand by the ends of their lines, also where two lines end in one row.
func TestLineEnds(t *testing.T) {
	p := Plot{Width: 40, Height: 8, X: Range{0, 1}, Y: Range{0, 8}}
	for label, v := range map[string]float64{"T": 7.5, "L": 1.5, "R": 1.4} {
		p.Series = append(p.Series, Series{Values: []float64{v, v}, StepS: 1, Label: label})
	}
	rows := Render(p, theme.New(theme.Options{Plain: true}))
	if !strings.HasSuffix(rows[0], " T") {
		t.Errorf("T is not at its line: %q", rows)
	}
	near := strings.Join([]string{rows[5], rows[6], rows[7]}, "")
	if strings.Count(near, " L") != 1 || strings.Count(near, " R") != 1 {
		t.Errorf("L and R are not at their lines: %q", rows)
	}
}

// TestStripFits: the strip names what has room, whole, short, or by letters, and marks where each begins.
func TestStripFits(t *testing.T) {
	th := theme.New(theme.Options{Plain: true})
	for width, want := range map[int]string{
		100: "stance       │unweighting │braking  │propulsion   │flight         │landing",
		60:  "stance │unwei│brak│propul│flight │landing",
	} {
		if got := strings.TrimSpace(jumpStrip(width, th)); got != want {
			t.Errorf("%d cells: %q", width, got)
		}
	}
	for width := range 260 {
		row := jumpStrip(width, th)
		if got := ansi.StringWidth(row); got != width {
			t.Fatalf("%d cells: %d wide", width, got)
		}
	}
}
