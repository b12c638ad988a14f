package table

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// slow is the plain way to read what the fast way reads: the twin it must be equal to.
func slow(text string) (float64, bool) {
	digits := strings.TrimPrefix(text, "-")
	if strings.Trim(digits, "0123456789.") != "" || strings.Count(digits, ".") > 1 || strings.Trim(digits, ".") == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

func checkNumber(t *testing.T, text string) {
	t.Helper()
	for _, mark := range []byte{'.', ','} {
		s := newScanner(mark)
		written := strings.ReplaceAll(text, ".", string(rune(mark)))
		want, plain := slow(text)
		got, next, ok := s.fast([]byte(written+"\n"), 0)
		if ok && next == len(written) {
			if !plain || math.Float64bits(got) != math.Float64bits(want) {
				t.Fatalf("fast %q is %v, strconv says %v, %v", written, got, want, plain)
			}
		}
		v, kind := s.cell([]byte(written))
		if plain && len(written) <= 64 && (kind != number || math.Float64bits(v) != math.Float64bits(want)) {
			t.Fatalf("cell %q is %v (%v), strconv says %v", written, v, kind, want)
		}
	}
}

// The fast way is bit for bit that of strconv, over random decimals of all lengths.
func TestNumbersEqualStrconv(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 2))
	for range 400_000 {
		digits, k := 1+rng.IntN(21), rng.IntN(24)
		var b strings.Builder
		if rng.IntN(2) == 0 {
			b.WriteByte('-')
		}
		for i := range digits {
			if i == digits-k {
				b.WriteByte('.')
			}
			b.WriteByte(byte('0' + rng.IntN(10)))
		}
		checkNumber(t, b.String())
	}
	for _, text := range []string{
		"0", "-0", "0.0", "-0.00", ".5", "5.", "-.5", "9007199254740992", "9007199254740993", "0.9007199254740993",
		"1e5", "-", ".", "", "1.2.3", "0.00000000000000000000001", "18446744073709551615", "18446744073709551616",
		"99999999999999999999", "0.1", "0.3", "123456789.123456789", "2.2250738585072014", "4503599627370496.5",
	} {
		checkNumber(t, text)
	}
}

func FuzzNumber(f *testing.F) {
	for _, text := range []string{"0.1", "-12.50", "123456789012345678901", "1.", ".", "-", "1,5", "9007199254740993.5"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.ContainsAny(text, "\n") || len(text) > 100 {
			return
		}
		checkNumber(t, strings.ReplaceAll(text, ",", "."))
	})
}

// What is in a cell, and what it is worth.
func TestCells(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		mark byte
		text string
		kind cellKind
		want float64
	}{
		{'.', "1.5", number, 1.5},
		{'.', " +1.5 ", number, 1.5},
		{'.', "\u22121.5", number, -1.5},
		{'.', "1.5e-3", number, 1.5e-3},
		{'.', "1.5D+03", number, 1500},
		{',', "1,5E2", number, 150},
		{'.', "1e999", number, math.NaN()},
		{'.', "1,234.5", grouped, 1234.5},
		{',', "1.234,5", grouped, 1234.5},
		{',', "-12 345,25", grouped, -12345.25},
		{'.', "1'234'567", grouped, 1234567},
		{'.', "0,234.5", notNumber, 0},
		{'.', "12,34.5", notNumber, 0},
		{'.', "1,234,56", notNumber, 0},
		{'.', "1,5", notNumber, 0},
		{'.', "0x10", notNumber, 0},
		{'.', "1_000", notNumber, 0},
		{'.', "1e", notNumber, 0},
		{'.', "1.2.3", notNumber, 0},
		{'.', "--5", notNumber, 0},
		{'.', "5-", notNumber, 0},
		{'.', "12N", notNumber, 0},
		{'.', "", missing, 0},
		{'.', " ", missing, 0},
		{'.', "NaN", missing, 0},
		{'.', "-inf", missing, 0},
		{'.', "#N/A", missing, 0},
		{'.', "01:02:03.5", clock, 3723.5},
		{'.', "00:00:00,001", clock, 0.001},
		{'.', "02:03.25", clock, 123.25},
		{'.', "2026-03-01T00:00:01.5Z", clock, 1.5},
		{'.', "12:30", notNumber, 0},
		{'.', "12:61:00", notNumber, 0},
		{'.', "03/04/2026", notNumber, 0},
	} {
		s := newScanner(c.mark)
		v, kind := s.cell([]byte(c.text))
		bad := kind == number || kind == grouped || kind == clock
		if kind != c.kind || bad && v != c.want && !(math.IsNaN(v) && math.IsNaN(c.want)) {
			t.Errorf("%q with %q is %v of kind %d, want %v of kind %d", c.text, c.mark, v, kind, c.want, c.kind)
		}
	}
}

// rowsSlowly reads rows the plain way: split, strconv.
func rowsSlowly(text, delimiter string) [][]float64 {
	var out [][]float64
	for line := range strings.SplitSeq(text, "\n") {
		if strings.TrimSpace(line) == "" {
			continue
		}
		for c, cell := range strings.Split(line, delimiter) {
			v, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
			if err != nil {
				v = math.NaN()
			}
			if c == len(out) {
				out = append(out, nil)
			}
			out[c] = append(out[c], v)
		}
	}
	return out
}

// The fast loop over rows gives what splitting and strconv give.
func TestRowsEqualSlowTwin(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	for _, delimiter := range []string{",", ";", "\t", "|"} {
		var b strings.Builder
		for i := range 3000 {
			cells := []string{
				fmt.Sprintf("%.3f", float64(i)/1000), fmt.Sprintf("%.*f", rng.IntN(8), rng.NormFloat64()*1000),
				strconv.FormatFloat(rng.NormFloat64()*1000, 'g', -1, 64), fmt.Sprint(rng.IntN(2000) - 1000),
			}
			if rng.IntN(50) == 0 {
				cells[1+rng.IntN(3)] = ""
			}
			if rng.IntN(50) == 0 {
				cells[1+rng.IntN(3)] = fmt.Sprintf("%.7e", rng.NormFloat64())
			}
			b.WriteString(strings.Join(cells, delimiter) + "\n")
		}
		table, err := Decode([]byte(b.String()), Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := rowsSlowly(b.String(), delimiter)
		if len(table.Columns) != len(want) || table.Rows() != len(want[0]) {
			t.Fatalf("%q: %d columns of %d, want %d of %d", delimiter, len(table.Columns), table.Rows(), len(want), len(want[0]))
		}
		for c := range want {
			for i, v := range want[c] {
				if got := table.Columns[c][i]; math.Float64bits(got) != math.Float64bits(v) && !(math.IsNaN(got) && math.IsNaN(v)) {
					t.Fatalf("%q: column %d row %d is %v, want %v", delimiter, c, i, got, v)
				}
			}
		}
	}
}
