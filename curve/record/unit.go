package record

import (
	"math"
	"strings"
)

const (
	// newtonsPerKgf is the weight of one kilogram under standard gravity, by definition (ISO 80000-4).
	newtonsPerKgf = 9.80665
	// newtonsPerLbf is one pound-force: 0.45359237 kg (the international pound of 1959) under standard gravity.
	newtonsPerLbf = 4.4482216152605
)

// A unit converts to newtons (or to seconds): value x factor, and for units of body weight x the body's weight or mass.
type unit struct {
	name   string
	factor float64
	// tens is the power of ten that factor is, when tenfold is true: such a conversion keeps the digits exactly.
	tens    int
	tenfold bool
	// perMass tells that the value is a multiple of the body's weight (in kgf, so newtonsPerKgf is part of factor) or a
	// force per kilogram.
	perMass bool
}

// forceUnit returns the unit of force of that name.
func forceUnit(name string) (unit, bool) {
	lower := strings.ToLower(strings.TrimSpace(name))
	if name == "mN" {
		return unit{"mN", 1e-3, -3, true, false}, true
	}
	switch strings.Join(strings.Fields(lower), " ") {
	case "n", "newton", "newtons":
		return unit{"N", 1, 0, true, false}, true
	case "kn", "kilonewton", "kilonewtons":
		return unit{"kN", 1e3, 3, true, false}, true
	case "dan", "decanewton", "decanewtons":
		return unit{"daN", 10, 1, true, false}, true
	case "kgf", "kp", "kg", "kilogram-force", "kilograms", "kilogram":
		return unit{"kgf", newtonsPerKgf, 0, false, false}, true
	case "lbf", "lb", "lbs", "pound", "pounds", "pound-force":
		return unit{"lbf", newtonsPerLbf, 0, false, false}, true
	case "bw", "xbw", "x bw", "body weight", "body weights", "bodyweight", "bodyweights", "body-weights":
		return unit{"BW", newtonsPerKgf, 0, false, true}, true
	case "%bw", "% bw", "% body weight":
		return unit{"% BW", newtonsPerKgf / 100, 0, false, true}, true
	case "n/kg", "n kg-1", "n·kg-1":
		return unit{"N/kg", 1, 0, false, true}, true
	}
	return unit{}, false
}

// timeUnit returns the unit of time of that name.
func timeUnit(name string) (unit, bool) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "s", "sec", "secs", "second", "seconds":
		return unit{"s", 1, 0, true, false}, true
	case "ms", "msec", "millisecond", "milliseconds":
		return unit{"ms", 1e-3, -3, true, false}, true
	case "us", "µs", "μs", "usec", "microseconds":
		return unit{"µs", 1e-6, -6, true, false}, true
	case "min", "minutes":
		return unit{"min", 60, 0, false, false}, true
	case "hh:mm:ss", "hh:mm:ss.fff", "hh:mm:ss,fff", "hh:mm:ss.sss":
		return unit{"s", 1, 0, true, false}, true
	}
	return unit{}, false
}

// convert multiplies values by the unit's factor, in place. decimals is how many decimals they were written with: a
// power of ten then moves the decimal mark of what was written, so that 0.35690 kN is exactly what 356.90 N is.
func (u unit) convert(values []float64, decimals int, massKg float64) {
	switch {
	case u.tenfold && u.tens == 0:
	case u.tenfold:
		u.shift(values, min(decimals, 15))
	case u.perMass:
		scale(values, u.factor*massKg)
	default:
		scale(values, u.factor)
	}
}

func scale(values []float64, factor float64) {
	for i := range values {
		values[i] *= factor
	}
}

// shift moves the decimal mark: v was written as the whole number m over 10^decimals, and becomes m over
// 10^(decimals - tens), one correctly rounded division. decimals grows when a value has more; values that were not
// written so are multiplied.
func (u unit) shift(values []float64, decimals int) {
	const most = 12
	for i, v := range values {
		m, ok := wholeOf(v, decimals)
		for more := decimals + 1; !ok && more <= most && v == v; more++ { // not for NaN
			if m, ok = wholeOf(v, more); ok {
				decimals = more
			}
		}
		switch {
		case !ok:
			values[i] = v * u.factor
		case decimals >= u.tens:
			values[i] = m / math.Pow10(decimals-u.tens)
		default:
			values[i] = m * math.Pow10(u.tens-decimals)
		}
	}
}

// wholeOf returns the whole number that v is over 10^decimals; not ok when v is no such number.
func wholeOf(v float64, decimals int) (float64, bool) {
	written := math.Pow10(decimals)
	m := math.Round(v * written)
	return m, m/written == v && math.Abs(m) < 1<<53
}
