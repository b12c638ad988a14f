package table

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// A scanner reads numbers written with one decimal mark.
//
// The fast way gathers the digits in one integer m and returns m / 10^k, k being the digits after the mark. Both are
// exact in a float64 when m <= 2^53 and k <= 22, so the one division is correctly rounded and the result is bit for bit
// that of strconv.ParseFloat (Clinger, "How to read floating point numbers accurately", PLDI 1990). Everything else
// goes the slow way.
type scanner struct {
	mark  byte
	power [23]float64
}

func newScanner(mark byte) scanner {
	s := scanner{mark: mark}
	p := 1.0
	for i := range s.power {
		s.power[i] = p
		p *= 10 // exact up to 10^22
	}
	return s
}

// Bytes of a word, eight at a time.
const (
	eachByte = 0x0101010101010101
	highBits = 0x80 * eachByte
)

// fast reads the number at text[p:] and returns where it ends. It is not ok when the number is not plain digits with at
// most one mark. The text must hold a byte that is neither digit nor mark somewhere after p.
//
// Numbers that end within eight bytes, as nearly all do, are read as one word: the first byte that is no digit is the
// mark, the second the end; the digits on both sides of the mark are pushed together and turned into a number by three
// multiplications.
func (s *scanner) fast(text []byte, p int) (v float64, next int, ok bool) {
	start := p
	if text[p] == '-' {
		p++
	}
	if p+8 > len(text) {
		return s.steady(text, start)
	}
	x := binary.LittleEndian.Uint64(text[p:]) ^ '0'*eachByte // digits become 0 to 9
	others := (x&^highBits + (0x7f-9)*eachByte | x) & highBits
	at := uint(bits.TrailingZeros64(others)) &^ 7 // in bits
	if others == 0 || byte(x>>at)^'0' != s.mark {
		return s.steady(text, start)
	}
	others &= others - 1
	end := uint(bits.TrailingZeros64(others)) &^ 7
	if others == 0 || end == 8 {
		return s.steady(text, start)
	}
	v = float64(wordDigits(x, at, end)) / s.power[(end-at)/8-1]
	if p != start {
		v = -v
	}
	return v, p + int(end/8), true
}

// wordDigits returns the number that the digits of a word make, those before bit at and those from the byte after it up to
// bit end.
func wordDigits(x uint64, at, end uint) uint64 {
	digits := (x&(1<<(at&63)-1) | x>>8>>(at&63)<<(at&63)) << ((72 - end) & 63)
	digits = digits*10 + digits>>8
	return (digits&0x000000ff000000ff*(100+1000000<<32) + digits>>16&0x000000ff000000ff*(1+10000<<32)) >> 32
}

// steady reads a number digit by digit.
func (s *scanner) steady(text []byte, p int) (v float64, next int, ok bool) {
	negative := text[p] == '-'
	if negative {
		p++
	}
	start := p
	var m uint64
	for d := text[p] - '0'; d <= 9; d = text[p] - '0' {
		m = m*10 + uint64(d)
		p++
	}
	digits, k := p-start, 0
	if text[p] == s.mark {
		p++
		first := p
		for d := text[p] - '0'; d <= 9; d = text[p] - '0' {
			m = m*10 + uint64(d)
			p++
		}
		k = p - first
		digits += k
	}
	if digits == 0 || digits > 19 || m > 1<<53 || k > 22 {
		return 0, p, false
	}
	v = float64(m) / s.power[k]
	if negative {
		v = -v
	}
	return v, p, true
}

// A cellKind is what a cell turned out to be.
type cellKind uint8

const (
	notNumber cellKind = iota
	number
	grouped // a number with thousands marks
	missing
	clock
)

// cell reads one cell the slow way: blanks around it, a plus or a typographic minus, thousands marks, an exponent, the
// usual words for a missing value, a time of day. The value of a missing or infinite cell is NaN.
func (s *scanner) cell(c []byte) (float64, cellKind) {
	c = trimBlank(c)
	if len(c) == 0 {
		return math.NaN(), missing
	}
	if len(c) > 64 {
		return 0, notNumber
	}
	if v, ok := s.plain(c); ok {
		return v, number
	}
	if isMissing(c) {
		return math.NaN(), missing
	}
	if v, ok := clockSeconds(c); ok {
		return v, clock
	}
	if v, ok := s.grouped(c); ok {
		return v, grouped
	}
	return 0, notNumber
}

// plain reads sign, digits, mark, digits, exponent.
func (s *scanner) plain(c []byte) (float64, bool) {
	var buf [72]byte
	out := buf[:0]
	if rest, found := bytes.CutPrefix(c, []byte("\u2212")); found {
		out, c = append(out, '-'), rest
	} else if len(c) > 0 && (c[0] == '-' || c[0] == '+') {
		out, c = append(out, c[0]), c[1:]
	}
	digits, marks, i := 0, 0, 0
	for ; i < len(c); i++ {
		if c[i] == s.mark {
			marks++
			out = append(out, '.')
			continue
		}
		if c[i] < '0' || c[i] > '9' {
			break
		}
		digits++
		out = append(out, c[i])
	}
	if digits == 0 || marks > 1 {
		return 0, false
	}
	if i < len(c) {
		if !isExponent(c[i:]) {
			return 0, false
		}
		out = append(append(out, 'e'), c[i+1:]...)
	}
	return finite(out)
}

