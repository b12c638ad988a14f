package curve

import (
	"math"

	"plateside/curve/series"
)

const (
	// unloadedEdgeS is how much of each end of a flight is left out when the unloaded level is read, in seconds.
	unloadedEdgeS = 0.03
	// flatTopS and flatTopSamples are the shortest flat top that is believed, in seconds and samples.
	flatTopS       = 0.004
	flatTopSamples = 4
	// flatTopNoiseN is the noise below which a plate is too smooth for a flat top to mean anything by itself.
	flatTopNoiseN = 0.05
)

// medianSamples is how many samples of a quiet stretch are enough for its median: more only cost time.
const medianSamples = 160

// signs gathers the facts of a rep.
func (w *workings) signs() Signs {
	s := Signs{Stance: w.stanceSigns(), Landing: w.landingSigns(), OffsetHeightM: math.NaN(), HeightHalfM: math.NaN(), EndsMoving: w.endsMoving()}
	for _, g := range w.missing {
		if g.to > w.take.from && g.from < w.take.to {
			s.Missing = append(s.Missing, Span{w.timeS(float64(g.from)), w.timeS(float64(g.to))})
		}
	}
	from, to := w.timeS(float64(w.take.from)), w.timeS(float64(w.take.to))
	for _, span := range w.rec.Irregular {
		if span.ToS >= from && span.FromS <= to {
			s.Irregular = append(s.Irregular, span)
		}
	}
	if w.left != nil {
		s.Plates = append(s.Plates, w.plate("left", w.left), w.plate("right", w.right))
	}
	s.Plates = append(s.Plates, w.plate("total", w.total))
	s.UnloadedS = math.NaN()
	if lo, hi, ok := w.unloaded(); ok {
		s.UnloadedS = float64(hi-lo) * w.dt
		zero := s.Plates[len(s.Plates)-1].ZeroN
		scale := w.weightN / (w.weightN - zero)
		s.OffsetHeightM = jumpHeight(w).Value * (scale*scale - 1)
	}
	s.HeightHalfM = jumpHeight(w).PlusMinus
	return s
}

// unloaded returns the samples of the flight in which nothing touches the plates.
func (w *workings) unloaded() (lo, hi int, ok bool) {
	if !w.take.flew {
		return 0, 0, false
	}
	end := w.landing
	if math.IsNaN(end) {
		end = math.Min(w.takeoff+w.m.FlightMaxS*w.rate, float64(w.take.to-1))
	}
	lo, hi = int(w.takeoff+unloadedEdgeS*w.rate)+1, int(end-unloadedEdgeS*w.rate)
	return lo, hi, hi-lo >= 5
}

// plate describes one plate.
func (w *workings) plate(name string, force []float64) PlateSigns {
	nan := math.NaN()
	p := PlateSigns{Name: name, ZeroN: nan, NoiseN: nan, RangeN: nan, StandN: nan, LandN: nan}
	if lo, hi, ok := w.unloaded(); ok {
		p.ZeroN, p.NoiseN = series.Median(series.Thin(force[lo:hi], medianSamples)), series.SD(force[lo:hi])
	}
	p.RangeN, p.FlatTops = w.flatTops(force)
	if !math.IsNaN(w.landing) {
		lo, hi := int(w.landing), min(w.take.to, int(w.landing+w.m.LandingWindowS*w.rate))
		_, p.LandN = largest(float64(lo), float64(hi-1), func(i int) float64 { return force[i] })
		if after := min(w.take.to, int(w.landing+3*w.rate)); after-hi > int(0.3*w.rate) {
			p.StandN = series.Median(series.Thin(force[hi:after], medianSamples))
		}
	}
	return p
}

// topShare is the share of the load that a plate's highest value must exceed for its top to say anything of its range: a
// plate that only stands never comes near it (project default).
const topShare = 0.3

