package chart

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

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
