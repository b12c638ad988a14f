package table

import (
	"bytes"
	"fmt"
)

// settle decides between the dialects that read the rows equally well, or says that it cannot.
func settle(text []byte, lines [][]byte, best, second trial, o Options) (Dialect, error) {
	rival := second
	if t, could := tryPaired(lines, best, o); could {
		rival = t
	}
	if 10*rival.rows < 9*best.rows {
		return best.Dialect, nil
	}
	switch {
	case o.Decimal == ',' && rival.Paired && !hasQuotes(lines):
		return rival.Dialect, nil
	case o.Decimal != 0 && o.Delimiter != 0:
		return best.Dialect, nil
	case best.Delimiter == rival.Delimiter && best.Decimal != rival.Decimal && !rival.Paired:
		return settleMark(lines, best, rival)
	case best.Delimiter == Comma && (rival.Paired || rival.Decimal == ',' && rival.Delimiter == Single):
		return settleComma(text, lines, best.Dialect, rival.Dialect, o)
	}
	return best.Dialect, nil
}

// tryPaired tries whether commas that part columns could be decimal marks as well.
func tryPaired(lines [][]byte, best trial, o Options) (trial, bool) {
	if best.Delimiter != Comma || best.Decimal == ',' && o.Decimal != ',' || best.Width%2 != 0 || best.Width < 4 {
		return trial{}, false
	}
	paired := best.Dialect
	paired.Decimal, paired.Paired = ',', true
	t := try(paired, lines)
	return t, t.rows > 0
}

func hasQuotes(lines [][]byte) bool {
	for _, line := range lines {
		if bytes.IndexByte(line, '"') >= 0 {
			return true
		}
	}
	return false
}

// settleMark decides whether one mark parts thousands or decimals, when every number fits both. Numbers that all have
// three decimals are written with a fixed number of decimals; where some numbers of a column have no mark, either
// reading makes sense.
func settleMark(lines [][]byte, best, rival trial) (Dialect, error) {
	plain, other := best, rival
	if best.groups {
		plain, other = rival, best
	}
	marked, bare := make([]bool, plain.Width), make([]bool, plain.Width)
	r := newReader(plain.Dialect)
	for _, line := range lines {
		if isComment(line) || r.line(line) != rowLine || len(r.row) != plain.Width {
			continue
		}
		for c, cell := range r.cells {
			switch {
			case bytes.IndexByte(cell, plain.Decimal) >= 0:
				marked[c] = true
			case r.kinds[c] == number && r.row[c] != 0:
				bare[c] = true
			}
		}
	}
	for c := range marked {
		if marked[c] && bare[c] {
			return Dialect{}, &Ambiguity{
				First:   fmt.Sprintf("%q marks decimals", plain.Decimal),
				Second:  fmt.Sprintf("%q marks thousands", plain.Decimal),
				Setting: fmt.Sprintf("decimal = %q", string(plain.Decimal)),
				Other:   fmt.Sprintf("decimal = %q", string(other.Decimal)),
			}
		}
	}
	return plain.Dialect, nil
}

// settleComma decides whether commas part columns or decimals, when every row fits both. The header decides by the
// number of its names. Without one, a fraction with always the same number of digits, or a whole number that starts
// with a zero, leaves the matter open.
func settleComma(text []byte, lines [][]byte, columns, decimals Dialect, o Options) (Dialect, error) {
	if o.Decimal == '.' {
		return columns, nil
	}
	if start, found := locate(text, columns); found {
		h := headerOf(start.above, columns, edges{})
		if len(h.names) == columns.Width && !h.padded {
			return columns, nil
		}
		if h = headerOf(start.above, decimals, edges{}); len(h.names) == decimals.Width && h.names != nil {
			return decimals, nil
		}
	}
	if !looksPaired(lines, columns) {
		return columns, nil
	}
	return Dialect{}, &Ambiguity{
		First:   columns.String(),
		Second:  decimals.String(),
		Setting: `decimal = "."`,
		Other:   `decimal = ","`,
	}
}

// looksPaired reports whether every second cell could be the decimals of the one before it: always as many digits, or
// digits no whole number starts with.
func looksPaired(lines [][]byte, d Dialect) bool {
	r := newReader(d)
	lengths := make([]int, d.Width)
	for _, line := range lines {
		if isComment(line) || r.line(line) != rowLine || len(r.row) != d.Width {
			continue
		}
		for c, cell := range r.cells {
			cell = trimBlank(cell)
			if len(cell) > 1 && cell[0] == '0' {
				return true
			}
			if lengths[c] == 0 {
				lengths[c] = len(cell)
			}
			if lengths[c] != len(cell) {
				lengths[c] = -1
			}
		}
	}
	for c := 1; c < d.Width; c += 2 {
		if lengths[c] < 0 {
			return false
		}
	}
	return true
}
