package curve

import (
	"math"

	"plateside/curve/series"
)

// measure measures one take from beginning to end.
func (w *workings) measure(t take) *Rep {
	w.take = t
	w.rep = &Rep{From: t.from, To: t.to, Flew: t.flew}
	nan := math.NaN()
	w.on, w.minForce, w.peakDown, w.low, w.takeoff, w.landing, w.landed = nan, nan, nan, nan, nan, nan, nan
	w.takeoffMS, w.motion = nan, Motion{}
	w.tops, w.vHalf = nil, -1
	if t.flew {
		w.takeoff, w.landing = t.flight.takeoff, t.flight.landing
		w.findMovement()
	} else {
		w.weighWithoutFlight()
	}
	w.rep.Landmarks = Landmarks{
		OnsetS: w.timeS(w.on), MinForceS: w.timeS(w.minForce), PeakDownVelocityS: w.timeS(w.peakDown),
		LowPointS: w.timeS(w.low), TakeoffS: w.timeS(w.takeoff), LandingS: w.timeS(w.landing),
	}
	for i := t.from; i < t.to; i++ {
		w.rep.PeakForceN = math.Max(w.rep.PeakForceN, w.total[i])
	}
	w.rep.Phases = w.phases()
	w.rep.Signs = w.signs()
	for _, m := range Metrics() {
		w.rep.Values = append(w.rep.Values, m.compute(w))
	}
	return w.rep
}

// timeS is the recording's clock at a fractional sample.
func (w *workings) timeS(at float64) float64 { return w.rec.TimeS(at) }

// findMovement goes back from takeoff: low point, end of unweighting, lowest force, onset; weighs the stance before
// that; and repeats with the better weight until the onset stays where it is.
func (w *workings) findMovement() {
	w.loadN = w.standingLevel()
	w.weightN = w.loadN
	low := w.roughLowPoint()
	pivot := w.unweightingEnd(low)
	sd := math.Max(series.WhiteNoiseSD(w.total[w.take.from:max(w.take.from+3, pivot)]), 1)
	for range 4 {
		minAt := w.lowestBefore(pivot)
		if minAt < 0 { // the recording begins inside the movement
			w.forgetWeight()
			return
		}
		before := w.on
		w.on = math.Max(float64(w.take.from), onset(w.fine, minAt, w.weightN, sd, w.rate, w.m))
		w.stance = [2]int{w.standingSince(int(w.on)), int(w.on)}
		end := max(w.stance[0]+2, int(w.on-w.m.OnsetGuardS*w.rate))
		w.rep.Weighing = weigh(w.total, w.smooth, w.stance[0], end, w.rate, w.m)
		w.weightN = w.rep.Weighing.WeightN
		sd = w.rep.Weighing.SDN
		if math.Abs(w.on-before) < 0.5 {
			break
		}
	}
	w.sharpen()
	w.rep.Weighing.RestMS = math.Max(w.rep.Weighing.RestMS, w.lastUnrest())
	w.rep.Weighing.shift(w.rec)
	w.weightN = w.rep.Weighing.WeightN
	w.massKg = w.weightN / w.m.GravityMS2
	w.motion = motionFrom(w.total, w.take.from, w.take.to, start{w.on, w.weightN}, w.rate, w.m.GravityMS2)
	w.locate()
}

const (
	// levelRunS is how long the smoothed force must hold its level to be taken for standing, in seconds, and
	// levelBandShare how well.
	levelRunS      = 0.25
	levelBandShare = 0.02
)

// forgetWeight leaves body weight unknown, and with it all that follows from it.
func (w *workings) forgetWeight() {
	nan := math.NaN()
	w.weightN, w.massKg, w.on = nan, nan, nan
	w.rep.Weighing = Weighing{Window: Span{nan, nan}, WeightN: nan, HalfWidthN: nan, SDN: nan, NoiseN: nan, RestMS: nan,
		StanceN: nan, StanceHalfWidthN: nan, ClosureN: nan}
}

// standingLevel returns the level of the longest steady stretch on the plates before takeoff, in newtons: what the
// recording's most common level is not when a foot misses the plates on landing. Without one it returns that common
// level.
func (w *workings) standingLevel() float64 {
	need := int(levelRunS * w.rate)
	level, longest := w.load, need-1
	for i := max(w.take.from, w.loadedSince(w.take.flight.from)); i+need < int(w.takeoff); {
		mean := series.Mean(w.smooth[i : i+need])
		j := i
		for j < int(w.takeoff) && math.Abs(w.smooth[j]-mean) <= levelBandShare*mean {
			j++
		}
		if j-i > longest && mean > leastLoadN {
			level, longest = mean, j-i
		}
		i = max(j, i+max(1, need/8))
	}
	return level
}