// flatTops returns the stretches at which a plate reads exactly its highest value, and that value. A clipped plate
// repeats it to the last digit, which noise forbids elsewhere. Where there is no noise at all, only a level that is
// reached more than once counts.
func (w *workings) flatTops(force []float64) (float64, []Span) {
	_, top := largest(float64(w.take.from), float64(w.take.to-1), func(i int) float64 { return force[i] })
	if !(top > topShare*w.load) {
		return top, nil
	}
	least := max(flatTopSamples, int(math.Round(flatTopS*w.rate)))
	var spans []Span
	for i := w.take.from; i < w.take.to; i++ {
		j := i
		for j < w.take.to && force[j] == top && finite(w.rec.Total[j]) {
			j++
		}
		if j-i >= least {
			spans = append(spans, Span{w.timeS(float64(i)), w.timeS(float64(j - 1))})
		}
		i = max(i, j)
	}
	if len(spans) < 2 && w.rep.Weighing.NoiseN < flatTopNoiseN {
		return top, nil
	}
	return top, spans
}

// anyFlatTop reports whether a plate is at its top anywhere in samples [lo, hi).
func (w *workings) anyFlatTop(lo, hi int) bool {
	if w.tops == nil { // asked for by several metrics
		sides := [][]float64{w.total}
		if w.left != nil {
			sides = [][]float64{w.left, w.right}
		}
		w.tops = []Span{}
		for _, force := range sides {
			_, spans := w.flatTops(force)
			w.tops = append(w.tops, spans...)
		}
	}
	for _, s := range w.tops {
		if s.ToS >= w.timeS(float64(lo)) && s.FromS <= w.timeS(float64(hi)) {
			return true
		}
	}
	return false
}

// landingSigns describes what came after the flight.
func (w *workings) landingSigns() LandingSigns {
	nan := math.NaN()
	l := LandingSigns{Hop: Span{nan, nan}, RestVelocityMS: nan, RestForceN: nan, Rest: Span{nan, nan}, AfterS: nan}
	if !w.take.flew {
		return l
	}
	if w.take.hop != nil {
		l.Hop = Span{w.timeS(w.take.hop.takeoff), w.timeS(w.take.hop.landing)}
	}
	if math.IsNaN(w.landing) {
		return l
	}
	l.AfterS = (float64(w.take.to-1) - w.lastTouch(w.take)) * w.dt
	lo, hi, ok := w.restAfter()
	if !ok {
		return l
	}
	l.Rest = Span{w.timeS(float64(lo)), w.timeS(float64(hi))}
	l.RestForceN = series.Mean(w.total[lo:hi])
	if len(w.motion.VelocityMS) > 0 {
		l.RestVelocityMS = series.Mean(w.motion.VelocityMS[lo-w.take.from : hi-w.take.from])
	}
	return l
}

const (
	// restS is how long a force must be steady after landing to be a rest, in seconds, restBandShare how steady.
	restS         = 0.8
	restBandShare = 0.02
)

// restAfter returns the first stretch after the last landing in which the smoothed force is steady, at whatever level.
func (w *workings) restAfter() (lo, hi int, ok bool) {
	need := int(restS * w.rate)
	if !(w.weightN > 0) {
		return 0, 0, false
	}
	for lo = int(w.lastTouch(w.take) + settleAfterS*w.rate); lo+need < w.take.to; lo += max(1, need/16) {
		level := series.Mean(w.smooth[lo : lo+need])
		if steady(w.smooth[lo:lo+need], level, restBandShare*w.weightN) {
			return lo, lo + need, true
		}
	}
	return 0, 0, false
}

// endsMoving reports whether a rep that did not fly stops before the athlete stands again: the recording was cut short.
func (w *workings) endsMoving() bool {
	last := min(len(w.smooth), w.take.to) - 1
	return !w.take.flew && last >= 0 && math.Abs(w.smooth[last]-w.load) > movingShare*w.load
}

// movingShare is how far from standing the force must be at the end, as a share of the load, for the recording to have
// stopped inside a movement (project default).
const movingShare = 0.05