// isExponent reports whether c is an exponent of at most four digits, after E or the D of Fortran.
func isExponent(c []byte) bool {
	if bytes.IndexByte([]byte("eEdD"), c[0]) < 0 {
		return false
	}
	digits := bytes.TrimLeft(c[1:], "+-")
	return len(c)-len(digits) <= 2 && len(digits) > 0 && len(digits) <= 4 && allDigits(string(digits))
}

// finite parses c; a number too large for a float64 becomes NaN.
func finite(c []byte) (float64, bool) {
	v, err := strconv.ParseFloat(string(c), 64)
	if err != nil && !math.IsInf(v, 0) {
		return 0, false
	}
	if math.IsInf(v, 0) {
		return math.NaN(), true
	}
	return v, true
}

// grouped reads a number with thousands marks: a first group of one to three digits that is not 0, groups of exactly
// three, and perhaps a fraction. The mark is the same throughout and is not the decimal mark.
func (s *scanner) grouped(c []byte) (float64, bool) {
	if len(c) < 5 || len(c) >= 2 && c[0] == '0' { // 1,000 is the shortest; none starts with 0
		return 0, false
	}
	text := string(c)
	sign := ""
	for _, mark := range []string{"-", "+", "\u2212"} {
		if rest, found := strings.CutPrefix(text, mark); found {
			text, sign = rest, strings.Replace(mark, "\u2212", "-", 1)
			break
		}
	}
	whole, fraction, hasFraction := strings.Cut(text, string(rune(s.mark)))
	for _, mark := range []string{".", ",", "'", "\u2019", " ", "\u00a0", "\u202f", "\u2009"} {
		if mark == string(rune(s.mark)) || !strings.Contains(whole, mark) {
			continue
		}
		groups := strings.Split(whole, mark)
		if !goodGroups(groups) || !allDigits(fraction) {
			return 0, false
		}
		out := sign + strings.Join(groups, "")
		if hasFraction {
			out += "." + fraction
		}
		return finite([]byte(out))
	}
	return 0, false
}

func goodGroups(groups []string) bool {
	first := groups[0]
	if first == "" || len(first) > 3 || first[0] == '0' || !allDigits(first) {
		return false
	}
	for _, g := range groups[1:] {
		if len(g) != 3 || !allDigits(g) {
			return false
		}
	}
	return true
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// isMissing knows the words that programs write for a value that is not there.
func isMissing(c []byte) bool {
	if len(c) > 9 || len(c) > 2 && c[0] >= '0' && c[0] <= '9' && c[0] != '1' {
		return false
	}
	switch strings.ToLower(strings.TrimLeft(string(c), "+-")) {
	case "", "nan", "na", "n/a", "n.a.", "#n/a", "#na", "#nv", "#div/0!",
		"#value!", "#wert!", "#num!", "#zahl!", "#ref!", "null", "nil", "none", "inf", "infinity", "nd", "?", ".",
		"1.#qnan", "1.#ind", "1.#inf", "1.#snan", "1,#qnan", "1,#ind", "1,#inf", "nan(ind)", "\u2014", "\u2013":
		return true
	}
	return false
}

// trimBlank trims blanks, the ones of typographers too.
func trimBlank(c []byte) []byte {
	if len(c) > 0 && c[0] > ' ' && c[0] < 0x80 && c[len(c)-1] > ' ' && c[len(c)-1] < 0x80 {
		return c
	}
	return bytes.Trim(c, " \t\u00a0\u202f\u2009\v\f")
}

// clockSeconds reads a time of day, hh:mm:ss or mm:ss with a fraction after . or , and perhaps an ISO 8601 date before
// and a Z after; it returns seconds since midnight.
func clockSeconds(c []byte) (float64, bool) {
	if bytes.IndexByte(c, ':') < 1 {
		return 0, false
	}
	text := strings.TrimSuffix(withoutDate(string(c)), "Z")
	parts := strings.Split(text, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, false
	}
	last := len(parts) - 1
	whole, fraction, found := strings.Cut(strings.Replace(parts[last], ",", ".", 1), ".")
	if found && fraction == "" || !allDigits(fraction) || len(parts) == 2 && !found {
		return 0, false // hours and minutes alone are no clock for samples
	}
	parts[last] = whole
	seconds := 0
	for i, p := range parts {
		n, err := strconv.ParseUint(p, 10, 7) // no sign, below 128
		if err != nil || len(p) > 2 || i > 0 && (len(p) != 2 || n > 59) {
			return 0, false
		}
		seconds = seconds*60 + int(n)
	}
	// One number with all digits, so that the sum is not rounded twice.
	v, err := strconv.ParseFloat(strconv.Itoa(seconds)+"."+fraction+"0", 64)
	return v, err == nil
}

// withoutDate takes an ISO 8601 date off the front.
func withoutDate(text string) string {
	if len(text) > 11 && text[4] == '-' && text[7] == '-' && (text[10] == 'T' || text[10] == ' ') &&
		allDigits(text[:4]+text[5:7]+text[8:10]) {
		return text[11:]
	}
	return text
}
