package curve_test

import (
	"math"
	"testing"

	"plateside/curve"
)

// The values at the equator and the pole are printed in the definition of WGS84 (9.7803253 and 9.8321849378 m/s2); the
// others follow from the formula.
func TestGravityAt(t *testing.T) {
	for _, c := range []struct{ latitude, altitude, want float64 }{
		{0, 0, 9.7803253}, {30, 0, 9.7932473}, {45, 0, 9.8061978}, {60, 0, 9.8191770}, {90, 0, 9.8321849}, {45, 1000, 9.803112},
	} {
		if got := curve.GravityAt(c.latitude, c.altitude); math.Abs(got-c.want) > 1e-6 { // the digits printed
			t.Errorf("gravity at %g degrees, %g m is %.7f, want %.7f", c.latitude, c.altitude, got, c.want)
		}
	}
}
