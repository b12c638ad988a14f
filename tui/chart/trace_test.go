package chart

import (
	"math"
	"math/rand/v2"
	"testing"
)

// everySegment is the slow twin of trace: it draws the line between every two neighbouring samples.
func (l *layer) everySegment(s Series, m mapping) {
	for i, v := range s.Values {
		if !finite(v) {
			continue
		}
		x, y := m.column(s.at(i)), m.row(v)
		l.vertical(x, y, y)
		if i > 0 && finite(s.Values[i-1]) {
			l.join(m.column(s.at(i-1)), m.row(s.Values[i-1]), x, y)
		}
	}
}

func picture(l *layer) string {
	out := ""
	for _, row := range l.grid.BraillePatterns() {
		out += string(row) + "\n"
	}
	return out
}

// randomPicture draws a random trace: lengths, gaps, sizes, zooms and clips.
func randomPicture(rng *rand.Rand) (Series, mapping, int, int, Form) {
	n := 1 + rng.IntN(4000)
	s := Series{Values: make([]float64, n), FirstS: rng.Float64() * 10, StepS: 0.0002 + 0.01*rng.Float64()}
	v, smooth := 0.0, rng.Float64()
	for i := range s.Values {
		v += rng.NormFloat64() * (1 - smooth)
		s.Values[i] = v + 50*math.Sin(float64(i)/200*smooth)
		if rng.IntN(300) == 0 {
			s.Values[i] = math.NaN()
		}
	}
	wide, high := 1+rng.IntN(120), 1+rng.IntN(30)
	span := float64(n) * s.StepS
	x := Range{s.FirstS, s.FirstS + span}
	y := Range{-60, 60}
	if rng.IntN(2) == 0 { // zoomed and clipped
		x.From += span * 0.4 * rng.Float64()
		x.To -= span * 0.4 * rng.Float64()
		y = Range{-20 * rng.Float64(), 1 + 20*rng.Float64()}
	}
	return s, mapping{x: x, y: y, wide: 2 * wide, high: 4 * high}, wide, high, Form(rng.IntN(3))
}

// TestPictureTruth holds the fast drawing against the slow one, dot by dot.
func TestPictureTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	lit := 0
	for k := range 1500 {
		s, m, wide, high, form := randomPicture(rng)
		fast, slow := newLayer(wide, high, form), newLayer(wide, high, form)
		fast.trace(s, m)
		slow.everySegment(s, m)
		if a, b := picture(fast), picture(slow); a != b {
			t.Fatalf("picture %d (%d samples, %dx%d) differs:\n%s\nwant\n%s", k, len(s.Values), wide, high, a, b)
		}
		if slow.lit {
			lit++
		}
	}
	if lit < 1000 {
		t.Fatalf("only %d of the pictures had anything in them", lit)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		r    Range
		most int
		want []string
	}{
		{Range{0, 2500}, 5, []string{"0", "500", "1000", "1500", "2000", "2500"}[:6]},
		{Range{-1, 1}, 3, []string{"-1", "0", "1"}},
		{Range{-0.25, 0.25}, 5, []string{"-0.2", "-0.1", "0.0", "0.1", "0.2"}},
		{Range{0, 0}, 5, nil}, {Range{0, 1}, 0, nil},
	} {
		if got := TickLabels(Ticks(c.r, max(c.most, len(c.want)))); len(got) != len(c.want) {
			t.Errorf("%v: %v, want %v", c.r, got, c.want)
		} else {
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("%v: %v, want %v", c.r, got, c.want)
				}
			}
		}
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		lo := rng.NormFloat64() * math.Pow(10, float64(rng.IntN(6)-2))
		r := Range{lo, lo + rng.ExpFloat64()*math.Pow(10, float64(rng.IntN(6)-2))}
		most := 1 + rng.IntN(12)
		ticks := Ticks(r, most)
		if len(ticks) > most {
			t.Fatalf("%v: %d ticks, at most %d", r, len(ticks), most)
		}
		seen := map[string]bool{}
		for _, label := range TickLabels(ticks) {
			if seen[label] && len(ticks) > 1 || label == "-0" || label == "-0.0" {
				t.Fatalf("%v: label %q in %v", r, label, TickLabels(ticks))
			}
			seen[label] = true
		}
	}
}
