package record

import (
	"fmt"
	"math"
)

// clock sets the rate and the timeline.
func (tr *translator) clock() error {
	c := tr.roles.time
	written, where := writtenRate(tr.u.Metadata)
	if c == nil && tr.roles.counter != nil && tr.layout.RateHz == 0 {
		return tr.countedClock(written, where)
	}
	if c == nil {
		return tr.blindClock(written, where)
	}
	factor, err := tr.timeFactor(c, written)
	if err != nil {
		return err
	}
	if factor == 0 { // it counts samples after all
		tr.roles.time, tr.roles.counter = nil, c
		return tr.blindClock(written, where)
	}
	if c.clock {
		unwrapMidnight(c.values)
	}
	if tr.line, err = newTimeline(c.values, factor); err != nil {
		return err
	}
	tr.rec.RateHz, tr.rec.StartS, tr.rec.Irregular = tr.line.rateHz, tr.line.startS, tr.line.irregular
	tr.rec.Remarks = append(tr.rec.Remarks, tr.line.remarks...)
	tr.u.RateFrom = "the column of time"
	switch {
	case tr.layout.RateHz > 0:
		tr.rec.RateHz, tr.u.RateFrom = tr.layout.RateHz, "plateside.toml"
	case written > 0 && math.Abs(written-tr.rec.RateHz) > 0.01*written:
		return refuse(settingLine(fmt.Sprintf("rate_hz = %g", written)),
			"its column of time steps at %.6g Hz but %s says %g Hz", tr.rec.RateHz, where, written)
	}
	return nil
}

// timeFactor returns what turns the column of time into seconds: by its unit, else by the only unit in which its step
// is a rate that plates have. It is 0 when the column counts samples.
func (tr *translator) timeFactor(c *column, written float64) (float64, error) {
	name := c.unit
	if tr.layout.TimeUnit != "" {
		name = tr.layout.TimeUnit
	}
	if u, known := timeUnit(name); known || c.clock {
		if c.clock {
			return 1, nil
		}
		tr.u.TimeUnit = u.name
		return u.factor, nil
	}
	line, err := newTimeline(c.values, 1)
	if err != nil {
		return 0, err
	}
	if line.rateHz > 0.99 && line.rateHz < 1.01 && written > 0 && math.Abs(written-1000) > 10 {
		return 0, nil
	}
	for _, u := range []struct {
		name   string
		factor float64
	}{{"s", 1}, {"ms", 1e-3}, {"µs", 1e-6}} {
		if rate := line.rateHz / u.factor; rate >= rateLowHz*0.999 && rate <= rateHighHz*1.001 {
			tr.u.TimeUnit = u.name
			if u.name != "s" {
				tr.rec.Remarks = append(tr.rec.Remarks, "the column of time was taken as "+u.name+": no other unit gives a rate "+
					"that plates have")
			}
			return u.factor, nil
		}
	}
	return 0, refuse(settingLine(`time_unit = "s"`), "its time steps by %.4g, which is a rate of plates neither in s nor in ms",
		1/line.rateHz)
}

// countedClock reads a column that rises by 1: a count of samples, or milliseconds when nothing else gives a rate and
// its name says nothing.
func (tr *translator) countedClock(written float64, where string) error {
	c := tr.roles.counter
	known := written > 0 || tr.o.RateHz > 0
	if c.isCounter || known {
		if err := tr.blindClock(written, where); err != nil {
			return err
		}
		return tr.countedGaps(c)
	}
	return refuse(`give the rate with --rate HZ if it counts samples; or put columns = ["time", ...] and time_unit = "ms" `+
		"into a [[reader]] block of plateside.toml", "its first column rises by 1: that could be milliseconds or a count of samples")
}

// countedGaps leaves places free where a count of samples skips.
func (tr *translator) countedGaps(c *column) error {
	line, err := newTimeline(c.values, 1)
	if err != nil || line.place == nil || line.rateHz < 0.99 || line.rateHz > 1.01 {
		return nil //nolint:nilerr // a count that is no count is not used
	}
	tr.line.place, tr.line.samples = line.place, line.samples
	for _, span := range line.irregular {
		span.FromS, span.ToS = (span.FromS-line.startS)/tr.rec.RateHz, (span.ToS-line.startS)/tr.rec.RateHz
		tr.rec.Irregular = append(tr.rec.Irregular, span)
	}
	tr.rec.Remarks = append(tr.rec.Remarks, line.remarks...)
	return nil
}

// blindClock takes the rate from the settings, the lines above the numbers or the command line, in this order.
func (tr *translator) blindClock(written float64, where string) error {
	switch {
	case tr.layout.RateHz > 0:
		tr.rec.RateHz, tr.u.RateFrom = tr.layout.RateHz, "plateside.toml"
	case written > 0:
		tr.rec.RateHz, tr.u.RateFrom = written, where
	case tr.o.RateHz > 0:
		tr.rec.RateHz, tr.u.RateFrom = tr.o.RateHz, "--rate"
	default:
		return refuse("give the sampling rate with --rate HZ", "it has no column of time and nothing says the sampling rate")
	}
	tr.line = &timeline{rateHz: tr.rec.RateHz, samples: tr.t.Rows()}
	return nil
}
