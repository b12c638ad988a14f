package chart

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"plateside/tui/theme"
)

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
		{[]Ink{InkLeft, InkRight, InkRight, InkLeft}, InkBoth},
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

// TestCursorLabels: each series is named beside the cursor on its own row, right of it or, where a trace is, left of it.
func TestCursorLabels(t *testing.T) {
	nan := math.NaN()
	p := Plot{Width: 40, Height: 9, X: Range{0, 1}, Y: Range{0, 8}, CursorLabels: true, Series: []Series{
		{Values: []float64{nan, nan, 1, nan, nan}, StepS: 0.25, Label: "L"},
		{Values: []float64{nan, nan, 3, 3, nan}, StepS: 0.25, Label: "R"},
		{Values: []float64{nan, 5, 5, 5, nan}, StepS: 0.25, Label: "T"},
		{Values: []float64{7, 7, nan, 7, 7}, StepS: 0.25, Label: "X"}}}
	d := Draw(p, theme.New(theme.Options{Plain: true}))
	at := gutter + d.m.column(0.5)/2
	for y, want := range map[int]string{7: " L", 5: "R?", 3: "??", 1: "  "} {
		row := []rune(d.RowsWithCursor(0.5)[y])
		got := ""
		for _, r := range []rune{row[at-1], row[at+1]} {
			if r >= emptyBraille {
				r = '?'
			}
			got += string(r)
		}
		if got != want {
			t.Errorf("row %d: %q beside the cursor, want %q", y, got, want)
		}
	}
}

// TestTimeAt: a click finds the time whose cursor stands there.
func TestTimeAt(t *testing.T) {
	d := Draw(jumpPlot(80, 16, 800), theme.New(theme.Options{}))
	for column := range 80 {
		s, ok := d.TimeAt(column)
		if inside := column >= gutter && column < 80-margin; ok != inside {
			t.Errorf("column %d: %v", column, ok)
		} else if ok && gutter+d.m.column(s)>>1 != column {
			t.Errorf("column %d: at %v the cursor is in column %d", column, s, gutter+d.m.column(s)>>1)
		}
	}
	if _, ok := Draw(Plot{}, theme.Theme{}).TimeAt(9); ok {
		t.Error("there is a time in an empty plot")
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

// TestLineEnds: the labels stand by the ends of their lines, in the lines' order, also where lines end in one row or at
// an edge.
func TestLineEnds(t *testing.T) {
	for _, c := range []struct {
		name string
		ends map[string]float64
		want string // a letter a row
	}{
		{"apart", map[string]float64{"T": 7.5, "L": 4.5, "R": 1.5}, "T  L  R "},
		{"one row", map[string]float64{"T": 7.5, "L": 4.6, "R": 4.4}, "T  LR   "},
		{"one row, the right one higher", map[string]float64{"T": 7.5, "L": 4.4, "R": 4.6}, "T  RL   "},
		{"at the bottom", map[string]float64{"T": 0.2, "L": 0.1, "R": 0}, "     TLR"},
		{"above and below the picture", map[string]float64{"T": 99, "L": 98, "R": -9}, "TL     R"},
		{"all alike", map[string]float64{"T": 4, "L": 4, "R": 4}, "    TLR "},
	} {
		p := Plot{Width: 40, Height: 8, X: Range{0, 1}, Y: Range{0, 8}}
		for _, label := range []string{"R", "L", "T"} {
			v := c.ends[label]
			p.Series = append(p.Series, Series{Values: []float64{v, v}, StepS: 1, Label: label, Ink: map[string]Ink{"T": InkTotal, "L": InkLeft, "R": InkRight}[label]})
		}
		got := ""
		for _, row := range Render(p, theme.New(theme.Options{Plain: true})) {
			got += row[len(row)-1:]
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	p := Plot{Width: 40, Height: 2, X: Range{0, 1}, Y: Range{0, 8}}
	for range 5 {
		p.Series = append(p.Series, Series{Values: []float64{1, 1}, StepS: 1, Label: "L"})
	}
	if rows := Render(p, theme.New(theme.Options{Plain: true})); len(rows) != 2 || ansi.StringWidth(rows[1]) != 40 {
		t.Errorf("more labels than rows: %q", rows)
	}
	p.Series = []Series{{Values: []float64{1, 1, 1}, StepS: 1, FirstS: -9, Label: "L"}}
	if rows := Render(p, theme.New(theme.Options{Plain: true})); strings.Contains(strings.Join(rows, ""), "L") {
		t.Errorf("a line outside the picture has a label: %q", rows)
	}
}

// TestStripFits: the strip names what has room, whole, short, or by letters, and marks where each begins.
func TestStripFits(t *testing.T) {
	th := theme.New(theme.Options{Plain: true})
	for width, want := range map[int]string{
		100: "stance      │unweighting│braking │propulsion  │flight         │landing",
		60:  "stance│unw.  │bra.│propul.│flight │landing",
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
