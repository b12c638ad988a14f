package chart

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/NimbleMarkets/ntcharts/v2/canvas"
	"github.com/NimbleMarkets/ntcharts/v2/canvas/graph"
)

// A slow is the slow twin of the bitmap: every dot by itself, in a table of truth values that ntcharts' grid turns into
// patterns.
type slow struct {
	wide, high int
	lit        [][]bool // by column
}

func newSlow(wide, high int) *slow {
	s := &slow{wide: wide, high: high, lit: make([][]bool, wide)}
	for x := range s.lit {
		s.lit[x] = make([]bool, high)
	}
	return s
}

func (s *slow) vertical(x, a, b int) {
	for y := max(0, min(a, b)); y <= min(max(a, b), s.high-1); y++ {
		if x >= 0 && x < s.wide {
			s.lit[x][y] = true
		}
	}
}

// everySegment draws the line between every two neighbouring samples of the whole series.
func (s *slow) everySegment(k Series, m mapping) {
	for i, v := range k.Values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		x, y := m.column(k.at(i)), m.row(v)
		s.vertical(x, y, y)
		if i > 0 && finite(k.Values[i-1]) {
			join(s, s.wide, point{m.column(k.at(i - 1)), m.row(k.Values[i-1])}, point{x, y})
		}
	}
}

// thicken lights the dot below every lit one.
func (s *slow) thicken() {
	for x := range s.lit {
		for y := s.high - 1; y > 0; y-- {
			s.lit[x][y] = s.lit[x][y] || s.lit[x][y-1]
		}
	}
}

// dashes is the rule of bitmap.dash, dot by dot.
func (s *slow) dashes() {
	solid := newSlow(s.wide, s.high)
	for x := range s.lit {
		copy(solid.lit[x], s.lit[x])
	}
	for x := range s.lit {
		if x%6 < 4 {
			continue
		}
		left, right := x/6*6+3, x/6*6+6
		low, top := s.high, -1
		for _, n := range []int{left, right} {
			if n < s.wide {
				l, t := solid.reach(n)
				low, top = min(low, l), max(top, t)
			}
		}
		own, ownTop := solid.reach(x)
		for y := range s.high {
			peak := y < low-1 || y > top+1
			steep := ownTop-own+1 > 6 && y%6 < 4
			s.lit[x][y] = solid.lit[x][y] && (peak || steep)
		}
	}
}

// reach returns the first and last lit row of a column.
func (s *slow) reach(x int) (low, top int) {
	low, top = s.high, -1
	for y, lit := range s.lit[x] {
		if lit {
			low, top = min(low, y), y
		}
	}
	return low, top
}

// picture returns the dots as text, through ntcharts' grid.
func (s *slow) picture() string {
	g := graph.NewBrailleGrid(s.wide/2, s.high/4, 0, 1, 0, 1)
	for x := range s.lit {
		for y, lit := range s.lit[x] {
			if lit {
				g.Set(canvas.Point{X: x, Y: y})
			}
		}
	}
	return patterns(g.BraillePatterns())
}

func patterns(rows [][]rune) string {
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(string(row) + "\n")
	}
	return b.String()
}

func (b *bitmap) picture() string {
	var s strings.Builder
	for i, bits := range b.bits {
		s.WriteRune(emptyBraille + rune(bits))
		if (i+1)%(b.wide/2) == 0 {
			s.WriteByte('\n')
		}
	}
	return s.String()
}

// twins draws a series the fast way and the slow way.
func twins(s Series, m mapping) (fast, all string) {
	b := newBitmap(m.wide/2, m.high/4)
	b.reset(s.Form == Double)
	s.draw(b, m)
	twin := newSlow(m.wide, m.high)
	twin.everySegment(s, m)
	switch s.Form {
	case Dashed:
		b.dash()
		twin.dashes()
	case Double:
		twin.thicken()
	case Solid:
	}
	return b.picture(), twin.picture()
}

