package quality

// What the recording itself is worth: missing samples, clipped plates, plates that do not read zero, a slow clock.

import (
	"fmt"
	"math"
	"slices"

	"plateside/curve"
)

func gap(b *bench) []Finding {
	spans := append(append([]curve.Span(nil), b.signs.Missing...), b.signs.Irregular...)
	if len(spans) == 0 {
		return nil
	}
	l := b.curve.Landmarks
	severity, where := Look, "outside the jump"
	span := spans[0]
	for _, s := range spans {
		if overlaps(s, l.OnsetS, l.LandingS) || (math.IsNaN(l.LandingS) && s.ToS >= l.OnsetS) {
			severity, where, span = Redo, "in the jump", s
			break
		}
	}
	what := "samples are irregularly timed"
	if slices.Contains(b.signs.Missing, span) {
		what = "samples are missing"
	}
	ms := (span.ToS - span.FromS) * 1000
	return []Finding{finding(Gap, severity, measured{ms, 0, "ms"}, span,
		fmt.Sprintf("%s for %.0f ms %s, at %.2f s: check cable and acquisition software", what, ms, where, span.FromS))}
}

func overlaps(s curve.Span, from, to float64) bool { return s.ToS >= from && s.FromS <= to }

func saturated(b *bench) []Finding {
	var worst *Finding
	for _, p := range b.signs.Plates {
		if len(p.FlatTops) == 0 || (p.Name == "total" && b.rep.Plates == 2) {
			continue
		}
		severity, where, span := Look, "after landing", p.FlatTops[0]
		for _, s := range p.FlatTops {
			if t := b.curve.Landmarks.TakeoffS; math.IsNaN(t) || s.FromS < t {
				severity, where, span = Redo, "before takeoff", s
			}
		}
		f := finding(Saturated, severity, measured{p.RangeN, p.RangeN, "N"}, span,
			fmt.Sprintf("the %s plate is clipped at %.0f N %s: set a larger range, then jump again", p.Name, p.RangeN, where))
		if p.Name == "total" {
			f.Message = fmt.Sprintf("the plate is clipped at %.0f N %s: set a larger range, then jump again", p.RangeN, where)
		}
		if worst == nil || severity > worst.Severity {
			worst = &f
		}
	}
	if worst == nil {
		return nil
	}
	return []Finding{*worst}
}

func zeroOffset(b *bench) []Finding {
	if math.IsNaN(b.signs.UnloadedS) {
		return b.unknown(ZeroOffset, "the plates are never seen unloaded in the rep")
	}
	worst := curve.PlateSigns{ZeroN: 0}
	for _, p := range b.signs.Plates {
		if math.Abs(p.ZeroN) > math.Abs(worst.ZeroN) {
			worst = p
		}
	}
	look, move := b.limit("zero_look"), math.Abs(b.signs.OffsetHeightM)*100
	if math.Abs(worst.ZeroN) < look && !(move > b.limit("zero_height")) {
		return nil
	}
	who := "the " + worst.Name + " plate reads"
	if worst.Name == "total" {
		who = "the plates read"
	}
	message := fmt.Sprintf("%s %+.0f N with nobody on them", who, worst.ZeroN)
	if !math.IsNaN(move) {
		message += fmt.Sprintf(", which moves jump height by %.1f cm", move)
	}
	severity, m := Look, measured{math.Abs(worst.ZeroN), look, "N"}
	if move > b.limit("zero_height") {
		severity, m = Redo, measured{move, b.limit("zero_height"), "cm"}
		message += ": zero the empty plates, then jump again"
	} else {
		message += ": zero the empty plates before the next rep"
	}
	l := b.curve.Landmarks
	return []Finding{finding(ZeroOffset, severity, m,
		curve.Span{FromS: l.TakeoffS, ToS: l.LandingS}, message)}
}

func lowRate(b *bench) []Finding {
	if least := b.limit("rate_look"); b.rep.RateHz < least {
		return []Finding{finding(LowRate, Look, measured{b.rep.RateHz, least, "Hz"}, nowhere(),
			fmt.Sprintf("%.0f samples a second are few: height reads 0.1-0.6 cm low, set 1000 Hz", b.rep.RateHz))}
	}
	return nil
}

func onePlate(b *bench) []Finding {
	if b.rep.Plates < 2 {
		b.rep.Notes = append(b.rep.Notes, "one total only: weight moving between the feet, a foot beside the plate and asymmetry cannot be judged")
	}
	return nil
}
