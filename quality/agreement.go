package quality

import "math"

// An Agreement says how far two reviewers of the same reps agree.
type Agreement struct {
	// N is the number of reps that both decided; the other figures are of these alone. A rep that one of them left
	// undecided is missing, not a disagreement.
	N int
	// Table counts all reps: Table[x][y] is how often the first reviewer said x and the second y, undecided ones too.
	Table [3][3]int
	// Agreed is the share of reps on which both said the same, 0 to 1; NaN where N is 0.
	Agreed float64
	// Expected is the share on which two reviewers would agree who decide by chance, each as often for keep as these did.
	Expected float64
	// Kappa is Cohen's kappa; NaN where it is not defined: no rep that both decided, or both always said the same one
	// thing, which chance alone would do as well.
	Kappa float64
}

// AgreementOf compares the choices of two reviewers, a[i] and b[i] of the same rep i. With po the share of equal choices
// and pe the share expected by chance,
//
//	pe = pk qk + pr qr,  kappa = (po - pe) / (1 - pe)
//
// where pk and pr are the shares of keep and reject of the first, qk and qr of the second. It is 1 for full agreement,
// 0 for what chance gives, negative below that. A raw share misleads where one choice is frequent: kappa is made for
// that. It panics when the lengths differ.
//
// Source: J. Cohen, A coefficient of agreement for nominal scales, Educ Psychol Meas 20:37-46, 1960 (title from memory;
// formula and worked tables compared in the tests).
func AgreementOf(a, b []Choice) Agreement {
	if len(a) != len(b) {
		panic("quality: agreement of choices on different numbers of reps")
	}
	var g Agreement
	for i := range a {
		g.Table[decided(a[i])][decided(b[i])]++
	}
	var first, second [3]float64
	same := 0.0
	for _, x := range []Choice{Keep, Reject} {
		for _, y := range []Choice{Keep, Reject} {
			n := g.Table[x][y]
			g.N += n
			first[x], second[y] = first[x]+float64(n), second[y]+float64(n)
		}
		same += float64(g.Table[x][x])
	}
	n := float64(g.N) // 0/0 is NaN: nothing is known of no reps
	g.Agreed = same / n
	g.Expected = (first[Keep]*second[Keep] + first[Reject]*second[Reject]) / (n * n)
	g.Kappa = math.NaN()
	if g.Expected < 1 {
		g.Kappa = (g.Agreed - g.Expected) / (1 - g.Expected)
	}
	return g
}

// decided is a choice as a place in the table: what is no choice counts as undecided.
func decided(c Choice) Choice {
	if c != Keep && c != Reject {
		return Undecided
	}
	return c
}

// Word returns what kappa is called on the customary scale: below 0 poor, to 0.20 slight, to 0.40 fair, to 0.60
// moderate, to 0.80 substantial, above that almost perfect; "undefined" where there is no kappa. The scale's own authors
// call its divisions arbitrary. Kappa is taken to the two digits that the scale has.
//
// Source: J. R. Landis, G. G. Koch, The measurement of observer agreement for categorical data, Biometrics 33:159-174,
// 1977 (from memory).
func (g Agreement) Word() string {
	k := math.Round(g.Kappa*100) / 100
	switch {
	case math.IsNaN(g.Kappa):
		return "undefined"
	case g.Kappa < 0:
		return "poor"
	case k <= 0.20:
		return "slight"
	case k <= 0.40:
		return "fair"
	case k <= 0.60:
		return "moderate"
	case k <= 0.80:
		return "substantial"
	}
	return "almost perfect"
}