// roughLowPoint integrates back from takeoff with the velocity that the flight time tells, so that no stance is needed
// yet, and returns the sample at which the velocity is zero.
func (w *workings) roughLowPoint() int {
	seconds := (w.landing - w.takeoff) * w.dt
	v := w.m.GravityMS2 * seconds / 2
	if math.IsNaN(v) { // nobody came back
		v = middlingMS
	}
	mass := w.loadN / w.m.GravityMS2
	i := int(w.takeoff)
	for ; i > w.take.from && v > 0; i-- {
		v -= (w.total[i] - w.loadN) / mass * w.dt
	}
	if v > 0 { // force is cut off at the plate's range: start from the push's highest force instead
		i, _ = largest(math.Max(float64(w.take.from), w.takeoff-pushLastsS*w.rate), w.takeoff, func(k int) float64 { return w.fine[k] })
	}
	return i
}

// middlingMS is the takeoff velocity of a middling jump, in m/s, where no flight time tells it: 2.41 m/s is the mean of 97
// adults in Dowling1993.
const middlingMS = 2.4

// pushLastsS is how long before takeoff the highest force of the push is looked for where integration fails, in seconds
// (project default).
const pushLastsS = 0.5

// unweightingEnd returns the sample before the low point at which force rose through body weight.
func (w *workings) unweightingEnd(low int) int {
	i := low
	for i > w.take.from && w.fine[i] > w.weightN {
		i--
	}
	return i
}

// lowestBefore returns the sample of lowest force in the unweighting that ends at sample end; -1 when there is none.
func (w *workings) lowestBefore(end int) int {
	if end <= w.take.from {
		return -1
	}
	best := end
	for i := end; i > w.take.from; i-- {
		if w.fine[i] < w.fine[best] {
			best = i
		}
		if w.fine[i] > w.weightN && i < end-int(0.02*w.rate) {
			break
		}
	}
	return best
}

// lastUnrest is the velocity that the waver of the last second before the onset means: however still an earlier window
// was, that is what the jump begins with.
func (w *workings) lastUnrest() float64 {
	end := max(w.stance[0], int(w.on-w.m.OnsetGuardS*w.rate))
	begin := max(w.stance[0], end-int(judgedS*w.rate))
	if end-begin < 2 {
		return 0
	}
	return restVelocity(w.total[begin:end], series.Mean(w.total[begin:end]), w.rate, w.m.GravityMS2)
}

// standShare is how far from body weight the smoothed force may be while the athlete still counts as standing: beyond it
// somebody is stepping on, landing or walking.
const standShare = 0.2

// standingSince returns the first sample of the unbroken standing that ends at sample i.
func (w *workings) standingSince(i int) int {
	i = min(max(i, w.take.from), len(w.total)-1)
	for i > w.take.from && math.Abs(w.fine[i-1]-w.weightN) < standShare*w.weightN {
		i--
	}
	return i
}

// sharpen closes the weighing over the jump where the athlete stands still again after landing.
func (w *workings) sharpen() {
	if w.m.Weighing != WeighingClosed || math.IsNaN(w.landing) || !w.rep.Weighing.Still {
		return
	}
	win := w.rep.Weighing.Window // still in samples over rate
	before := [2]int{int(math.Round(win.FromS * w.rate)), int(math.Round(win.ToS * w.rate))}
	after, ok := w.stillAfter()
	if !ok || w.lacks(float64(before[0]), float64(after[1])) != "" || w.anyFlatTop(before[0], after[1]) {
		return
	}
	w.rep.Weighing.close(w.total, before, after, w.rate, w.m.GravityMS2)
}

const (
	// settleAfterS is the earliest that standing after landing is looked for, in seconds.
	settleAfterS = 0.3
	// stillAfterMinS and stillAfterMaxS bound the stillness after landing that is used.
	stillAfterMinS = 0.5
	stillAfterMaxS = 3.0
)

// stillAfter returns the first long stillness after the last landing of the rep.
func (w *workings) stillAfter() ([2]int, bool) {
	band := w.m.StillBandPct / 100 * w.weightN
	run := 0
	from := int(w.lastTouch(w.take) + settleAfterS*w.rate)
	for i := from; i <= w.take.to; i++ {
		if i < w.take.to && math.Abs(w.smooth[i]-w.weightN) <= band && float64(run) < stillAfterMaxS*w.rate {
			run++
			continue
		}
		if float64(run) >= stillAfterMinS*w.rate {
			return [2]int{i - run, i}, true
		}
		run = 0
	}
	return [2]int{}, false
}

// shift puts the window on the recording's clock.
func (w *Weighing) shift(rec *Recording) {
	w.Window.FromS += rec.StartS
	w.Window.ToS += rec.StartS
}

const (
	// movedShare is the share of the load below which a rep without flight has begun to move, and beforeMoveS how long
	// before that the stance to weigh ends, in seconds (project defaults).
	movedShare  = 0.9
	beforeMoveS = 0.1
)

