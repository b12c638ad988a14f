package quality_test

import (
	"strings"
	"testing"

	"plateside/curve"
	"plateside/quality"
)

// repOf is a rep of a given jump height in metres.
func repOf(n int, height float64) *quality.Rep {
	c := &curve.Rep{Number: n, Flew: true, Values: make([]curve.Value, len(curve.Metrics()))}
	for i, m := range curve.Metrics() {
		if m.Key == "jump_height_m" {
			c.Values[i].Value = height
		}
	}
	return &quality.Rep{ID: "r", SHA256: "x", Curve: c}
}

func TestTally(t *testing.T) {
	wanted := quality.Wanted{Kept: 3, Attempts: 5, SpreadPct: 8}
	for _, c := range []struct {
		name    string
		heights []float64
		keep    []bool
		want    string
	}{
		{"nothing yet", nil, nil, "0 of 3 kept, attempt 0 of 5, 3 more"},
		{"one", []float64{0.35}, []bool{true}, "1 of 3 kept, attempt 1 of 5, 2 more"},
		{"enough", []float64{0.35, 0.30, 0.36, 0.355}, []bool{true, false, true, true}, "enough: 3 good reps"},
		{"three that differ", []float64{0.35, 0.30, 0.36}, []bool{true, true, true}, "one more to agree"},
		{"used up", []float64{0.35, 0.3, 0.3, 0.3, 0.36}, []bool{true, false, false, false, true}, "stop: 5 attempts are used"},
		{"used up and different", []float64{0.35, 0.2, 0.3, 0.3, 0.36}, []bool{true, true, true, false, false}, "stop: 5 attempts are used"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := &quality.History{}
			var reps []*quality.Rep
			for i, height := range c.heights {
				r := repOf(i+1, height)
				reps = append(reps, r)
				if c.keep[i] {
					if err := h.Apply(quality.Event{Seq: h.NextSeq(), Action: quality.ActKeep, Key: r.Key()}); err != nil {
						t.Fatal(err)
					}
				}
			}
			got := quality.TallyOf(reps, h, wanted)
			if !strings.Contains(got.Words(), c.want) {
				t.Errorf("%q, want %q", got.Words(), c.want)
			}
			if got.Stopped && strings.Contains(got.Words(), "more to") {
				t.Errorf("asks for more after the last attempt: %q", got.Words())
			}
		})
	}
}
