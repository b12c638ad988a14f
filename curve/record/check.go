package record

import (
	"fmt"
	"math"
)

// check holds the recording against physics. What cannot be is refused; what is odd is remarked.
func (tr *translator) check() error {
	r := tr.rec
	if tr.o.Unloaded { // nothing about a load can be held against physics
		if tr.u.Unit == "" {
			tr.u.Unit = "N (no unit is given)"
		}
		return nil
	}
	load := standing(r.Total)
	if err := tr.checkLoad(load); err != nil {
		return err
	}
	if r.RateHz < rateLowHz || r.RateHz > rateHighHz {
		tr.remark("the sampling rate, %g Hz, is outside %d to %d Hz", r.RateHz, rateLowHz, rateHighHz)
	}
	if low := lowest(r.Total); math.Abs(low) > 30 && math.Abs(low) < 0.35*load {
		tr.remark("in flight the plates read %.0f N, far from zero", low)
	}
	tr.checkBeside()
	if n := len(tr.t.BadLines); n > 0 {
		tr.remark("%d lines inside the numbers could not be read and are missing samples (the first is line %d)", n,
			tr.t.BadLines[0])
	}
	if tr.t.CutShort {
		tr.remark("the last line has no line end; it was left out because digits may be missing")
	}
	return nil
}

// checkLoad holds the load of standing against what people weigh. Without a unit it decides whether the numbers can be
// newtons.
func (tr *translator) checkLoad(load float64) error {
	likely := load >= standingLowN && load <= standingHighN
	switch {
	case tr.u.Unit != "" && highest(tr.rec.Total) < nobodyN:
		return refuse("is the unit right?", "nobody stands on the plates: the force stays below %d N", nobodyN)
	case tr.u.Unit == "" && !likely:
		return refuse(settingLine(`unit = "kgf"`)+"; N, kN, kgf, lbf and BW are known",
			"no unit is given and the load of standing, %.4g, is not likely in newtons", load)
	case tr.u.Unit == "":
		tr.u.Unit = "N (no unit is given; the load of standing fits)"
	case !likely:
		tr.remark("the load of standing, %.0f N, is outside %d to %d N", load, standingLowN, standingHighN)
	}
	return nil
}

func (tr *translator) remark(format string, args ...any) {
	tr.rec.Remarks = append(tr.rec.Remarks, fmt.Sprintf(format, args...))
}

// checkBeside compares a total that the file carries with the sum of its sides.
func (tr *translator) checkBeside() {
	c := tr.roles.beside
	if c == nil {
		return
	}
	beside := tr.line.spread(c.values)
	off, turned, n := 0.0, 0.0, 0
	for i, v := range beside {
		sum := tr.rec.Total[i]
		if math.IsNaN(v) || math.IsNaN(sum) {
			continue
		}
		off += math.Abs(v - sum)
		turned += math.Abs(-v - sum)
		n++
	}
	if n == 0 {
		return
	}
	mean := math.Min(off, turned) / float64(n)
	const roundingN = 2 // sides and total are often rounded to whole newtons each
	if limit := math.Max(roundingN, 0.01*math.Abs(standing(tr.rec.Total))); mean > limit {
		tr.remark("%s differs from left + right by %.0f N on average; left + right is used", c.label(), mean)
	}
}

func highest(values []float64) float64 {
	most := 0.0
	for _, v := range values {
		if v > most || -v > most {
			most = math.Abs(v)
		}
	}
	return most
}

// lowest returns the force that one sample in fifty is below, from a hundred samples or more: the level in flight, if there
// is one.
func lowest(values []float64) float64 {
	sample := sorted(values, 100)
	if len(sample) == 0 {
		return 0
	}
	return sample[len(sample)/50]
}
