package quality

// The stance before the jump.
//
//	F |
//	W |~~~~~~~~~~~~~~[~~~ last second ~~~]\          swings of a few newtons are life: quiet standing is never still
//	  |                                    \_/
//
// stance-sway looks at the slow part of the total in the last second before the onset: body weight and the onset are
// both taken from there. stance-shift looks at the left share in the same second: a total can be quiet while weight
// walks from foot to foot. early-load looks for one loading or dip of its own right before the movement, with calm
// before it; when it is found it explains the unrest, and sway is then judged in the second before.

import (
	"fmt"
	"math"

	"plateside/curve"
)

func stanceSway(b *bench) []Finding {
	s := b.signs.Stance
	swing, when := s.SwayN, "in the last second"
	if b.found[EarlyLoad] {
		swing, when = s.EarlierSwayN, "before the early loading"
	}
	if math.IsNaN(swing) {
		return b.unknown(StanceSway, "there is too little stance to judge")
	}
	look, redo := b.ofWeight(b.limit("sway_look")), b.ofWeight(b.limit("sway_redo"))
	if swing < min(look, redo) { // a limit for redo below that for look holds all the same
		return nil
	}
	message := fmt.Sprintf("total force swayed ± %.0f N %s%s: ask to stand still, then jump again", swing, when, b.cost())
	if swing < redo {
		return []Finding{finding(StanceSway, Look, measured{swing, look, "N"}, s.Judged,
			fmt.Sprintf("total force swayed ± %.0f N %s%s: look whether the stance was quiet", swing, when, b.cost()))}
	}
	return []Finding{finding(StanceSway, Redo, measured{swing, redo, "N"}, s.Judged, message)}
}

// cost is what the stance costs in jump height, in words: the very half-width that stands beside the height.
func (b *bench) cost() string {
	half := b.signs.HeightHalfM
	if math.IsNaN(half) {
		return ""
	}
	return fmt.Sprintf(" (costs ± %.1f cm of jump height)", half*100)
}

func stanceShift(b *bench) []Finding {
	s := b.signs.Stance
	if b.rep.Plates < 2 {
		return b.unknown(StanceShift, "one total only: sides are not known")
	}
	if math.IsNaN(s.ShiftPct) {
		return b.unknown(StanceShift, "there is too little stance to judge")
	}
	look, redo := b.limit("shift_look"), b.limit("shift_redo")
	if s.ShiftPct < min(look, redo) {
		return nil
	}
	newtons := s.ShiftPct / 100 * b.curve.Weighing.WeightN
	what := fmt.Sprintf("%.0f N (%.0f %% of body weight) moved between the feet in the last second", newtons, s.ShiftPct)
	if s.ShiftPct < redo {
		return []Finding{finding(StanceShift, Look, measured{s.ShiftPct, look, "%"}, s.ShiftSpan, what+": look whether it matters")}
	}
	return []Finding{finding(StanceShift, Redo, measured{s.ShiftPct, redo, "%"}, s.ShiftSpan,
		what+": ask for weight on both feet and to stand still, then jump again")}
}

func stanceShort(b *bench) []Finding {
	s := b.signs.Stance
	redo, look := b.limit("stance_redo"), b.limit("stance_look")
	switch {
	case math.IsNaN(s.StandingS) && b.curve.Flew:
		return []Finding{finding(StanceShort, Redo, measured{0, redo, "s"}, nowhere(),
			"the recording begins inside the movement, without a stance to weigh: start recording earlier, then jump again")}
	case math.IsNaN(s.StandingS):
		return b.unknown(StanceShort, "no start of movement was found")
	}
	still, what := s.StandingS, "stood on the plates"
	look = max(look, redo)
	if still >= look && !b.found[StanceSway] && !b.found[StanceShift] && !b.found[EarlyLoad] {
		still, what = s.StillS, "stood still"
	}
	if still >= look {
		return nil
	}
	span := curve.Span{FromS: b.curve.Landmarks.OnsetS - still, ToS: b.curve.Landmarks.OnsetS}
	message := fmt.Sprintf("%s for only %.2f s before the jump: body weight cannot be trusted, ask to stand still for two seconds, then jump again", what, still)
	if still < redo {
		return []Finding{finding(StanceShort, Redo, measured{still, redo, "s"}, span, message)}
	}
	return []Finding{finding(StanceShort, Look, measured{still, look, "s"}, span,
		fmt.Sprintf("%s for only %.2f s before the jump: body weight is less sure than it could be", what, still))}
}

// earlyOverSway is how many times larger than the swing before it a bump must be to be a thing of its own (project
// default: a regular swing is at most 1.4 times its own root mean square).
const earlyOverSway = 2.0

func earlyLoad(b *bench) []Finding {
	s := b.signs.Stance
	if math.IsNaN(s.BumpN) {
		return b.unknown(EarlyLoad, "there is too little stance to judge")
	}
	limit := b.ofWeight(b.limit("early_load"))
	if math.Abs(s.BumpN) < limit || (!math.IsNaN(s.EarlierSwayN) && math.Abs(s.BumpN) < earlyOverSway*s.EarlierSwayN) {
		return nil
	}
	word := "loading"
	if s.BumpN < 0 {
		word = "dip"
	}
	before := b.curve.Landmarks.OnsetS - s.BumpSpan.FromS
	return []Finding{finding(EarlyLoad, Redo, measured{math.Abs(s.BumpN), limit, "N"}, s.BumpSpan,
		fmt.Sprintf("a %s of its own of %.0f N began %.2f s before the jump: ask to go straight down from standing still, then jump again",
			word, math.Abs(s.BumpN), before))}
}
