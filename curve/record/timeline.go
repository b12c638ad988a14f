package record

import (
	"fmt"
	"math"
	"slices"

	"plateside/curve"
)

// A timeline puts rows on an even clock.
type timeline struct {
	rateHz float64
	startS float64
	// place is the sample of each row, -1 for a row that repeats the clock; nil when row i is sample i.
	place     []int
	samples   int
	irregular []curve.Span
	remarks   []string
}

// A stamper holds a column of time while it is turned into a timeline; all in the column's own unit.
type stamper struct {
	t       []float64
	quantum float64 // what the stamps are rounded to; 0 when they are not
	step    float64
	limit   float64 // how far a step may be off
	coarse  bool    // the stamps are rounded to more than a good part of a step
}

// newTimeline reads a column of time stamps. factor turns its unit into seconds.
//
// The step is found from the median over long stretches, so that stamps rounded to a few digits (0.0042, 0.0083, 0.0125
// is a steady 240 Hz) and gaps do not disturb it. A rate within what the rounding leaves open of a whole number is that
// number. Where the clock skips samples, places stay free for them.
func newTimeline(t []float64, factor float64) (*timeline, error) {
	s := &stamper{t: t, quantum: quantumOf(t)}
	if err := s.findStep(factor); err != nil {
		return nil, err
	}
	out := &timeline{startS: t[0] * factor, samples: len(t)}
	if tens := math.Round(-math.Log10(factor)); factor != 1 && math.Pow10(int(tens))*factor == 1 {
		out.startS = t[0] / math.Pow10(int(tens))
	}
	if s.even() {
		step := (t[len(t)-1] - t[0]) / float64(len(t)-1)
		out.rateHz = roundRate(1/(step*factor), s.quantum/(t[len(t)-1]-t[0]))
		return out, nil
	}
	return out, s.walk(out, factor)
}

// quantumOf returns what stamps are rounded to: the largest power of ten that all of a few dozen stamps from both ends
// are whole multiples of. It is 0 when they need more than nine decimals.
func quantumOf(t []float64) float64 {
	look := slices.Concat(t[:min(len(t), 32)], t[max(0, len(t)-32):])
	for decimals := range 10 {
		scale := math.Pow10(decimals)
		whole := true
		for _, v := range look {
			if x := v * scale; math.Abs(x-math.Round(x)) > 1e-6*math.Max(1, math.Abs(x)*1e-6) {
				whole = false
				break
			}
		}
		if whole {
			return 1 / scale
		}
	}
	return 0
}

// findStep finds the step between rows.
func (s *stamper) findStep(factor float64) error {
	n := len(s.t)
	if math.IsNaN(s.t[0]) || math.IsNaN(s.t[n-1]) {
		return refuse("", "its first or last time stamp is missing")
	}
	stride := min(64, (n-1)/2)
	steps := make([]float64, 0, 128)
	for i := 0; i+stride < n; i += max(1, n/128) {
		if d := (s.t[i+stride] - s.t[i]) / float64(stride); !math.IsNaN(d) {
			steps = append(steps, d)
		}
	}
	slices.Sort(steps)
	if len(steps) == 0 || steps[len(steps)/2] <= 0 {
		return refuse("is the column of time the right one? 'plateside inspect' shows what was taken for it", "its time does not rise")
	}
	s.step = steps[len(steps)/2]
	if rate := 1 / (s.step * factor); math.IsInf(rate, 0) || rate > 1e7 || rate < 1e-3 {
		return refuse("", "its time steps by %g s", s.step*factor)
	}
	if s.exact() {
		s.quantum = 0
	}
	s.coarse = s.quantum > 0.4*s.step
	s.limit = 0.02*s.step + 1.001*s.quantum
	return nil
}

// exact reports whether a step is a whole number of what the stamps are rounded to: then rounding changes no stamp. A
// clock that often repeats a stamp runs a little faster than that.
func (s *stamper) exact() bool {
	if s.quantum == 0 {
		return true
	}
	n := s.step / s.quantum
	if n < 0.5 || math.Abs(n-math.Round(n)) > 1e-6*n {
		return false
	}
	repeats := 0
	for i := 1; i < len(s.t); i++ {
		if s.t[i] == s.t[i-1] {
			repeats++
		}
	}
	return repeats <= 1+len(s.t)/500
}

// even reports whether every row is one step after the one before, and the clock as a whole does not drift off.
func (s *stamper) even() bool {
	low, high := s.step-s.limit, s.step+s.limit
	for i := 1; i < len(s.t); i++ {
		if d := s.t[i] - s.t[i-1]; !(d >= low && d <= high) {
			return false
		}
	}
	n := len(s.t) - 1
	mean := (s.t[n] - s.t[0]) / float64(n)
	for i := 0; i <= n; i += max(1, n/64) {
		if math.Abs(s.t[i]-s.t[0]-float64(i)*mean) > 0.5*s.step+s.quantum {
			return false
		}
	}
	return true
}

// roundRate returns the whole number that a rate is within its uncertainty (relative), else the rate.
func roundRate(rate, uncertainty float64) float64 {
	near := math.Round(rate)
	if near > 0 && math.Abs(rate-near) <= near*math.Max(1e-6, 2*uncertainty) {
		return near
	}
	return rate
}

