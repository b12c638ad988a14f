package record_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/curve/record"
)

// A rep is one jump as whole hundredths of a newton, the form in which every dialect can write it exactly.
type rep struct {
	rateHz      int
	left, right []int
}

// newRep makes a jump of a body of about 72 kg: 1 s of standing, a dip, a push, 0.5 s of flight, a landing, standing.
// The numbers wiggle in a fixed way so that no two rows are equal.
func newRep(rateHz int) rep {
	r := rep{rateHz: rateHz}
	for i := range 4 * rateHz {
		t := float64(i) / float64(rateHz)
		total := 71000.0
		switch {
		case t < 1:
		case t < 1.4:
			total *= 1 - 0.6*math.Sin((t-1)/0.4*math.Pi)
		case t < 1.8:
			total *= 1 + 1.3*math.Sin((t-1.4)/0.4*math.Pi)
		case t < 2.3:
			total = 0
		case t < 2.6:
			total *= 1 + 2.5*math.Sin((t-2.3)/0.3*math.Pi)
		}
		wiggle := (i*7919)%401 - 200
		r.left = append(r.left, int(total*0.52)+wiggle)
		r.right = append(r.right, int(total*0.48)-wiggle/2)
	}
	return r
}

// hundredths writes n / 100 with two decimals.
func hundredths(n int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	return fmt.Sprintf("%s%d.%02d", sign, n/100, n%100)
}

// seconds writes the time of sample i with the given number of decimals.
func (r rep) seconds(i, decimals int) string {
	return fmt.Sprintf("%.*f", decimals, float64(i)/float64(r.rateHz))
}

// A form is a way to write a rep as delimited text.
type form struct {
	before, header, after string
	delimiter             string
	decimalComma          bool
	lineEnd               string
	rowEnd                string
	cells                 func(r rep, i int) []string
}

// text writes the rep; empty fields of the form are the plain ones: comma, point, LF, time-left-right.
func (r rep) text(f form) string {
	if f.delimiter == "" {
		f.delimiter = ","
	}
	if f.lineEnd == "" {
		f.lineEnd = "\n"
	}
	if f.cells == nil {
		f.cells = plainCells
	}
	var b strings.Builder
	b.WriteString(strings.ReplaceAll(f.before, "\n", f.lineEnd))
	if f.header != "" {
		b.WriteString(strings.ReplaceAll(f.header, "\n", f.lineEnd) + f.lineEnd)
	}
	for i := range r.left {
		row := strings.Join(f.cells(r, i), f.delimiter)
		if f.decimalComma {
			row = strings.ReplaceAll(row, ".", ",")
		}
		b.WriteString(row + f.rowEnd + f.lineEnd)
	}
	b.WriteString(strings.ReplaceAll(f.after, "\n", f.lineEnd))
	return b.String()
}

func plainCells(r rep, i int) []string {
	return []string{r.seconds(i, 3), hundredths(r.left[i]), hundredths(r.right[i])}
}

// newtons returns what n hundredths of a newton must be read as: the number nearest to the decimal.
func newtons(n int) float64 { return float64(n) / 100 }

// same reports whether two numbers are equal to the bit, except that zero has no sign.
func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// mustRead decodes a file that must not be refused.
func mustRead(t *testing.T, data []byte, o record.Options) (*curve.Recording, *record.Understanding) {
	t.Helper()
	rec, u, err := record.Decode("athlete-1.csv", data, o)
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	return rec, u
}

// compare checks a recording against the rep, bit for bit.
func (r rep) compare(t *testing.T, rec *curve.Recording) {
	t.Helper()
	if rec.RateHz != float64(r.rateHz) {
		t.Errorf("rate %v, want %d", rec.RateHz, r.rateHz)
	}
	if !rec.HasSides() {
		t.Fatal("no sides")
	}
	if len(rec.Left) != len(r.left) || len(rec.Right) != len(r.left) || len(rec.Total) != len(r.left) {
		t.Fatalf("%d left, %d right, %d total samples, want %d", len(rec.Left), len(rec.Right), len(rec.Total), len(r.left))
	}
	for i := range r.left {
		l, ri := newtons(r.left[i]), newtons(r.right[i])
		if !same(rec.Left[i], l) || !same(rec.Right[i], ri) || !same(rec.Total[i], l+ri) {
			t.Fatalf("sample %d: left %v right %v total %v, want %v %v %v", i, rec.Left[i], rec.Right[i], rec.Total[i], l, ri, l+ri)
		}
	}
	if len(rec.Irregular) > 0 {
		t.Errorf("irregular %v", rec.Irregular)
	}
}

// compareTotal checks a recording of one plate against the sum of the rep's sides.
func (r rep) compareTotal(t *testing.T, rec *curve.Recording, want func(i int) float64) {
	t.Helper()
	if rec.RateHz != float64(r.rateHz) || rec.HasSides() || len(rec.Total) != len(r.left) {
		t.Fatalf("rate %v, sides %v, %d samples; want %d, none, %d", rec.RateHz, rec.HasSides(), len(rec.Total), r.rateHz, len(r.left))
	}
	for i := range r.left {
		if !same(rec.Total[i], want(i)) {
			t.Fatalf("sample %d: %v, want %v", i, rec.Total[i], want(i))
		}
	}
}
