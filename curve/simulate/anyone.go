package simulate

import "math/rand/v2"

// Anyone returns a plausible jump by a person drawn at random: 36 to 135 kg, 12 to 50 cm, one hump or two, with the
// unrest of ordinary quiet standing. Equal seeds give equal jumps.
func Anyone(seed uint64) Jump {
	rng := rand.New(rand.NewPCG(seed, 0x616e796f6e65))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	j := Jump{
		MassKg: between(45, 110), HeightM: between(0.14, 0.46), DipG: between(0.32, 0.68), DipS: between(0.28, 0.46),
		BrakeG: between(0.75, 1.45), Humps: 1 + rng.IntN(2), LeftShare: between(0.44, 0.56), StandLeft: between(0.46, 0.54),
		StanceS: between(1.6, 3), AfterS: 3, NoiseN: between(0.7, 1.4), SwayPct: between(0.12, 0.4), Seed: seed,
	}
	j.RateHz = []float64{1000, 1000, 1000, 500, 2000}[rng.IntN(5)]
	return j
}

// Anywhere is Anyone at the edges: light and heavy people, slow clocks, noisy plates.
func Anywhere(seed uint64) Jump {
	rng := rand.New(rand.NewPCG(seed, 0x65646765))
	j := Anyone(seed)
	j.MassKg = 36 + 99*rng.Float64()
	j.NoiseN = 0.7 + 2.3*rng.Float64()
	j.RateHz = []float64{240, 500, 1000, 2000}[rng.IntN(4)]
	return j
}
