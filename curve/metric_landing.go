package curve

import "math"

// landingPeak returns the sample and value of the landing peak; at is -1 where there is none.
func (w *workings) landingPeak() (at int, peakN float64) {
	to := math.Min(w.landing+w.m.LandingWindowS*w.rate, float64(w.take.to-1))
	if w.take.hop != nil {
		to = math.Min(to, w.take.hop.takeoff)
	}
	return largest(w.landing, to, func(i int) float64 { return w.total[i] })
}

// landedOn returns why nothing can be said of the landing, or "".
func (w *workings) landedOn() string {
	switch {
	case !w.take.flew:
		return whyNoFlight
	case math.IsNaN(w.landing):
		return whyNoLanding
	case !(w.weightN > 0):
		return whyNoWeight
	}
	return w.lacks(w.landing, w.landing+w.m.LandingWindowS*w.rate)
}

func landingPeakForce(w *workings) Value {
	if why := w.landedOn(); why != "" {
		return unknown(why)
	}
	_, peak := w.landingPeak()
	return exact(peak)
}

func landingLoadingRate(w *workings) Value {
	if why := w.landedOn(); why != "" {
		return unknown(why)
	}
	at, peak := w.landingPeak()
	seconds := (float64(at) - w.landing) * w.dt
	if !(seconds > 0) {
		return unknown("the landing peak is the first sample")
	}
	return exact(peak / seconds)
}

// timeToStabilisation is counted from the landing, so a hop after it is part of the time.
func timeToStabilisation(w *workings) Value {
	if why := w.landedOn(); why != "" {
		return unknown(why)
	}
	band := w.m.SettleBandPct / 100 * w.weightN
	hold := int(w.m.SettleHoldS * w.rate)
	start := int(math.Ceil(w.landing))
	run := 0
	for i := start; i < w.take.to; i++ {
		if math.Abs(w.total[i]-w.weightN) > band {
			run = 0
			continue
		}
		if run++; run >= hold {
			return exact((float64(i-run+1) - w.landing) * w.dt)
		}
	}
	return unknown("force does not stay near body weight long enough after landing")
}
