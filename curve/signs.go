package curve

// Signs are facts about a rep that are neither landmarks nor metrics, measured here so that the checks need no samples.
// Times are seconds on the recording's clock; NaN where a fact does not exist.
type Signs struct {
	Stance  StanceSigns
	Plates  []PlateSigns
	Missing []Span
	// Irregular are the spans in which the clock did not step evenly.
	Irregular []Span
	Landing   LandingSigns
	// UnloadedS is the length of the flight that the unloaded level was read from.
	UnloadedS float64
	// OffsetHeightM is how much the jump height would change if the unloaded reading were subtracted.
	OffsetHeightM float64
	// HeightHalfM is the 95 % half-width of jump height: what the stance costs.
	HeightHalfM float64
	// EndsMoving says that a rep without flight stops in the middle of a movement.
	EndsMoving bool
}

// StanceSigns describe the last second before the onset.
type StanceSigns struct {
	// StandingS is how long the athlete stood on the plates before the onset, StillS how much of it, right before the
	// onset, was still.
	StandingS, StillS float64
	// Judged is the stretch the rest speaks of.
	Judged Span
	// SwayN is the swing of the total force to either side: the square root of twice the variance of its slow part, which
	// is the amplitude of a regular swing.
	SwayN float64
	// EarlierSwayN is the same for the second before that; NaN where nobody stood then.
	EarlierSwayN float64
	// ShiftPct is how far the left side's share of the weight travelled, in per cent of the total; NaN without sides.
	ShiftPct float64
	// ShiftSpan is the stretch between the extremes.
	ShiftSpan Span
	// BumpN is the largest stray from body weight in the last moments before the onset and BumpSpan where it was.
	BumpN    float64
	BumpSpan Span
}

// PlateSigns describe one plate, or the total where there is one.
type PlateSigns struct {
	Name string
	// ZeroN is what the plate reads unloaded, in flight; NoiseN its standard deviation there.
	ZeroN, NoiseN float64
	// FlatTops are stretches at the top of the plate's range.
	FlatTops []Span
	// RangeN is the force at which the tops are flat.
	RangeN float64
	// StandN is the mean after landing, LandN the peak in landing.
	StandN, LandN float64
}

// LandingSigns describe what came after the flight.
type LandingSigns struct {
	// Hop is the second flight; NaN when there is none.
	Hop Span
	// RestVelocityMS and RestForceN are the mean velocity and force in the stillness after landing; NaN without one.
	RestVelocityMS, RestForceN float64
	Rest                       Span
	// AfterS is how much of the recording follows the landing.
	AfterS float64
}