// A painting is a random picture: its length, its sampling, its gaps and wild values, its size, zoom and clip.
func painting(rng *rand.Rand) (Series, mapping) {
	n := 1 + rng.IntN([]int{5, 60, 700, 6000}[rng.IntN(4)])
	s := Series{Values: make([]float64, n), FirstS: rng.NormFloat64() * 10, StepS: 0.0002 + 0.01*rng.Float64(), Form: Form(rng.IntN(3))}
	v, smooth := 0.0, rng.Float64()
	odd := []int{0, 2, 20, 300}[rng.IntN(4)]
	for i := range s.Values {
		v += rng.NormFloat64() * (1 - smooth)
		s.Values[i] = v + 50*math.Sin(float64(i)/200*smooth)
		if odd > 0 && rng.IntN(odd) == 0 {
			s.Values[i] = []float64{math.NaN(), math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e12, 0, math.Copysign(0, -1)}[rng.IntN(8)]
		}
	}
	span := float64(n) * s.StepS
	m := mapping{x: Range{s.FirstS, s.FirstS + span}, y: Range{-60, 60}, wide: 2 * (1 + rng.IntN(120)), high: 4 * (1 + rng.IntN(30))}
	switch rng.IntN(3) {
	case 0: // zoomed and clipped
		m.x.From += span * 0.49 * rng.Float64()
		m.x.To -= span * 0.49 * rng.Float64()
		m.y = Range{-20 * rng.Float64(), 1 + 20*rng.Float64()}
	case 1: // a few samples, or fewer, or none
		m.x.From += span * rng.Float64()
		m.x.To = m.x.From + s.StepS*5*rng.Float64() + 1e-6
	}
	return s, m
}

// TestPictureTruth holds the fast drawing against the slow one, dot by dot.
func TestPictureTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	lit := map[Form]int{}
	pictures := 4000
	if testing.Short() {
		pictures = 1500
	}
	for k := range pictures {
		s, m := painting(rng)
		fast, all := twins(s, m)
		if fast != all {
			t.Fatalf("picture %d (%d samples, form %d, %d x %d dots, %v) differs:\n%s\nwant\n%s", k, len(s.Values), s.Form, m.wide, m.high, m.x, fast, all)
		}
		if strings.Trim(all, "\u2800\n") != "" {
			lit[s.Form]++
		}
	}
	if lit[Solid] < 300 || lit[Dashed] < 300 || lit[Double] < 300 {
		t.Fatalf("too few pictures had anything in them: %v", lit)
	}
}

// FuzzPictureTruth does the same with values from the bytes of the fuzzer.
func FuzzPictureTruth(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 250, 0, 128, 127, 3, 9}, uint8(20), uint8(5), 0.0, 1.0, uint8(1))
	f.Add([]byte("a jump and its landing, in letters"), uint8(3), uint8(1), 0.2, 0.1, uint8(2))
	f.Fuzz(func(t *testing.T, data []byte, wide, high uint8, from, span float64, form uint8) {
		if !(math.Abs(from) < 1e3) || !(span > 1e-6) || span > 1e3 || len(data) > 20000 || len(data) == 0 || wide == 0 || high == 0 {
			t.Skip()
		}
		s := Series{StepS: 1 / float64(len(data)), Form: Form(form % 3)}
		for i := 0; i+2 <= len(data); i += 2 {
			v := float64(int16(binary.LittleEndian.Uint16(data[i:])))
			if v == math.MinInt16 {
				v = math.NaN()
			}
			s.Values = append(s.Values, v/100)
		}
		m := mapping{x: Range{from, from + span}, y: Range{-200, 200}, wide: 2 * int(wide), high: 4 * int(high)}
		if fast, all := twins(s, m); fast != all {
			t.Fatalf("differs:\n%s\nwant\n%s", fast, all)
		}
	})
}

// TestJoin holds the line rule against pictures drawn by hand; from the other end it is the same.
func TestJoin(t *testing.T) {
	for _, c := range []struct {
		a, b point
		want []string
	}{
		{point{0, 0}, point{0, 3}, []string{"#...", "#...", "#...", "#..."}},
		{point{0, 1}, point{3, 1}, []string{"....", "####", "....", "...."}},
		{point{0, 0}, point{1, 3}, []string{"#...", "#...", "##..", ".#.."}},
		{point{-2, -2}, point{5, 5}, []string{"#...", "##..", ".##.", "..##"}},
		{point{-5, 9}, point{9, 9}, []string{"....", "....", "....", "...."}},
	} {
		for range 2 {
			s := newSlow(4, 4)
			c.a, c.b = c.b, c.a
			join(s, s.wide, c.a, c.b)
			for y, want := range c.want {
				for x := range want {
					if s.lit[x][y] != (want[x] == '#') {
						t.Fatalf("%v to %v: dot %d, %d is %v", c.a, c.b, x, y, s.lit[x][y])
					}
				}
			}
		}
	}
}

