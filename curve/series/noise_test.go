package series_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"plateside/curve/series"
)

// white returns n samples of normal noise of a standard deviation.
func white(rng *rand.Rand, n int, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = sd * rng.NormFloat64()
	}
	return x
}

// wander returns n samples of a first-order process of standard deviation 1 whose autocorrelation is exp(-t/tauS):
//
//	x[0] ~ N(0, 1), x[i] = phi x[i-1] + sqrt(1 - phi^2) e[i], phi = exp(-dt/tau)
//
// It starts in its own distribution, so it is stationary from the first sample.
func wander(rng *rand.Rand, n int, dt, tauS float64) []float64 {
	x, phi := make([]float64, n), math.Exp(-dt/tauS)
	x[0] = rng.NormFloat64()
	for i := 1; i < n; i++ {
		x[i] = phi*x[i-1] + math.Sqrt(1-phi*phi)*rng.NormFloat64()
	}
	return x
}

func random(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x736572696573)) }

// The estimator must see the noise and not the sway: a sine of 20 N at 1.3 Hz under noise of 1.5 N. The second difference
// of the sine is (2 pi 1.3/1000)^2 of it, 0.001 N, so what is left is the estimator's own scatter: for second differences
// var(sd^2)/sd^4 = 35/(9 n), hence a standard error of sd/2 sqrt(35/9/n); four of them.
func TestWhiteNoiseUnderASlowSine(t *testing.T) {
	const n, sd = 20000, 1.5
	x := white(random(1), n, sd)
	for i := range x {
		x[i] += 700 + 20*math.Sin(2*math.Pi*1.3*float64(i)/1000)
	}
	near(t, "white noise", series.WhiteNoiseSD(x), sd, 4*sd/2*math.Sqrt(35.0/9/n))
	if s := series.SD(x); s < 10 {
		t.Errorf("the plain standard deviation is %g: there is no sway in it to be ignored", s)
	}
}

// A standard deviation estimated from n samples scatters by sd/sqrt(2n); the median deviation of normal data by 1.167
// sd/sqrt(n) (efficiency 37 %; Rousseeuw, Croux 1993, from memory). Four of each. One sample in ten far away must not
// move the median deviation beyond what it does to the quantile that it looks at: 1.4826 times the quantile 0.75/0.9.
func TestMADOfNormalData(t *testing.T) {
	const n = 20000
	x := white(random(2), n, 3)
	near(t, "SD", series.SD(x), 3, 4*3/math.Sqrt(2*n))
	near(t, "MAD", series.MAD(x), 3, 4*1.167*3/math.Sqrt(n))
	for i := 0; i < n; i += 10 {
		x[i] = 1e6
	}
	if got := series.MAD(x); got > 3*1.25 { // the quantile 0.5/0.9 of |z| is 0.765, against 0.674
		t.Errorf("MAD is %g with one sample in ten far away, of 3", got)
	}
	if got := series.SD(x); got < 1e5 {
		t.Errorf("SD is %g: the far samples are not in it", got)
	}
}

// The level at which most of the series lies, whatever the rest does: 60 % at 700 ± 3, the rest anywhere above. The
// middle of a shorth scatters like n^(-1/3): 3 * 3000^(-1/3) = 0.2, and it is the middle of 83 % of the normal part, cut
// evenly; five of them.
func TestMidShorthIgnoresTheOtherHalf(t *testing.T) {
	rng := random(3)
	x := white(rng, 3000, 3)
	for i := range x {
		x[i] += 700
		if i%5 >= 3 {
			x[i] = 800 + 1500*rng.Float64()
		}
	}
	near(t, "middle of the shorth", series.MidShorth(x), 700, 1)
	if m := series.Median(x); m < 702 {
		t.Errorf("the median is %g: the rest does not pull at it", m)
	}
}

// The formula against simulation: 4,000 means over a length; a variance estimated from 4,000 scatters by
// sqrt(2/4000) = 2.2 %, four of which is 9 %. Sampling every dt instead of all the time adds dt/tau squared over 12 of
// the integral: 0.1 % at most here.
func TestMeanVarianceAgainstSimulation(t *testing.T) {
	const dt, runs = 0.01, 4000
	for _, c := range []struct{ tauS, lengthS float64 }{{0.1, 0.2}, {0.1, 1}, {0.15, 2}, {0.5, 1}, {0.5, 0.25}} {
		t.Run(fmt.Sprintf("tau %g length %g", c.tauS, c.lengthS), func(t *testing.T) {
			rng := random(4)
			means := make([]float64, runs)
			for r := range means {
				// The trapezoid takes the mean over exactly the length.
				x := wander(rng, int(math.Round(c.lengthS/dt))+1, dt, c.tauS)
				means[r] = series.IntegralBetween(x, 0, float64(len(x)-1), dt) / c.lengthS
			}
			sd := series.SD(means)
			want := series.Sway{SD: 1, TauS: c.tauS}.MeanVariance(c.lengthS)
			near(t, "variance of the mean", sd*sd/want, 1, 0.09)
			naive := dt / c.lengthS // as if samples were independent
			if want < 3*naive {
				t.Errorf("variance %g is hardly more than the %g of independent samples", want, naive)
			}
		})
	}
}

