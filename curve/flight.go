package curve

// Finding the flights.
//
//	F |        _                       /\
//	  |       / \                     /  \_
//	W |--.   /   \                   |     `--.  .----
//	  |   \_/     |                  |         `'
//	0 |-----------|~~~~~~flight~~~~~~|---------------- unloaded level
//
// A flight is a stretch in which both plates read what they read unloaded. Three other things look like it: the empty
// plate before the athlete steps on and after stepping off (no push before it, or too long), the dip of a deep
// unweighting (no flat bottom, and quiet standing before it), and the trough after a hard landing (no flat bottom). So a
// flight is a low stretch with a flat bottom that follows a push: force above body weight within a quarter of a second
// before it.
//
// The unloaded level is measured in the flight itself, not taken to be zero: a plate with an offset still flies.

import (
	"math"

	"plateside/curve/series"
)

const (
	// lowShare is the share of the load below which a stretch is looked at as a possible flight.
	lowShare = 0.25
	// pushShare is the share of the load that the push before a flight must exceed.
	pushShare = 1.1
	// pushWindowS is how long before a flight the push must have been, in seconds.
	pushWindowS = 0.25
	// flatBandShare is how flat the bottom must be, as a share of the load, beside five times the plates' noise.
	flatBandShare = 0.02
)

// A flight is a stretch in the air, in fractional samples.
type flight struct {
	takeoff, landing float64 // landing is NaN when the recording ends, or nobody comes back, before it
	level, noiseSD   float64 // what the plates read unloaded, in newtons
	from, to         int     // the low samples
}

// load returns the level at which an athlete stands in the recording: the middle of the most crowded half of the loaded
// samples, in newtons. NaN when nothing in it looks loaded.
func load(total []float64) float64 {
	thinned := series.Thin(total, levelSamples)
	high := series.Quantile(thinned, 0.995)
	if !(high > 0) {
		return math.NaN()
	}
	loaded := make([]float64, 0, len(thinned))
	for _, v := range thinned {
		if v > 0.15*high {
			loaded = append(loaded, v)
		}
	}
	return series.MidShorth(loaded)
}

// levelSamples is how many samples are enough to find a level: more only cost time.
const levelSamples = 512

// flights returns the flights of a recording whose total has no gaps.
func flights(total []float64, rateHz, loadN float64, m Method) []flight {
	var found []flight
	for i := 0; i < len(total); {
		if total[i] >= lowShare*loadN {
			i++
			continue
		}
		j := i
		for j < len(total) && total[j] < lowShare*loadN {
			j++
		}
		if f, ok := asFlight(total, i, j, rateHz, loadN, m); ok {
			found = append(found, f)
		}
		i = j
	}
	return found
}

// asFlight measures the low stretch [i, j) and says whether it is a flight.
func asFlight(total []float64, i, j int, rateHz, loadN float64, m Method) (flight, bool) {
	long := float64(j-i) / rateHz
	if i == 0 || long < m.FlightMinS || !pushed(total, i, rateHz, loadN) {
		return flight{}, false
	}
	returns := j < len(total) && long <= m.FlightMaxS
	inner := total[i:j]
	if !returns { // the plate stays empty: the level is read from what a flight could at most be
		inner = total[i:min(j, i+int(m.FlightMaxS*rateHz))]
	}
	cut := max(len(inner)/5, min(len(inner)/3, int(0.02*rateHz)))
	core := series.Thin(inner[cut:len(inner)-cut], levelSamples/2)
	if len(core) < 3 {
		return flight{}, false
	}
	f := flight{level: series.Median(core), noiseSD: series.MAD(core), from: i, to: j}
	if spread := series.Quantile(core, 0.95) - series.Quantile(core, 0.05); spread > flatBandShare*loadN+5*f.noiseSD {
		return flight{}, false
	}
	// A parabola is flat for a moment too: a real bottom covers most of the stretch.
	flat := 0
	for _, v := range inner {
		if math.Abs(v-f.level) < flatBandShare*loadN+3*f.noiseSD {
			flat++
		}
	}
	if flat*2 < len(inner) {
		return flight{}, false
	}
	f.takeoff = takeoff(total, f, rateHz, m)
	f.landing = math.NaN()
	if returns {
		f.landing = landing(total, f, rateHz, m)
	}
	return f, true
}

// pushed reports whether force exceeded the load shortly before sample i.
func pushed(total []float64, i int, rateHz, loadN float64) bool {
	for k := max(0, i-int(pushWindowS*rateHz)); k < i; k++ {
		if total[k] > pushShare*loadN {
			return true
		}
	}
	return false
}
