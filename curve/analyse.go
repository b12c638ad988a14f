package curve

import (
	"errors"
	"fmt"
	"math"

	"plateside/curve/series"
)

// Errors of Analyse. They mean that the recording holds no rep at all; a rep that is spoilt is no error.
var (
	errNobody = errors.New("nobody stands on the plates in it: the total never stays at the weight of a person")
	errShort  = errors.New("it is shorter than a jump")
)

const (
	// leastLoadN is the load below which nobody stands on the plates, in newtons (a child of ten kilograms).
	leastLoadN = 100.0
	// leastLengthS is the shortest recording that can hold a jump, in seconds.
	leastLengthS = 0.5
	// hopWithinS is how soon after a landing the next takeoff is a hop that belongs to the same rep, unless the athlete
	// stood still between.
	hopWithinS = 2.0
	// hopStillS and hopBandShare say what standing still between two flights is.
	hopStillS    = 0.5
	hopBandShare = 0.03
	// standBeforeS is the least time on the plates before a flight that can hold the push of a rep.
	standBeforeS = 0.3
	// repTailS is how much of the recording is kept after a landing when several reps share it.
	repTailS = 6.0
)

// Analyse returns every rep of a recording, in order, measured by method m. A recording in which the athlete stands but
// never flies holds one rep that did not fly. The error says why there is no rep to measure; the recording's name is
// left to the caller.
func Analyse(rec *Recording, m Method) ([]*Rep, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	if !(rec.RateHz > 0) || float64(len(rec.Total)) < leastLengthS*rec.RateHz {
		return nil, errShort
	}
	w := newWorkings(rec, m)
	w.load = load(w.total)
	w.loadN = w.load
	if !(w.load >= leastLoadN) {
		return nil, errNobody
	}
	takes := w.takes(flights(w.total, w.rate, w.loadN, m))
	reps := make([]*Rep, 0, len(takes))
	for i, t := range takes {
		rep := w.measure(t)
		rep.Number = i + 1
		reps = append(reps, rep)
	}
	return reps, nil
}

// Trace returns the motion of a rep again, for drawing: velocity and displacement of samples [rep.From, rep.To). It is
// the same computation that the metrics came from. ok is false for a rep that did not fly.
func Trace(rec *Recording, rep *Rep, m Method) (Motion, bool) {
	if !rep.Flew || math.IsNaN(rep.Landmarks.OnsetS) || rep.To > len(rec.Total) {
		return Motion{}, false
	}
	total, _ := series.FillGaps(rec.Total)
	return motionFrom(total, rep.From, rep.To, start{rec.Index(rep.Landmarks.OnsetS), rep.Weighing.WeightN},
		rec.RateHz, m.GravityMS2), true
}

// A take is the stretch of recording that one rep is measured from.
type take struct {
	from, to int
	flew     bool
	flight   flight
	hop      *flight // a second flight after landing
}

// takes turns flights into reps: hops join the rep before them, a flight that nobody stood before is dropped (jumping on
// to the plates), and the recording is divided between the reps.
func (w *workings) takes(fs []flight) []take {
	var out []take
	for i := range fs {
		f := fs[i]
		if n := len(out); n > 0 && w.isHop(out[n-1].flight, f) {
			if out[n-1].hop == nil {
				out[n-1].hop = &fs[i]
			}
			continue
		}
		if f.takeoff-float64(w.loadedSince(f.from)) < standBeforeS*w.rate {
			continue
		}
		out = append(out, take{flew: true, flight: f})
	}
	if len(out) == 0 {
		return []take{{from: 0, to: len(w.total)}}
	}
	for i := range out {
		out[i].from, out[i].to = 0, len(w.total)
		if i > 0 {
			out[i].from = out[i-1].to
		}
		if i+1 < len(out) {
			gap := out[i+1].flight.takeoff - w.lastTouch(out[i])
			out[i].to = int(w.lastTouch(out[i]) + math.Min(repTailS*w.rate, gap/2))
		}
	}
	return out
}

