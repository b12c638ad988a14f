package curve

import "math"

// A Value is a measured quantity in the unit of its metric. A value that could not be determined is NaN, and Why says
// in words what was missing.
type Value struct {
	Value float64
	// PlusMinus is the half-width of a 95 % interval; NaN where no uncertainty is known.
	PlusMinus float64
	Why       string
}

// Known reports whether the value was determined.
func (v Value) Known() bool { return !math.IsNaN(v.Value) && !math.IsInf(v.Value, 0) }

// HasPlusMinus reports whether the value carries a 95 % half-width.
func (v Value) HasPlusMinus() bool { return v.Known() && !math.IsNaN(v.PlusMinus) }

// unknown returns a value that was not determined, with the reason.
func unknown(why string) Value {
	return Value{Value: math.NaN(), PlusMinus: math.NaN(), Why: why}
}

// exact returns a value without a known uncertainty.
func exact(v float64) Value { return Value{Value: v, PlusMinus: math.NaN()} }

// A Metric is a row of the metric table. Key, heading, help, file columns and documentation all follow from it.
type Metric struct {
	// Key is the name in files, with the unit in it.
	Key string
	// Name is the name on screens.
	Name string
	// Unit is the SI unit as a UCUM code ("1" for a plain number, "%" for per cent).
	Unit string
	// Decimals is how many digits after the point are written.
	Decimals int
	// Uncertain says that the metric carries a 95 % half-width.
	Uncertain bool
	// Formula and Source say how it is computed and who published that.
	Formula, Source string
	// compute returns the value for a rep whose landmarks, phases and motion are in place.
	compute func(*workings) Value
}
