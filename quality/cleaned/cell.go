package cleaned

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// A kind is the type of a column, in the words of Table Schema.
type kind string

const (
	kindString   kind = "string"
	kindInteger  kind = "integer"
	kindNumber   kind = "number"
	kindDatetime kind = "datetime"
)

// timeLayout is UTC to the second: the one form of a date and time that all readers of version 1 take.
const timeLayout = "2006-01-02T15:04:05Z"

// A cell is what stands in a row: text, or a number in the digits it is written with.
type cell struct {
	text    string
	numeric bool
}

func text(s string) cell { return cell{text: clean(s)} }

func integer(n int) cell { return cell{strconv.Itoa(n), true} }

// number is a value with the digits given, an empty cell where it is not known.
func number(v float64, decimals int) cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return cell{}
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus nothing
	}
	return cell{s, true}
}

// short is a value in the fewest digits that give it back, after rounding to so many decimals.
func short(v float64, decimals int) cell {
	scale := math.Pow10(decimals)
	if r := math.Round(v*scale) / scale; math.Abs(r) < 1e9 {
		v = r
	}
	return number(v, -1)
}

func instant(t time.Time) cell {
	if t.IsZero() {
		return cell{}
	}
	return cell{text: t.UTC().Format(timeLayout)}
}

// Formulas.
//
// A spreadsheet program runs a cell that begins with = + - or @ as a formula, and text from a file name or a note can
// hold any. Such text gets an apostrophe in front, which these programs take as "this is text". Text that begins with
// apostrophes before one of these gets one more, so that the step can be undone. A semicolon before one of these becomes
// a comma, since a program that cuts at semicolons would begin a cell there.

// guarded returns the text as it is written into CSV.
func guarded(s string) string {
	s = withoutSplits(s)
	if runs(s) {
		return "'" + s
	}
	return s
}

// unguarded is the inverse of guarded but for the semicolons.
func unguarded(s string) string {
	if strings.HasPrefix(s, "'") && runs(s[1:]) {
		return s[1:]
	}
	return s
}

// exposed reports whether a cell as it stands in CSV would run.
func exposed(s string) bool {
	return runs(s) && !strings.HasPrefix(strings.TrimLeft(s, " \t\r\n"), "'")
}

// runs reports whether text, without the apostrophes and blanks before it, begins like a formula.
func runs(s string) bool {
	s = strings.TrimLeft(s, "' \t\r\n\u00a0")
	return s != "" && strings.ContainsRune("=+-@\uff1d\uff0b\uff0d\uff20", []rune(s)[0])
}

func withoutSplits(s string) string {
	if !strings.Contains(s, ";") {
		return s
	}
	parts := strings.Split(s, ";")
	var out strings.Builder
	for i, p := range parts {
		switch {
		case i == 0:
		case runs(strings.TrimLeft(p, "\"")):
			out.WriteByte(',')
		default:
			out.WriteByte(';')
		}
		out.WriteString(p)
	}
	return out.String()
}
