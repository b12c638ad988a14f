package series_test

import (
	"math"
	"slices"
	"testing"

	"plateside/curve/series"
)

func unknown(t *testing.T, what string, v float64) {
	t.Helper()
	if !math.IsNaN(v) {
		t.Errorf("%s is %g, want NaN", what, v)
	}
}

// same compares with NaN equal to itself.
func same(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if !slices.EqualFunc(got, want, func(a, b float64) bool { return a == b || (math.IsNaN(a) && math.IsNaN(b)) }) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

func TestEmpty(t *testing.T) {
	for what, f := range map[string]func([]float64) float64{
		"mean": series.Mean, "SD": series.SD, "median": series.Median, "MAD": series.MAD,
		"white noise": series.WhiteNoiseSD, "middle of the shorth": series.MidShorth,
		"quantile":     func(x []float64) float64 { return series.Quantile(x, 0.9) },
		"interpolated": func(x []float64) float64 { return series.At(x, 0) },
		"integral":     func(x []float64) float64 { return series.IntegralBetween(x, 0, 1, 1) },
		"sway":         func(x []float64) float64 { return series.SwayOf(x, 0.01, 0.1).SD },
	} {
		unknown(t, what+" of nothing", f(nil))
		unknown(t, what+" of an empty series", f([]float64{}))
	}
	for what, y := range map[string][]float64{"running integral": series.CumulativeTrapezoid(nil, 1), "moving mean": series.MovingMean(nil, 3)} {
		if y == nil || len(y) != 0 {
			t.Errorf("%s of nothing is %v", what, y)
		}
	}
	if p := series.Peaks(nil, 0); p != nil {
		t.Errorf("peaks of nothing: %v", p)
	}
	if at, ok := series.Vertex(nil); ok || !math.IsNaN(at) {
		t.Errorf("vertex of nothing: %g", at)
	}
	if y, any := series.FillGaps(nil); any || len(y) != 0 {
		t.Errorf("gaps of nothing: %v", y)
	}
}

func TestOneSample(t *testing.T) {
	one := []float64{7}
	near(t, "mean", series.Mean(one), 7, 0)
	near(t, "median", series.Median(one), 7, 0)
	near(t, "quantile", series.Quantile(one, 0.3), 7, 0)
	near(t, "MAD", series.MAD(one), 0, 0)
	near(t, "middle of the shorth", series.MidShorth(one), 7, 0)
	near(t, "interpolated", series.At(one, 0.4), 7, 0)
	unknown(t, "SD", series.SD(one))
	unknown(t, "integral", series.IntegralBetween(one, 0, 1, 1))
	unknown(t, "white noise of two", series.WhiteNoiseSD([]float64{1, 2}))
	unknown(t, "sway of three blocks", series.SwayOf(make([]float64, 3), 0.01, 0.1).TauS)
	same(t, "running integral", series.CumulativeTrapezoid(one, 1), []float64{0})
	same(t, "moving mean", series.MovingMean(one, 5), one)
	if p := series.Peaks([]float64{1, 2}, 0); p != nil {
		t.Errorf("peaks of two samples: %v", p)
	}
	if _, ok := series.Vertex([]float64{1, 0}); ok {
		t.Error("a parabola through two samples")
	}
}

// A NaN makes unknown what depends on it and nothing else.
func TestNaN(t *testing.T) {
	nan := math.NaN()
	x := []float64{1, 2, nan, 4, 5, 6, 7}
	for what, f := range map[string]func([]float64) float64{
		"mean": series.Mean, "SD": series.SD, "median": series.Median, "MAD": series.MAD,
		"white noise": series.WhiteNoiseSD, "middle of the shorth": series.MidShorth,
	} {
		unknown(t, what, f(x))
	}
	unknown(t, "sway", series.SwayOf([]float64{1, 2, nan, 4, 5, 6, 7, 8}, 0.01, 0.1).SD)
	same(t, "moving mean", series.MovingMean(x, 1), []float64{1.5, nan, nan, nan, 5, 6, 6.5})
	same(t, "running integral", series.CumulativeTrapezoid(x, 1), []float64{0, 1.5, nan, nan, nan, nan, nan})
	unknown(t, "integral over it", series.IntegralBetween(x, 1, 4, 1))
	near(t, "integral beside it", series.IntegralBetween(x, 3, 6, 1), 16.5, 0)
	unknown(t, "integral from nowhere", series.IntegralBetween(x, nan, 4, 1))
	unknown(t, "integral to nowhere", series.IntegralBetween(x, 0, nan, 1))
	unknown(t, "interpolated at it", series.At(x, 1.5))
	unknown(t, "interpolated nowhere", series.At(x, nan))
	near(t, "interpolated beside it", series.At(x, 3.5), 4.5, 0)
	if at, ok := series.Vertex(x); ok {
		t.Errorf("a parabola through a NaN, vertex %g", at)
	}
	for _, p := range series.Peaks([]float64{0, 3, 1, nan, 1, 4, 0}, 0) {
		if math.IsNaN(p.Prominence) {
			t.Errorf("a peak at %d of unknown prominence", p.At)
		}
	}
}

func TestFlat(t *testing.T) {
	x := slices.Repeat([]float64{700}, 100)
	near(t, "SD", series.SD(x), 0, 0)
	near(t, "MAD", series.MAD(x), 0, 0)
	near(t, "white noise", series.WhiteNoiseSD(x), 0, 0)
	near(t, "middle of the shorth", series.MidShorth(x), 700, 0)
	s := series.SwayOf(x, 0.001, 0.08)
	near(t, "sway", s.SD, 0, 0)
	near(t, "integral time", s.TauS, 0.08, 0) // the floor
	if p := series.Peaks(x, 0); p != nil {
		t.Errorf("peaks of a constant: %v", p)
	}
	if _, ok := series.Vertex(x); ok {
		t.Error("a constant has a lowest point")
	}
}

func TestFillGaps(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]struct {
		x, want []float64
		any     bool
	}{
		"none":           {[]float64{1, 2, 3}, []float64{1, 2, 3}, false},
		"one":            {[]float64{1, nan, 3}, []float64{1, 2, 3}, true},
		"a run":          {[]float64{1, nan, nan, nan, 5}, []float64{1, 2, 3, 4, 5}, true},
		"two runs":       {[]float64{0, nan, 2, nan, nan, 8}, []float64{0, 1, 2, 4, 6, 8}, true},
		"at the start":   {[]float64{nan, nan, 4, 5}, []float64{4, 4, 4, 5}, true},
		"at the end":     {[]float64{4, 5, nan, nan}, []float64{4, 5, 5, 5}, true},
		"at both ends":   {[]float64{nan, 3, nan}, []float64{3, 3, 3}, true},
		"infinite":       {[]float64{1, inf, -inf, 4}, []float64{1, 2, 3, 4}, true},
		"nothing finite": {[]float64{nan, inf, nan}, []float64{0, 0, 0}, true},
		"one and only":   {[]float64{nan}, []float64{0}, true},
	} {
		t.Run(name, func(t *testing.T) {
			before := slices.Clone(c.x)
			y, any := series.FillGaps(c.x)
			same(t, "filled", y, c.want)
			if any != c.any {
				t.Errorf("any is %v", any)
			}
			same(t, "the argument", c.x, before)
		})
	}
}

