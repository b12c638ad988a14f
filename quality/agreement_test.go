package quality_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"plateside/quality"
)

// said returns the choices that make a table: n[x][y] reps on which the first said x and the second y.
func said(n [2][2]int) (a, b []quality.Choice) {
	choices := [2]quality.Choice{quality.Keep, quality.Reject}
	for x, row := range n {
		for y, many := range row {
			for range many {
				a, b = append(a, choices[x]), append(b, choices[y])
			}
		}
	}
	return a, b
}

// Worked tables. The first is the usual teaching example of 50 proposals and two readers (printed 0.40), the second one
// of 20 patients (printed 0.21); the last two are a textbook pair (tables from memory, values by the formula). The first two
// share the same raw agreement, and so do the last two: kappa tells them apart.
func TestAgreementTables(t *testing.T) {
	for _, c := range []struct {
		table                   [2][2]int
		agreed, expected, kappa float64
		word                    string
	}{
		{[2][2]int{{20, 5}, {10, 15}}, 0.70, 0.50, 0.40, "fair"},
		{[2][2]int{{12, 2}, {4, 2}}, 0.70, 0.62, 0.210526, "fair"},
		{[2][2]int{{45, 15}, {25, 15}}, 0.60, 0.54, 0.130435, "slight"},
		{[2][2]int{{25, 35}, {5, 35}}, 0.60, 0.46, 0.259259, "fair"},
	} {
		a, b := said(c.table)
		g := quality.AgreementOf(a, b)
		for what, v := range map[string][2]float64{"agreed": {g.Agreed, c.agreed}, "expected": {g.Expected, c.expected}, "kappa": {g.Kappa, c.kappa}} {
			if math.Abs(v[0]-v[1]) > 5e-7 { // the digits printed
				t.Errorf("%v: %s is %.7f, want %.6f", c.table, what, v[0], v[1])
			}
		}
		if g.N != len(a) || g.Word() != c.word {
			t.Errorf("%v: %d reps, %q, want %d and %q", c.table, g.N, g.Word(), len(a), c.word)
		}
		for x, row := range c.table {
			for y, n := range row {
				if g.Table[x+1][y+1] != n {
					t.Errorf("%v came back as %v", c.table, g.Table)
				}
			}
		}
	}
}

// What one of the two left undecided is in the table and in nothing else; what is no choice counts as undecided.
func TestAgreementIgnoresUndecided(t *testing.T) {
	a, b := said([2][2]int{{20, 5}, {10, 15}})
	plain := quality.AgreementOf(a, b)
	a = append(a, quality.Undecided, quality.Undecided, quality.Reject, quality.Choice(7), quality.Choice(-1))
	b = append(b, quality.Undecided, quality.Keep, quality.Undecided, quality.Keep, quality.Reject)
	g := quality.AgreementOf(a, b)
	if g.N != plain.N || g.Agreed != plain.Agreed || g.Kappa != plain.Kappa {
		t.Errorf("%+v, without the undecided ones %+v", g, plain)
	}
	if want := [3]int{1, 2, 1}; g.Table[0] != want || g.Table[2][0] != 1 {
		t.Errorf("table %v", g.Table)
	}
}

func TestAgreementUndefined(t *testing.T) {
	keep := []quality.Choice{quality.Keep, quality.Keep, quality.Keep}
	g := quality.AgreementOf(keep, keep)
	if g.Agreed != 1 || g.Expected != 1 || !math.IsNaN(g.Kappa) || g.Word() != "undefined" {
		t.Errorf("both always keep: %+v, %s", g, g.Word())
	}
	for _, none := range [][]quality.Choice{nil, {quality.Undecided}} {
		g = quality.AgreementOf(none, none)
		if g.N != 0 || !math.IsNaN(g.Agreed) || !math.IsNaN(g.Expected) || !math.IsNaN(g.Kappa) || g.Word() != "undefined" {
			t.Errorf("nothing decided: %+v, %s", g, g.Word())
		}
	}
	// One who always says the same and one who does not: no better than chance.
	if g = quality.AgreementOf(keep, []quality.Choice{quality.Keep, quality.Reject, quality.Keep}); g.Kappa != 0 {
		t.Errorf("kappa %g", g.Kappa)
	}
	defer func() {
		if recover() == nil {
			t.Error("different numbers of reps were compared")
		}
	}()
	quality.AgreementOf(keep, keep[:2])
}

// Each division of the scale from both sides, by tables of 100 with even margins: kappa = 2 po - 1 there.
func TestAgreementWords(t *testing.T) {
	for _, c := range []struct {
		same int // of 100
		word string
	}{
		{0, "poor"}, {48, "poor"}, {50, "slight"}, {60, "slight"}, {62, "fair"}, {70, "fair"}, {72, "moderate"}, {80, "moderate"},
		{82, "substantial"}, {90, "substantial"}, {92, "almost perfect"}, {100, "almost perfect"},
	} {
		g := quality.AgreementOf(said([2][2]int{{c.same / 2, 50 - c.same/2}, {50 - c.same/2, c.same / 2}}))
		if math.Abs(g.Kappa-(2*float64(c.same)/100-1)) > 1e-12 || g.Word() != c.word { // rounding
			t.Errorf("%d of 100: kappa %g is %q, want %q", c.same, g.Kappa, g.Word(), c.word)
		}
	}
}

// The order of the reviewers and of the reps, and what the choices are called, change nothing; kappa is at most 1, and 1
// only for full agreement.
func TestAgreementProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 300 {
		n := 2 + rng.IntN(30)
		a, b := make([]quality.Choice, n), make([]quality.Choice, n)
		swapped := map[quality.Choice]quality.Choice{quality.Undecided: quality.Undecided, quality.Keep: quality.Reject, quality.Reject: quality.Keep}
		sa, sb := make([]quality.Choice, n), make([]quality.Choice, n)
		for i := range a {
			a[i], b[i] = quality.Choice(rng.IntN(3)), quality.Choice(rng.IntN(3))
			sa[n-1-i], sb[n-1-i] = swapped[a[i]], swapped[b[i]]
		}
		g := quality.AgreementOf(a, b)
		for what, o := range map[string]quality.Agreement{"reviewers": quality.AgreementOf(b, a), "names and order": quality.AgreementOf(sa, sb)} {
			if math.IsNaN(g.Kappa) != math.IsNaN(o.Kappa) || math.Abs(g.Kappa-o.Kappa) > 1e-12 { // rounding
				t.Errorf("kappa %g, with %s exchanged %g", g.Kappa, what, o.Kappa)
			}
		}
		if g.Kappa > 1 || (g.Kappa == 1) != (g.Agreed == 1 && g.Expected < 1) {
			t.Errorf("kappa %g where %g agree", g.Kappa, g.Agreed)
		}
	}
}
