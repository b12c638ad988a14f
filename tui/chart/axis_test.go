package chart

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plateside/tui/theme"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		r    Range
		most int
		want []string
	}{
		{Range{0, 2500}, 6, []string{"0", "500", "1000", "1500", "2000", "2500"}},
		{Range{-50, 2500}, 5, []string{"0", "1000", "2000"}},
		{Range{-1, 1}, 3, []string{"-1", "0", "1"}},
		{Range{-0.25, 0.25}, 5, []string{"-0.2", "-0.1", "0.0", "0.1", "0.2"}},
		{Range{1, 9}, 3, []string{"2.5", "5.0", "7.5"}},
		{Range{0, 0.6}, 3, []string{"0.00", "0.25", "0.50"}},
		{Range{0.21, 0.29}, 1, []string{"0.25"}},
		{Range{-0.001, 4}, 3, []string{"0", "2", "4"}},
		{Range{0, 0}, 5, nil},
		{Range{1, 0}, 5, nil},
		{Range{0, 1}, 0, nil},
		{Range{0, math.Inf(1)}, 4, nil},
		{Range{math.NaN(), 1}, 4, nil},
		{Range{1e16, 1e16 + 8}, 9, nil},
	} {
		if got := TickLabels(Ticks(c.r, c.most)); !slices.Equal(got, c.want) {
			t.Errorf("%v, at most %d: %v, want %v", c.r, c.most, got, c.want)
		}
	}
}

// TestTicksProperties: over random ranges there are never too many ticks, none outside, none twice, no negative zero,
// and what a label says is where its tick is.
func TestTicksProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	few := 0
	for range 20000 {
		lo := rng.NormFloat64() * math.Pow(10, float64(rng.IntN(6)-2))
		r := Range{lo, lo + (0.01+rng.ExpFloat64())*math.Pow(10, float64(rng.IntN(6)-2))}
		most := 1 + rng.IntN(12)
		ticks := Ticks(r, most)
		if len(ticks) > most {
			t.Fatalf("%v: %d ticks, at most %d", r, len(ticks), most)
		}
		if most >= 4 && len(ticks) < 2 {
			few++
		}
		span := r.To - r.From
		seen := map[string]bool{}
		for i, label := range TickLabels(ticks) {
			v, err := strconv.ParseFloat(label, 64)
			if err != nil || math.Abs(v-ticks[i]) > span/1000 {
				t.Fatalf("%v: tick %v is labelled %q", r, ticks[i], label)
			}
			if ticks[i] < r.From-span*1e-6 || ticks[i] > r.To+span*1e-6 {
				t.Fatalf("%v: tick %v is outside", r, ticks[i])
			}
			if seen[label] || strings.HasPrefix(label, "-") && v == 0 || math.Signbit(ticks[i]) && ticks[i] == 0 {
				t.Fatalf("%v: label %q in %v", r, label, TickLabels(ticks))
			}
			seen[label] = true
		}
	}
	if few > 0 {
		t.Errorf("%d ranges with room for four ticks got fewer than two", few)
	}
}

func TestNegativeZero(t *testing.T) {
	if got := TickLabels([]float64{-1, math.Copysign(0, -1), 1}); got[1] != "0" {
		t.Errorf("%v", got)
	}
	if got := TickLabels([]float64{-0.1, -1e-17, 0.1}); got[1] != "0.0" {
		t.Errorf("%v", got)
	}
}

// TestValueAxis: the unit stands at the top, whatever label is there.
func TestValueAxis(t *testing.T) {
	for _, c := range []struct {
		y    Range
		unit string
		want []string
	}{
		{Range{0, 2000}, "N", []string{"N 2000", "", "", "", "1000", "", "", "0"}},
		{Range{0, 2000}, "W/kg", []string{"2000", "W/kg", "", "", "1000", "", "", "0"}},
		{Range{-20, 2300}, "N", []string{"N", "2000", "", "", "1000", "", "", "0"}},
		{Range{-1, 1}, "", []string{"1", "", "", "", "0", "", "", "-1"}},
	} {
		p := Plot{Y: c.y, YUnit: c.unit}
		var got []string
		for _, row := range p.valueAxis(8, mapping{y: c.y, x: Range{0, 1}, wide: 8, high: 32}) {
			got = append(got, row.label)
			if digit := strings.ContainsAny(row.label, "0123456789"); row.tick != digit {
				t.Errorf("label %q, tick %v", row.label, row.tick)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %q, want %q", c.y, got, c.want)
		}
	}
}

// TestTickIsWhereTheTraceIs: the label of a value stands on the row in which a line at that value is drawn.
func TestTickIsWhereTheTraceIs(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 300 {
		y := Range{-rng.Float64() * 100, 50 + rng.Float64()*3000}
		high := 4 + rng.IntN(30)
		m := mapping{x: Range{0, 1}, y: y, wide: 8, high: 4 * high}
		p := Plot{Y: y}
		for row, a := range p.valueAxis(high, m) {
			if !a.tick {
				continue
			}
			v, _ := strconv.ParseFloat(a.label, 64)
			area := newArea(4, high, theme.Theme{})
			area.traces([]*Series{{Values: []float64{v, v}, StepS: 1}}, m)
			if area.at(2, row).kind != trace {
				t.Fatalf("%v over %d rows: the label %s is not on the row of its line", y, high, a.label)
			}
		}
	}
}