// walk gives every row its sample, leaving places free where the clock skips.
func (s *stamper) walk(out *timeline, factor float64) error {
	out.place = make([]int, len(s.t))
	anchor, at := 0, 0 // the last row that was in step, and its sample
	latest := s.t[0]
	repeated, skipped := 0, 0
	spans := &spanner{}
	for i := 1; i < len(s.t); i++ {
		if math.IsNaN(s.t[i]) {
			out.place[i] = -1 // until the next stamp tells whether there is room
			continue
		}
		before := out.last(i)
		d := s.t[i] - s.t[anchor]
		if s.t[i] < latest-(s.quantum+0.5*s.step) {
			return refuse("keep one recording in a file", "its time goes back from %.6g to %.6g s at row %d of the numbers",
				latest*factor, s.t[i]*factor, i+1)
		}
		k := at + s.steps(d)
		inStep := math.Abs(d-float64(k-at)*s.step) <= s.limit+0.001*math.Min(float64(k-at), 50)*s.step && k > before
		if k <= before {
			if !s.coarse && s.t[i]-latest <= 0.05*s.step {
				out.place[i] = -1
				repeated++
				spans.add(before-1, before)
				continue
			}
			k = before + 1
		}
		skipped += k - before - 1
		if skipped > 3*len(s.t)+1000 || k < 0 {
			return refuse("keep one recording in a file", "its time jumps from %.6g to %.6g s", latest*factor, s.t[i]*factor)
		}
		skipped -= s.placeUnstamped(out.place[:i], before, k)
		out.place[i], latest = k, s.t[i]
		if inStep {
			anchor, at = i, k
		} else {
			spans.add(before, k)
		}
	}
	out.close(s, factor, anchor, at, spans)
	out.tell(repeated, skipped)
	return nil
}

// placeUnstamped puts the rows without a stamp at the end of place after sample before, when there is room for all of
// them up to sample k; else they stay left out. It returns how many it placed.
func (s *stamper) placeUnstamped(place []int, before, k int) int {
	from := len(place)
	for from > 0 && place[from-1] < 0 && math.IsNaN(s.t[from-1]) {
		from--
	}
	n := len(place) - from
	if n > k-before-1 {
		return 0
	}
	for i := range n {
		place[from+i] = before + 1 + i
	}
	return n
}

// steps returns how many samples a difference of time is.
func (s *stamper) steps(d float64) int {
	n := d / s.step
	if s.coarse && n < 2+s.quantum/s.step {
		return 1
	}
	if n > 1e12 {
		return 1 << 40
	}
	return int(math.Round(n))
}

// last returns the sample of the row before i that has one.
func (l *timeline) last(i int) int {
	for i--; i > 0 && l.place[i] < 0; i-- {
	}
	return l.place[i]
}

// close sets the rate from the first row to the last one that was in step, and turns spans into seconds.
func (l *timeline) close(s *stamper, factor float64, anchor, at int, spans *spanner) {
	l.rateHz = 1 / (s.step * factor)
	if at > 0 {
		long := s.t[anchor] - s.t[0]
		l.rateHz = roundRate(float64(at)/(long*factor), s.quantum/long)
	}
	l.samples = l.last(len(l.place)) + 1
	for _, span := range spans.list {
		l.irregular = append(l.irregular, curve.Span{
			FromS: l.startS + float64(span[0])/l.rateHz, ToS: l.startS + float64(span[1])/l.rateHz,
		})
	}
}

func (l *timeline) tell(repeated, skipped int) {
	if repeated > 0 {
		l.remarks = append(l.remarks, fmt.Sprintf("%d rows repeat the time stamp before them and were left out", repeated))
	}
	if skipped > 0 {
		l.remarks = append(l.remarks, fmt.Sprintf("the clock skips %d samples, which are missing", skipped))
	}
	switch n := len(l.irregular); n {
	case 0:
	case 1:
		l.remarks = append(l.remarks, "the clock does not step evenly in one place")
	default:
		l.remarks = append(l.remarks, fmt.Sprintf("the clock does not step evenly in %d places", n))
	}
}

// A spanner joins spans of samples that touch or nearly so.
type spanner struct{ list [][2]int }

func (s *spanner) add(from, to int) {
	const near = 3 // samples
	from = max(from, 0)
	if n := len(s.list); n > 0 && from <= s.list[n-1][1]+near {
		s.list[n-1][1] = max(s.list[n-1][1], to)
		return
	}
	s.list = append(s.list, [2]int{from, to})
}

// spread puts the values of rows on their samples, NaN between.
func (l *timeline) spread(values []float64) []float64 {
	if l.place == nil || values == nil {
		return values
	}
	out := make([]float64, l.samples)
	for i := range out {
		out[i] = math.NaN()
	}
	for row, sample := range l.place {
		if sample >= 0 {
			out[sample] = values[row]
		}
	}
	return out
}

// unwrapMidnight lets a time of day run on over midnight, in place.
func unwrapMidnight(t []float64) {
	const day = 86400
	add := 0.0
	for i := range t {
		if i > 0 && t[i]+add < t[i-1]-day/2 {
			add += day
		}
		t[i] += add
	}
}
