package chart

import (
	"strings"
	"testing"
	"time"

	"charm.land/lipgloss/v2"
	"github.com/NimbleMarkets/ntcharts/v2/linechart/timeserieslinechart"

	"plateside/tui/theme"
)

// The picture that is timed: three traces of 8,000 samples in 120 x 30 cells of dots, with colours.
const (
	timedWide, timedHigh = 120, 30
	timedSamples         = 8000
)

func timedTheme() theme.Theme { return theme.New(theme.Options{Depth: theme.Colours256, Dark: true}) }

func timedPlot() Plot {
	p := jumpPlot(timedWide+gutter+margin, timedHigh+1, timedSamples)
	p.X = Range{0, 8}
	return p
}

// peer returns the drawing of the same three series by ntcharts' time series chart. The data are handed over
// beforehand; it counts whole seconds, so a sample is a second to it.
func peer(p Plot) func() string {
	c := timeserieslinechart.New(timedWide, timedHigh)
	start := time.Unix(0, 0)
	names := []string{}
	for i, s := range p.Series {
		names = append(names, s.Label)
		c.SetDataSetStyle(s.Label, lipgloss.NewStyle().Foreground(lipgloss.ANSIColor(9+i)))
		for i, v := range s.Values {
			c.PushDataSet(s.Label, timeserieslinechart.TimePoint{Time: start.Add(time.Duration(i) * time.Second), Value: v})
		}
	}
	c.SetYRange(p.Y.From, p.Y.To)
	c.SetViewTimeAndYRange(start, start.Add(timedSamples*time.Second), p.Y.From, p.Y.To)
	return func() string {
		c.Clear()
		c.DrawXYAxisAndLabel()
		c.DrawBrailleDataSets(names)
		return c.View()
	}
}

// onGrid is the same picture with ntcharts' grid in place of the bitmap, dashes left out.
func onGrid(p Plot, t theme.Theme) []string {
	return Thumbnail(Thumb{Width: timedWide, Height: timedHigh, X: p.X, Y: p.Y, Series: p.Series, Levels: p.Levels}, t)
}

func BenchmarkRender(b *testing.B) {
	p, t := timedPlot(), timedTheme()
	b.ReportAllocs()
	for b.Loop() {
		Render(p, t)
	}
}

func BenchmarkRenderOnGrid(b *testing.B) {
	p, t := timedPlot(), timedTheme()
	b.ReportAllocs()
	for b.Loop() {
		onGrid(p, t)
	}
}

// BenchmarkCursor moves the cursor over a drawn picture.
func BenchmarkCursor(b *testing.B) {
	d := Draw(timedPlot(), timedTheme())
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		d.RowsWithCursor(float64(i%800) / 100)
	}
}

// BenchmarkThumbnail draws one trace of a page of many.
func BenchmarkThumbnail(b *testing.B) {
	p, t := timedPlot(), timedTheme()
	b.ReportAllocs()
	for b.Loop() {
		Thumbnail(Thumb{Width: 22, Height: 4, X: p.X, Y: p.Y, Series: p.Series[:1]}, t)
	}
}

func BenchmarkPeerTimeSeries(b *testing.B) {
	draw := peer(timedPlot())
	b.ReportAllocs()
	for b.Loop() {
		draw()
	}
}

// least returns the shortest of n runs.
func least(n int, run func()) time.Duration {
	shortest := time.Hour
	for range n {
		start := time.Now()
		run()
		shortest = min(shortest, time.Since(start))
	}
	return shortest
}

// TestBudget holds the cost of a picture under a millisecond and under a tenth of what the peer takes for the same three
// series, timed in the same run.
func TestBudget(t *testing.T) {
	if testing.Short() {
		t.Skip("timings are not taken with -short")
	}
	p, th := timedPlot(), timedTheme()
	drawPeer := peer(p)
	if lit := strings.IndexFunc(drawPeer(), func(r rune) bool { return r > emptyBraille && r <= emptyBraille+0xff }); lit < 0 {
		t.Fatal("the peer draws nothing")
	}
	own, other := least(40, func() { Render(p, th) }), least(10, func() { drawPeer() })
	t.Logf("own %v, peer %v: 1/%.0f", own, other, float64(other)/float64(own))
	if own*10 > other {
		t.Errorf("a picture takes %v, the peer's %v", own, other)
	}
	if allocs := testing.AllocsPerRun(20, func() { Render(p, th) }); allocs > 60 {
		t.Errorf("a picture allocates %.0f times", allocs)
	}
}