// lastTouch returns the sample at which the last flight of a take ended.
func (w *workings) lastTouch(t take) float64 {
	at := t.flight.landing
	if t.hop != nil && !math.IsNaN(t.hop.landing) {
		at = t.hop.landing
	}
	if math.IsNaN(at) {
		return float64(t.flight.to)
	}
	return at
}

// loadedSince returns the first sample of the unbroken stay on the plates that ends at sample i.
func (w *workings) loadedSince(i int) int {
	for i > 0 && w.fine[i-1] <= lowShare*w.loadN { // the edge of the flight itself, smoothed
		i--
	}
	for i > 0 && w.fine[i-1] > lowShare*w.loadN {
		i--
	}
	return i
}

// isHop reports whether flight g follows the landing of f without standing still between.
func (w *workings) isHop(f, g flight) bool {
	if math.IsNaN(f.landing) || g.takeoff-f.landing > hopWithinS*w.rate {
		return false
	}
	run := 0
	for i := int(f.landing); i < int(g.takeoff); i++ {
		if math.Abs(w.smooth[i]-w.loadN) > hopBandShare*w.loadN {
			run = 0
			continue
		}
		if run++; float64(run) >= hopStillS*w.rate {
			return false
		}
	}
	return true
}

// workings are what the measurement of a rep needs at hand. All positions are fractional samples of the recording.
type workings struct {
	rec         *Recording
	m           Method
	rate, dt    float64
	total       []float64 // without gaps
	left, right []float64 // without gaps; nil without sides
	fine        []float64 // total under a mean of fineSmoothS
	smooth      []float64 // total under a mean of swaySmoothS
	load        float64   // the most common level of the recording
	loadN       float64   // the level of the stance before the rep, first guess of body weight

	take take
	rep  *Rep
	on, minForce, peakDown,
	low, takeoff, landing float64
	landed    float64 // end of the landing phase: velocity back at zero
	motion    Motion
	weightN   float64
	massKg    float64
	takeoffMS float64
	stance    [2]int // the stay on the plates before the onset
	missing   []missing
	tops      []Span  // flat tops of the plates in the take; nil before they were looked for
	vHalf     float64 // 95 % half-width of takeoffMS; -1 before it was computed
}

// fineSmoothS is the moving mean under which landmarks are looked for, in seconds: short against a movement, long
// against plate noise.
const fineSmoothS = 0.02

// missing is a run of samples [from, to) that the recording does not have.
type missing struct{ from, to int }

func newWorkings(rec *Recording, m Method) *workings {
	w := &workings{rec: rec, m: m, rate: rec.RateHz, dt: 1 / rec.RateHz}
	w.total, _ = series.FillGaps(rec.Total)
	if rec.HasSides() {
		w.left, _ = series.FillGaps(rec.Left)
		w.right, _ = series.FillGaps(rec.Right)
	}
	w.fine = series.MovingMean(w.total, int(math.Round(fineSmoothS*w.rate/2)))
	w.smooth = series.MovingMean(w.total, int(math.Round(swaySmoothS*w.rate/2)))
	for i := 0; i < len(rec.Total); i++ {
		if finite(rec.Total[i]) {
			continue
		}
		j := i
		for j < len(rec.Total) && !finite(rec.Total[j]) {
			j++
		}
		w.missing = append(w.missing, missing{i, j})
		i = j
	}
	return w
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// lacks returns a sentence when samples are missing between two positions in a run too long to bridge, else "".
func (w *workings) lacks(a, b float64) string {
	for _, g := range w.missing {
		if float64(g.to) > a && float64(g.from) < b && float64(g.to-g.from) > w.m.BridgeS*w.rate+1e-9 {
			return fmt.Sprintf("force is missing from %.3f to %.3f s",
				w.rec.TimeS(float64(g.from)), w.rec.TimeS(float64(g.to)))
		}
	}
	return ""
}
