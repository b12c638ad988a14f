package series_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"plateside/curve/series"
)

// expected is what a general-purpose numerical library in another language says: testdata/scipy/expected.json, made by
// the script beside it, with the library's version inside.
type expected struct {
	MadeBy    map[string]string  `json:"made_by"`
	MADFactor float64            `json:"mad_factor"`
	Series    map[string]answers `json:"series"`
}

type answers struct {
	X         []float64    `json:"x"`
	Mean      float64      `json:"mean"`
	SD        float64      `json:"sd"`
	Median    float64      `json:"median"`
	MAD       float64      `json:"mad"`
	Quantiles [][2]float64 `json:"quantiles"`
	Peaks     struct {
		At         []int     `json:"at"`
		Prominence []float64 `json:"prominence"`
	} `json:"peaks"`
	DT         float64      `json:"dt"`
	Cumulative []float64    `json:"cumulative"`
	Between    [][3]float64 `json:"between"`
	At         [][2]float64 `json:"at"`
	Vertex     struct {
		At    float64 `json:"at"`
		Opens float64 `json:"opens"`
	} `json:"vertex"`
	Half      int       `json:"half"`
	Moving    []float64 `json:"moving"`
	WhiteSD   float64   `json:"white_sd"`
	MidShorth float64   `json:"mid_shorth"`
}

func readExpected(t *testing.T) expected {
	t.Helper()
	data, err := os.ReadFile("../../testdata/scipy/expected.json")
	if err != nil {
		t.Fatal(err)
	}
	var e expected
	if err := json.Unmarshal(data, &e); err != nil {
		t.Fatal(err)
	}
	if e.MadeBy["scipy"] == "" || len(e.Series) < 10 {
		t.Fatalf("the stored answers hold %d series, made by %v", len(e.Series), e.MadeBy)
	}
	return e
}

// rounding is what two orders of adding up a hundred numbers of a thousand may differ by.
const rounding = 1e-9

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.12g, want %.12g ± %.2g", what, got, want, tolerance)
	}
}

func nearAll(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s has %d samples, want %d", what, len(got), len(want))
	}
	for i := range want {
		if !(math.Abs(got[i]-want[i]) <= rounding) {
			t.Fatalf("%s at %d is %.12g, want %.12g", what, i, got[i], want[i])
		}
	}
}

func TestStatisticsAgainstSciPy(t *testing.T) {
	e := readExpected(t)
	for name, a := range e.Series {
		t.Run(name, func(t *testing.T) {
			near(t, "mean", series.Mean(a.X), a.Mean, rounding)
			near(t, "standard deviation", series.SD(a.X), a.SD, rounding)
			near(t, "median", series.Median(a.X), a.Median, rounding)
			near(t, "MAD", series.MAD(a.X), a.MAD, rounding+2e-6*a.MAD) // 1.4826 stands for 1.482602...
			for _, q := range a.Quantiles {
				near(t, "quantile", series.Quantile(a.X, q[0]), q[1], rounding)
			}
			near(t, "white noise", series.WhiteNoiseSD(a.X), a.WhiteSD, rounding)
			near(t, "middle of the shorth", series.MidShorth(a.X), a.MidShorth, rounding)
		})
	}
	near(t, "the factor of MAD", series.MAD([]float64{-1, -1, 0, 1, 1}), e.MADFactor, 5e-6) // the median deviation is 1
}

func TestPeaksAgainstSciPy(t *testing.T) {
	found := 0
	for name, a := range readExpected(t).Series {
		t.Run(name, func(t *testing.T) {
			peaks := series.Peaks(a.X, 0)
			if len(peaks) != len(a.Peaks.At) {
				t.Fatalf("%d peaks, want %d", len(peaks), len(a.Peaks.At))
			}
			for i, p := range peaks {
				if p.At != a.Peaks.At[i] {
					t.Errorf("peak %d at %d, want %d", i, p.At, a.Peaks.At[i])
				}
				near(t, "prominence", p.Prominence, a.Peaks.Prominence[i], rounding)
			}
			found += len(peaks)
			// A least prominence keeps those that reach it, no others: set it to one of them.
			for _, least := range a.Peaks.Prominence {
				want := 0
				for _, p := range a.Peaks.Prominence {
					if p >= least {
						want++
					}
				}
				if got := len(series.Peaks(a.X, least-rounding)); got != want {
					t.Errorf("%d peaks of at least %g, want %d", got, least, want)
				}
			}
		})
	}
	if found < 50 {
		t.Errorf("only %d peaks were compared", found)
	}
}

func TestIntegralsAgainstSciPy(t *testing.T) {
	for name, a := range readExpected(t).Series {
		t.Run(name, func(t *testing.T) {
			nearAll(t, "running integral", series.CumulativeTrapezoid(a.X, a.DT), a.Cumulative)
			for _, b := range a.Between {
				near(t, "integral between", series.IntegralBetween(a.X, b[0], b[1], a.DT), b[2], rounding)
			}
			for _, p := range a.At {
				near(t, "interpolated", series.At(a.X, p[0]), p[1], rounding)
			}
		})
	}
}

func TestSmoothingAgainstSciPy(t *testing.T) {
	upward := 0
	for name, a := range readExpected(t).Series {
		t.Run(name, func(t *testing.T) {
			if a.Moving != nil {
				nearAll(t, "moving mean", series.MovingMean(a.X, a.Half), a.Moving)
			}
			at, ok := series.Vertex(a.X)
			switch {
			case math.Abs(a.Vertex.Opens) < 1e-12: // a straight line: its curvature is rounding
			case a.Vertex.Opens < 0:
				if ok {
					t.Errorf("a parabola that opens downward has its lowest point at %g", at)
				}
			case !ok:
				t.Errorf("no vertex, want %g", a.Vertex.At)
			default:
				upward++
				near(t, "vertex", at, a.Vertex.At, 1e-6*math.Max(1, math.Abs(a.Vertex.At))) // that library solves uncentred powers
			}
		})
	}
	if upward < 3 {
		t.Errorf("only %d parabolas that open upward were compared", upward)
	}
}
