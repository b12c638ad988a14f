package curve

import (
	"math"

	"plateside/curve/series"
)

// A StanceTrace is the stance before a rep as deviations in newtons, under a moving mean of StanceMeanS so that plate
// noise does not hide what the athlete does: the total from body weight, each side from its own mean.
type StanceTrace struct {
	// FirstS is the time of the first value, StepS the time between values.
	FirstS, StepS float64
	// Left and Right are nil without sides.
	Total, Left, Right []float64
}

// StanceMeanS is the length of the moving mean of a StanceTrace in seconds.
const StanceMeanS = 0.04

// TraceStance returns the stance of a rep between two instants, for drawing. Missing samples stay NaN. It is empty
// where body weight is not known.
func TraceStance(rec *Recording, rep *Rep, fromS, toS float64) StanceTrace {
	t := StanceTrace{StepS: 1 / rec.RateHz}
	if !(rep.Weighing.WeightN > 0) || !(toS > fromS) {
		return t
	}
	lo, hi := max(rep.From, rec.Sample(fromS)), min(rep.To, rec.Sample(toS)+1)
	if hi-lo < 2 {
		return t
	}
	t.FirstS = rec.TimeS(float64(lo))
	half := int(math.Round(StanceMeanS * rec.RateHz / 2))
	around := func(x []float64, level float64) []float64 {
		y := series.MovingMean(x[lo:hi], half)
		for i := range y {
			y[i] -= level
		}
		return y
	}
	t.Total = around(rec.Total, rep.Weighing.WeightN)
	if rec.HasSides() {
		from, to := rec.Sample(rep.Weighing.Window.FromS), rec.Sample(rep.Weighing.Window.ToS)
		t.Left = around(rec.Left, finiteMean(rec.Left[from:to+1]))
		t.Right = around(rec.Right, finiteMean(rec.Right[from:to+1]))
	}
	return t
}

func finiteMean(x []float64) float64 {
	filled, _ := series.FillGaps(x)
	return series.Mean(filled)
}
