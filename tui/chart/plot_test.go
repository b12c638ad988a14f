package chart_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/NimbleMarkets/ntcharts/v2/linechart/timeserieslinechart"
	"github.com/charmbracelet/x/ansi"

	"plateside/tui/chart"
	"plateside/tui/theme"
)

// jump is a curve with the shape of a jump.
func jump(n int, scale float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		x := float64(i) / float64(n) * 8
		v[i] = scale * (750 - 400*math.Exp(-(x-3)*(x-3)*8) + 1100*math.Exp(-(x-3.6)*(x-3.6)*14) + 2*math.Sin(float64(i)))
		if x > 4 && x < 4.5 {
			v[i] = 0
		}
	}
	return v
}

func plot(width, height, n int) chart.Plot {
	series := func(scale float64, form chart.Form, ink chart.Ink, label string) chart.Series {
		return chart.Series{Values: jump(n, scale), StepS: 8 / float64(n), Form: form, Ink: ink, Label: label}
	}
	return chart.Plot{Width: width, Height: height, X: chart.Range{From: 0, To: 8}, Y: chart.Range{From: 0, To: 2500}, YUnit: "N",
		XLabels: true, XUnit: "s", Levels: []chart.Level{{Value: 750, Ink: chart.InkWeight}},
		Series: []chart.Series{series(1, chart.Double, chart.InkTotal, "T"), series(0.52, chart.Solid, chart.InkLeft, "L"),
			series(0.48, chart.Dashed, chart.InkRight, "R")}}
}

// TestRenderSize: every row has exactly the width that was asked for, whatever the size and the terminal.
func TestRenderSize(t *testing.T) {
	for _, o := range []theme.Options{{Depth: theme.TrueColour, Dark: true}, {Depth: theme.Colours16}, {ASCII: true}, {ASCII: true, Plain: true}} {
		for _, size := range [][2]int{{3, 1}, {14, 4}, {56, 10}, {90, 20}, {240, 60}} {
			p := plot(size[0], size[1], 8000)
			p.Flags = []chart.Flag{{S: 7.9, Text: "▲ 3620"}, {S: 1, Text: "x", Bottom: true}}
			p.CursorS, p.HasCursor = 3.3, true
			rows := chart.Render(p, theme.New(o))
			if len(rows) != size[1] {
				t.Fatalf("%v: %d rows", size, len(rows))
			}
			for _, row := range rows {
				if got := ansi.StringWidth(row); got != size[0] {
					t.Errorf("%v: a row is %d wide: %q", size, got, row)
				}
				if o.Plain && strings.ContainsRune(row, '\x1b') {
					t.Errorf("escape sequence on a plain terminal: %q", row)
				}
			}
		}
	}
}

// TestStripFits: the strip is as wide as the plot and names what has room.
func TestStripFits(t *testing.T) {
	segments := []chart.Segment{{Name: "unweighting", FromS: 2, ToS: 4}, {Name: "braking", FromS: 4, ToS: 4.4}, {Name: "flight", FromS: 5, ToS: 9}}
	row := chart.Strip(segments, chart.Range{From: 0, To: 8}, 80, theme.New(theme.Options{Plain: true}))
	if ansi.StringWidth(row) != 80 || !strings.Contains(row, "unweighting") || !strings.Contains(row, "flight") {
		t.Errorf("strip %q", row)
	}
}

func BenchmarkRender(b *testing.B) {
	p, th := plot(129, 31, 8000), theme.New(theme.Options{Depth: theme.Colours256, Dark: true})
	b.ReportAllocs()
	for b.Loop() {
		chart.Render(p, th)
	}
}

// BenchmarkTimeSeriesPeer draws the same three series with ntcharts' own time series chart, for the ratio.
func BenchmarkTimeSeriesPeer(b *testing.B) {
	p := plot(129, 31, 8000)
	start := time.Unix(0, 0)
	b.ReportAllocs()
	for b.Loop() {
		c := timeserieslinechart.New(120, 30)
		for _, s := range p.Series {
			for i, v := range s.Values {
				c.PushDataSet(s.Label, timeserieslinechart.TimePoint{Time: start.Add(time.Duration(float64(i) * s.StepS * 1e9)), Value: v})
			}
		}
		c.DrawBrailleAll()
		_ = c.View()
	}
}
