package quality_test

import (
	"testing"

	"plateside/curve"
	"plateside/curve/simulate"
	"plateside/quality"
)

// judge judges one simulated jump.
func judge(t testing.TB, j simulate.Jump) *quality.Rep {
	t.Helper()
	rec, _ := simulate.Record(j)
	reps, err := curve.Analyse(rec, curve.DefaultMethod())
	if err != nil || len(reps) == 0 {
		t.Fatalf("%+v: %v", j, err)
	}
	rep := &quality.Rep{RateHz: j.RateHz, Plates: 2, Curve: reps[0]}
	quality.Judge(rep, quality.DefaultLimits())
	return rep
}

func has(rep *quality.Rep, check string) bool {
	for _, f := range rep.Findings {
		if f.Check == check {
			return true
		}
	}
	return false
}

// TestFaultsAreFound plants every kind of fault, plain and near the limit, into people and plates of every kind. At
// least 95 of 100 must be found; near the limit either severity counts.
func TestFaultsAreFound(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault simulate.Fault
		size  float64
		check string
	}{
		{"sway", simulate.StanceSway, 0, quality.StanceSway}, {"sway 1.3 %", simulate.StanceSway, 1.3, ""},
		{"shift", simulate.StanceShift, 0, quality.StanceShift}, {"shift 5 %", simulate.StanceShift, 5, ""},
		{"load", simulate.EarlyLoad, 0, quality.EarlyLoad}, {"load 4 %", simulate.EarlyLoad, 4, ""},
		{"short", simulate.StanceShort, 0, quality.StanceShort}, {"no flight", simulate.NoFlight, 0, quality.NoFlight},
		{"gap", simulate.Gap, 0, quality.Gap}, {"saturated", simulate.Saturated, 0, quality.Saturated},
		{"offset", simulate.ZeroOffset, 0, quality.ZeroOffset}, {"off plate", simulate.OffPlate, 0, quality.OffPlate},
		{"hop", simulate.ExtraHop, 0, quality.ExtraHop}, {"tuck", simulate.Tuck, 0, quality.HeightGap},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			const n = 100
			found := 0
			also := map[string]int{}
			for seed := range uint64(n) {
				j := simulate.Anywhere(seed)
				j.Fault, j.Size = c.fault, c.size
				rep := judge(t, j)
				if (c.check == "" && rep.Verdict != quality.VerdictClear) || has(rep, c.check) {
					found++
				} else if testing.Verbose() {
					s := rep.Curve.Signs.Stance
					t.Logf("seed %d missed: %.0f Hz, %.0f kg, %d humps, sway %.2f %% shift %.2f bump %.2f stand %.2f %v", seed, j.RateHz, j.MassKg, j.Humps,
						s.SwayN/rep.Curve.Weighing.WeightN*100, s.ShiftPct, s.BumpN/rep.Curve.Weighing.WeightN*100, s.StandingS, rep.Findings)
				}
				for _, f := range rep.Findings {
					if f.Check != c.check && f.Check != quality.LowRate {
						also[f.Check]++
					}
				}
			}
			t.Logf("found %d of %d; also %v", found, n, also)
			if found < 95 {
				t.Errorf("found %d of %d", found, n)
			}
		})
	}
}

// TestGoodRepsStayClear counts false alarms on reps that nothing spoils: at most 3 of 100 redo on people and plates of
// every kind, at most 2 of 100 redo and 6 look on ordinary ones.
func TestGoodRepsStayClear(t *testing.T) {
	for _, c := range []struct {
		name       string
		draw       func(uint64) simulate.Jump
		redo, look int
	}{{"ordinary", simulate.Anyone, 6, 18}, {"every kind", simulate.Anywhere, 9, 300}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			redo, look := 0, 0
			why := map[string]int{}
			for seed := range uint64(300) {
				rep := judge(t, c.draw(seed))
				for _, f := range rep.Findings {
					if f.Check != quality.LowRate {
						why[f.Check+" "+f.Severity.String()]++
					}
				}
				switch rep.Verdict {
				case quality.VerdictRedo:
					redo++
				case quality.VerdictLook:
					look++
				}
			}
			t.Logf("of 300 good reps %d redo, %d look: %v", redo, look, why)
			if redo > c.redo || look > c.look {
				t.Errorf("of 300 good reps %d redo (at most %d) and %d look (at most %d): %v", redo, c.redo, look, c.look, why)
			}
		})
	}
}