// Limits of the formula: nothing is averaged over no length; over a long one it falls as 2 tau/T (first-order process),
// short of it by tau/T itself.
func TestMeanVarianceLimits(t *testing.T) {
	s := series.Sway{SD: 3, TauS: 0.2}
	near(t, "no length", s.MeanVariance(0), 9, 0)
	near(t, "a short length", s.MeanVariance(1e-4), 9, 9*1e-4/0.2) // 1 - T/(3 tau) to first order
	near(t, "a long length", s.MeanVariance(2000)/(9*2*0.2/2000), 1, 2*0.2/2000)
	near(t, "a negative length", s.MeanVariance(-1), 9, 0)
	near(t, "no integral time", series.Sway{SD: 3}.MeanVariance(1), 9, 0)
}

// SwayOf on long records: a first-order process of SD 4 and tau 0.15 s with noise of 2 on each sample, 1000 Hz, 60 s.
// That is 200 independent stretches, so one estimate of the variance scatters by 10 % and one of the time by about 20 %
// (Bartlett's formula, from memory); the mean of 40 records by a sixth of that: 1.6 and 3.2 %, four of which are 6 and
// 13 %. The sum over lags ends at the first zero crossing, which loses or gains a little: 5 % more for the time.
func TestSwayOfLongRecords(t *testing.T) {
	var sds, taus []float64
	rng := random(5)
	for range 40 {
		x, noise := wander(rng, 60000, 0.001, 0.15), white(rng, 60000, 2)
		for i := range x {
			x[i] = 700 + 4*x[i] + noise[i]
		}
		s := series.SwayOf(x, 0.001, 0.01)
		sds, taus = append(sds, s.SD), append(taus, s.TauS)
	}
	t.Logf("SD %.3f of 4, tau %.4f s of 0.15", series.Mean(sds), series.Mean(taus))
	near(t, "sway", series.Mean(sds)/4, 1, 0.06)
	near(t, "integral time", series.Mean(taus)/0.15, 1, 0.18)
}

// A waver that is hardly slower than the blocks of a hundredth of a second in which it is looked at: averaging takes from
// its variance and adds to its time, and leaves the product, on which the variance of a long mean depends. The mean of
// 40 records of 1,500 stretches scatters by 1 %; ending the sum at its first zero adds some 7 % more (measured), 12 % in all.
func TestSwayOfKeepsTheProduct(t *testing.T) {
	rng, product := random(7), 0.0
	for range 40 {
		s := series.SwayOf(wander(rng, 60000, 0.001, 0.02), 0.001, 0.001)
		product += s.SD * s.SD * s.TauS / 40
	}
	t.Logf("variance times integral time %.5f of 0.02", product)
	near(t, "variance times integral time", product/0.02, 1, 0.12)
}

// What it is for: the half-width of a mean over a short window of slow sway. The variance that is predicted from each
// window alone, averaged over 2,000 windows, is held against the true variance of the window's mean, and the interval
// 1.96 sqrt(variance) against how often it holds the truth. A window can only show what happens within it: over a dozen
// integral times and more the prediction is right, over six or seven it is 0.55 to 0.6 of the truth (measured here), and
// taking samples as independent would give a hundredth. The bounds pin what was measured, with 2,000 windows' scatter of
// about 0.03 in the ratio and 1 point in the share; they are no claim that a share of 76 % were good.
func TestSwayOfPredictsTheMean(t *testing.T) {
	const dt, runs = 0.004, 2000
	for _, c := range []struct{ tauS, lengthS, least, most, holdsPct float64 }{
		{0.08, 1, 0.9, 1.15, 90}, {0.15, 2, 0.7, 1.15, 83}, {0.15, 1, 0.52, 1.15, 78}, {0.3, 2, 0.47, 1.15, 72},
	} {
		t.Run(fmt.Sprintf("tau %g length %g", c.tauS, c.lengthS), func(t *testing.T) {
			rng := random(6)
			var predicted, inside float64
			for range runs {
				x := wander(rng, int(c.lengthS/dt), dt, c.tauS)
				for i, e := range white(rng, len(x), 0.4) {
					x[i] += e
				}
				v := series.SwayOf(x, dt, 0.08).MeanVariance(c.lengthS)
				predicted += v / runs
				if math.Abs(series.Mean(x)) <= 1.96*math.Sqrt(v) {
					inside += 100.0 / runs
				}
			}
			truth := series.Sway{SD: 1, TauS: c.tauS}.MeanVariance(c.lengthS)
			t.Logf("predicted variance %.4f, true %.4f, ratio %.2f; 95 %% interval holds %.1f %%", predicted, truth, predicted/truth, inside)
			if r := predicted / truth; r < c.least || r > c.most {
				t.Errorf("predicted variance is %.2f of the true one", r)
			}
			if inside < c.holdsPct {
				t.Errorf("the interval holds %.1f %%", inside)
			}
		})
	}
}
