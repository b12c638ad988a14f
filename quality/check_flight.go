package quality

// The flight and what comes after it.

import (
	"fmt"
	"math"
	"slices"

	"plateside/curve"
)

func noFlight(b *bench) []Finding {
	if b.curve.Flew {
		return nil
	}
	if b.signs.EndsMoving {
		f := finding(NoFlight, Redo, measured{math.NaN(), math.NaN(), ""}, nowhere(),
			"the recording stops inside the movement, before a flight: was the file cut short? record longer, then jump again")
		f.Cue = CueNone
		return []Finding{f}
	}
	return []Finding{finding(NoFlight, Redo, measured{math.NaN(), math.NaN(), ""}, nowhere(),
		"the athlete did not leave the plates: ask to jump as high as possible, then jump again")}
}

func offPlate(b *bench) []Finding {
	l := b.curve.Landmarks
	switch {
	case !b.curve.Flew:
		return b.unknown(OffPlate, "there is no flight to land from")
	case math.IsNaN(l.LandingS) && b.signs.UnloadedS >= nobodyLandedS:
		return []Finding{finding(OffPlate, Look, measured{0, b.limit("off_plate"), "%"}, curve.Span{FromS: l.TakeoffS, ToS: l.TakeoffS + b.signs.UnloadedS},
			"nobody landed on the plates: flight time and landing are lost, ask to land where the jump began")}
	case math.IsNaN(l.LandingS):
		return b.unknown(OffPlate, "the recording ends in flight")
	}
	weight := b.curve.Weighing.WeightN
	for _, p := range b.signs.Plates {
		share := math.Max(p.LandN, 0) / weight * 100
		if p.Name == "total" || !(share < b.limit("off_plate")) {
			continue
		}
		return []Finding{finding(OffPlate, Look, measured{share, b.limit("off_plate"), "%"},
			curve.Span{FromS: l.LandingS, ToS: l.LandingS + 0.5},
			fmt.Sprintf("the %s foot missed its plate on landing: landing numbers do not count, ask to land with both feet on the plates", p.Name))}
	}
	return nil
}

// nobodyLandedS is how long the plates must stay empty after takeoff for nobody to have landed on them, in seconds: 1 s of
// flight would be a jump of 1.2 m.
const nobodyLandedS = 1.0

func extraHop(b *bench) []Finding {
	hop := b.signs.Landing.Hop
	if math.IsNaN(hop.FromS) {
		return nil
	}
	after := hop.FromS - b.curve.Landmarks.LandingS
	return []Finding{finding(ExtraHop, Look, measured{after, 0, "s"}, hop,
		fmt.Sprintf("a second flight %.1f s after landing: ask to land and stay down", after))}
}

func heightGap(b *bench) []Finding {
	jump, flight := b.curve.Metric("jump_height_m"), b.curve.Metric("flight_height_m")
	if !jump.Known() || !flight.Known() {
		why := jump.Why
		if why == "" {
			why = flight.Why
		}
		return b.unknown(HeightGap, why)
	}
	for _, f := range b.rep.Findings {
		if f.Severity == Redo && slices.Contains([]string{Saturated, ZeroOffset, Gap}, f.Check) {
			return b.unknown(HeightGap, "the finding "+f.Check+" explains it")
		}
	}
	off := (flight.Value - jump.Value) * 100
	limit := math.Max(b.limit("height_gap_cm"), b.limit("height_gap_pct")/100*jump.Value*100)
	if math.Abs(off) < limit {
		return nil
	}
	cause := b.gapCause(off)
	l := b.curve.Landmarks
	return []Finding{finding(HeightGap, Look, measured{math.Abs(off), limit, "cm"}, curve.Span{FromS: l.TakeoffS, ToS: l.LandingS},
		fmt.Sprintf("flight time says %+.1f cm against takeoff velocity: %s", off, cause))}
}

// driftMS is the velocity left over in standing from which a gap of heights is put down to body weight, in m/s: a weight
// error of half a per cent drifts by 0.1 m/s in two seconds (derived: drift is e g t).
const driftMS = 0.1

// gapCause tells the usual causes of a gap between the heights apart, as far as the data can. A wrong weight leaves a
// velocity over when the athlete stands again: upward when it is too low. Without that the flight itself was longer or
// shorter than the takeoff says, which is a matter of how one landed.
func (b *bench) gapCause(offCm float64) string {
	drift := b.signs.Landing.RestVelocityMS
	switch {
	case b.found[StanceSway] || b.found[StanceShort] || b.found[EarlyLoad]:
		return fmt.Sprintf("the stance leaves body weight unsure by ± %.0f N: believe neither", b.curve.Weighing.HalfWidthN)
	case offCm > 0 && drift < -driftMS:
		return "body weight reads too high, velocity does not come back to zero: look at the stance"
	case offCm < 0 && drift > driftMS:
		return "body weight reads too low, velocity does not come back to zero: look at the stance"
	case math.IsNaN(drift):
		return "legs tucked, a soft landing or a wrong body weight; nothing after the landing tells which"
	case offCm > 0:
		return "body weight holds, so legs were tucked or the landing was soft: judge by takeoff velocity"
	}
	return "body weight holds, so the landing was higher than the takeoff: judge by takeoff velocity"
}

func unsettled(b *bench) []Finding {
	l := b.signs.Landing
	switch {
	case b.curve.Flew && math.IsNaN(b.curve.Landmarks.LandingS) && !b.found[OffPlate]:
		f := finding(Unsettled, Look, measured{math.NaN(), math.NaN(), ""}, nowhere(),
			"the recording ends in flight, so landing and flight height are not known: record longer")
		f.Cue = CueNone
		return []Finding{f}
	case !b.curve.Flew || math.IsNaN(b.curve.Landmarks.LandingS):
		return b.unknown(Unsettled, "there is no landing")
	case b.found[ExtraHop] || b.found[OffPlate] || b.found[Saturated] || b.found[Gap] || !math.IsNaN(l.Hop.FromS):
		return b.unknown(Unsettled, "another finding explains it")
	case math.IsNaN(l.RestForceN) && l.AfterS < settleAskS:
		return b.unknown(Unsettled, fmt.Sprintf("the recording ends %.1f s after landing", l.AfterS))
	case math.IsNaN(l.RestForceN):
		return []Finding{finding(Unsettled, Look, measured{l.AfterS, math.NaN(), "s"}, nowhere(),
			fmt.Sprintf("no quiet standing in the %.1f s after landing: ask to land and stand still", l.AfterS))}
	}
	weight := b.curve.Weighing.WeightN
	force := math.Abs(l.RestForceN-weight) / weight * 100
	if limit := b.limit("settle_force"); force > limit {
		return []Finding{finding(Unsettled, Look, measured{force, limit, "%"}, l.Rest,
			fmt.Sprintf("standing after landing reads %+.0f N against before: was the stance before the jump on both plates?", l.RestForceN-weight))}
	}
	if limit := b.limit("settle_velocity"); math.Abs(l.RestVelocityMS) > limit {
		return []Finding{finding(Unsettled, Look, measured{math.Abs(l.RestVelocityMS), limit, "m/s"}, l.Rest,
			fmt.Sprintf("%.2f m/s of velocity are left over when standing again: body weight or the start is off", l.RestVelocityMS))}
	}
	return nil
}

// settleAskS is how much recording after a landing there must be before the lack of quiet standing is a finding, in
// seconds; a shorter one is no answer (project default).
const settleAskS = 2.5