// weighWithoutFlight weighs a rep that never left the plates: the stance before the first movement, if there is any.
func (w *workings) weighWithoutFlight() {
	w.loadN = w.load
	w.weightN = w.loadN
	moved := w.take.to
	for i := w.loadedSinceStart(); i < w.take.to; i++ {
		if w.fine[i] < movedShare*w.loadN {
			moved = i
			break
		}
	}
	w.stance = [2]int{w.standingSince(moved - 1), moved}
	end := max(w.stance[0]+2, moved-int(beforeMoveS*w.rate))
	w.rep.Weighing = weigh(w.total, w.smooth, w.stance[0], min(end, w.take.to), w.rate, w.m)
	w.rep.Weighing.shift(w.rec)
	w.weightN = w.rep.Weighing.WeightN
	w.massKg = w.weightN / w.m.GravityMS2
	if moved < w.take.to {
		w.on = onset(w.fine, moved, w.weightN, w.rep.Weighing.SDN, w.rate, w.m)
	}
}

// loadedSinceStart returns the first sample at which somebody stands on the plates.
func (w *workings) loadedSinceStart() int {
	for i := w.take.from; i < w.take.to; i++ {
		if math.Abs(w.smooth[i]-w.loadN) < movingShare*w.loadN {
			return i
		}
	}
	return w.take.from
}

// locate finds the landmarks in the motion: peak downward velocity where force passes body weight, low point where
// velocity passes zero, minimum force between onset and the former.
func (w *workings) locate() {
	on, to := int(math.Ceil(w.on)), int(w.takeoff)
	v := w.motion.VelocityMS
	off := w.take.from
	// The low point: going back from takeoff, where velocity stops being upward.
	i := to
	for i > on && v[i-off] > 0 {
		i--
	}
	if i <= on || i >= to {
		return
	}
	w.low = float64(i) + v[i-off]/(v[i-off]-v[i+1-off])
	// Peak downward velocity: force passes body weight upward, next to the lowest velocity.
	lowest := i
	for k := i; k >= on; k-- {
		if v[k-off] < v[lowest-off] {
			lowest = k
		}
	}
	w.peakDown = w.throughWeight(lowest)
	w.minForce = w.lowestForce(on, int(w.peakDown))
	w.takeoffMS = w.velocityAtTakeoff()
	if !math.IsNaN(w.landing) {
		w.landed = w.landingEnd()
	}
}

// throughWeight returns the fractional sample at which force passes body weight, next to the sample of lowest velocity:
// the net force is taken as straight between the middles of the two steps around it. Velocity is force integrated, so
// plate noise hardly moves its lowest sample, and no mean rounds off the bend of force there.
func (w *workings) throughWeight(at int) float64 {
	if at <= w.take.from || at+1 >= w.take.to {
		return float64(at)
	}
	before := (w.total[at-1]+w.total[at])/2 - w.weightN
	after := (w.total[at]+w.total[at+1])/2 - w.weightN
	if !(before < 0 && after > 0) {
		return float64(at)
	}
	return float64(at) - 0.5 + before/(before-after)
}

// bottomHalfS is half the stretch over which the lowest force is fitted by a parabola, in seconds: a flat bottom wanders
// with plate noise if a single sample is taken.
const bottomHalfS = 0.03

// lowestForce returns the fractional sample of lowest force between two samples, by the parabola through the samples
// around the lowest of the smoothed force.
func (w *workings) lowestForce(from, to int) float64 {
	if to-from < 3 {
		return math.NaN()
	}
	best := from
	for i := from; i <= to && i < len(w.fine); i++ {
		if w.fine[i] < w.fine[best] {
			best = i
		}
	}
	half := int(bottomHalfS * w.rate)
	lo, hi := max(from, best-half), min(to, best+half)
	if hi-lo < 4 {
		return float64(best)
	}
	if at, ok := series.Vertex(w.total[lo : hi+1]); ok && at > 0 && at < float64(hi-lo) {
		return float64(lo) + at
	}
	return float64(best)
}

// velocityAtTakeoff carries the velocity from the last whole sample to the fractional takeoff, along the straight fall
// of force to the unloaded level.
func (w *workings) velocityAtTakeoff() float64 {
	last := int(w.takeoff)
	step := (w.takeoff - float64(last)) * w.dt
	mean := (w.total[last] + w.take.flight.level) / 2
	return w.motion.VelocityMS[last-w.take.from] + step*(mean-w.weightN)/w.massKg
}

// landingMaxS is the longest landing phase, in seconds: past it the athlete has not absorbed the landing on the plates.
const landingMaxS = 1.5

// restSpeedMS is the speed at which a landing counts as absorbed, in m/s: sampling leaves a residue of this order on a
// hard edge, so zero itself may never be passed (project default; 0.01 m/s is quoted for the start of propulsion, from
// memory).
const restSpeedMS = 0.02

// landingEnd returns the fractional sample after landing at which the downward velocity is used up.
func (w *workings) landingEnd() float64 {
	v := w.motion.VelocityMS
	first := int(math.Ceil(w.landing)) - w.take.from
	last := min(len(v)-1, first+int(landingMaxS*w.rate))
	for i := first; i < last; i++ {
		if v[i] < -restSpeedMS && v[i+1] >= -restSpeedMS {
			return float64(w.take.from+i) + (v[i]+restSpeedMS)/(v[i]-v[i+1])
		}
	}
	return math.NaN()
}
