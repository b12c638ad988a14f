package curve

import "math"

// GravityAt returns the acceleration of free fall in m/s2 at a latitude in degrees and an altitude in metres above sea
// level, by the WGS84 ellipsoid with the free-air gradient:
//
//	g = 9.7803253359 (1 + 0.00193185265241 s) / sqrt(1 - 0.00669437999013 s) - 0.000003086 h,  s = sin^2(latitude)
//
// Source: international gravity formula, World Geodetic System 1984; gradient as in the GRS80 approximation. The spread
// from equator to pole is half a per cent of every height.
func GravityAt(latitudeDeg, altitudeM float64) float64 {
	s := math.Sin(latitudeDeg * math.Pi / 180)
	s *= s
	return 9.7803253359*(1+0.00193185265241*s)/math.Sqrt(1-0.00669437999013*s) - 0.000003086*altitudeM
}