// TestClip: what is seen of a picture is what is seen in a larger one with the edges cut off. Ranges and values are such
// that both map exactly.
func TestClip(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for k := range 500 {
		s := Series{StepS: 1}
		for range 2 + rng.IntN(60) {
			s.Values = append(s.Values, float64(rng.IntN(400)-184))
		}
		small := mapping{x: Range{8, 8 + 31}, y: Range{0, 31}, wide: 32, high: 32}
		large := mapping{x: Range{-8, -8 + 63}, y: Range{-320, 351}, wide: 64, high: 672}
		a, b := newBitmap(16, 8), newBitmap(32, 168)
		a.reset(false)
		b.reset(false)
		s.draw(a, small)
		s.draw(b, large)
		for y := range 8 {
			for x := range 16 {
				if got, want := a.bits[y*16+x], b.bits[(y+80)*32+x+8]; got != want {
					t.Fatalf("picture %d: cell %d, %d has the dots %08b, want %08b", k, x, y, got, want)
				}
			}
		}
	}
}

// TestPeaksStay: a dashed line reaches as high and as low as the solid one, to one dot.
func TestPeaksStay(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for k := range 1000 {
		s, m := painting(rng)
		b := newBitmap(m.wide/2, m.high/4)
		b.reset(false)
		s.draw(b, m)
		low, top := edges(b)
		b.dash()
		dashedLow, dashedTop := edges(b)
		if top >= 0 && (dashedLow > low+1 || dashedTop < top-1) {
			t.Fatalf("picture %d: solid rows %d to %d, dashed %d to %d", k, low, top, dashedLow, dashedTop)
		}
	}
	// a spike of one sample, in every column of a period
	for at := 12; at < 18; at++ {
		s := Series{Values: make([]float64, 40), StepS: 1, Form: Dashed}
		s.Values[at] = 30
		b := newBitmap(20, 8)
		b.reset(false)
		s.draw(b, mapping{x: Range{0, 39}, y: Range{0, 31}, wide: 40, high: 32})
		b.dash()
		if low, _ := edges(b); low > 2 {
			t.Errorf("a spike in column %d reaches only row %d", at, low)
		}
	}
}

// edges returns the first and last lit row.
func edges(b *bitmap) (low, top int) {
	low, top = b.high, -1
	for y := range b.high {
		for x := range b.wide {
			if b.bits[(y>>2)*(b.wide>>1)+x>>1]&dot(x, y) != 0 {
				low, top = min(low, y), max(top, y)
			}
		}
	}
	return low, top
}

// TestDashes: a level dashed line is four dots on, two off.
func TestDashes(t *testing.T) {
	s := Series{Values: make([]float64, 100), StepS: 1, Form: Dashed}
	b := newBitmap(9, 1)
	b.reset(false)
	s.draw(b, mapping{x: Range{0, 99}, y: Range{-1, 1}, wide: 18, high: 4})
	b.dash()
	if got, want := b.picture(), "⠤⠤\u2800⠤⠤\u2800⠤⠤\u2800\n"; got != want && got != strings.ReplaceAll(want, "⠤", "⠒") {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestGridIsBitmap: thumbnails are drawn by the same dots as the large picture.
func TestGridIsBitmap(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for k := range 300 {
		s, m := painting(rng)
		s.Form = []Form{Solid, Double}[rng.IntN(2)]
		b, g := newBitmap(m.wide/2, m.high/4), newGrid(m.wide/2, m.high/4, s.Form == Double)
		b.reset(s.Form == Double)
		s.draw(b, m)
		s.draw(g, m)
		if got, want := patterns(g.BraillePatterns()), b.picture(); got != want {
			t.Fatalf("picture %d differs:\n%s\nwant\n%s", k, got, want)
		}
	}
}