// Nothing changes its argument, not even what sorts.
func TestArgumentsStay(t *testing.T) {
	x := []float64{5, 1, 4, 2, 3, 9, 0, 7, 6, 8}
	before := slices.Clone(x)
	series.Median(x)
	series.MAD(x)
	series.MidShorth(x)
	series.MovingMean(x, 0)[0] = 99
	series.MovingMean(x, 2)
	series.CumulativeTrapezoid(x, 1)
	series.Peaks(x, 0)
	series.SwayOf(x, 0.01, 0.1)
	same(t, "the argument", x, before)
}

// Straight lines are integrated exactly, from any place to any place, and in pieces to the same sum.
func TestIntegralInPieces(t *testing.T) {
	x := make([]float64, 20)
	for i := range x {
		x[i] = 3 + 2*float64(i)
	}
	exact := func(a, b float64) float64 { return 0.5 * (3*(b-a) + b*b - a*a) }
	for _, c := range [][2]float64{{0, 19}, {0.3, 0.9}, {0.3, 7.75}, {4, 9}, {18.2, 19}} {
		near(t, "integral", series.IntegralBetween(x, c[0], c[1], 0.5), exact(c[0], c[1]), rounding)
		mid := c[0] + 0.37*(c[1]-c[0])
		near(t, "pieces", series.IntegralBetween(x, c[0], mid, 0.5)+series.IntegralBetween(x, mid, c[1], 0.5), exact(c[0], c[1]), rounding)
	}
}

// The fast moving mean against the plain one, every window, with and without a NaN.
func TestMovingMeanAgainstPlain(t *testing.T) {
	x := white(random(9), 40, 1)
	for _, broken := range []int{-1, 0, 17, 39} {
		if broken >= 0 {
			x[broken] = math.NaN()
		}
		for half := range 45 {
			got := series.MovingMean(x, half)
			for i := range x {
				want := series.Mean(x[max(0, i-half):min(len(x), i+half+1)])
				if math.IsNaN(want) != math.IsNaN(got[i]) || math.Abs(got[i]-want) > rounding {
					t.Fatalf("half %d, sample %d: %g, want %g", half, i, got[i], want)
				}
			}
		}
	}
}

// Thinning takes evenly from the first on, never more than asked for, and leaves a short series as it is.
func TestThin(t *testing.T) {
	x := make([]float64, 1000)
	for i := range x {
		x[i] = float64(i)
	}
	for _, most := range []int{1, 2, 3, 7, 499, 500, 501, 999, 1000, 5000} {
		y := series.Thin(x, most)
		if len(y) > most || len(y) == 0 || 2*len(y) < min(most, len(x)) {
			t.Fatalf("%d of at most %d", len(y), most)
		}
		for i, v := range y {
			if v != float64(i)*max(1, y[min(1, len(y)-1)]) && len(y) > 1 {
				t.Fatalf("value %d of at most %d is %g", i, most, v)
			}
		}
	}
	same(t, "nothing thinned", series.Thin(nil, 5), nil)
}
