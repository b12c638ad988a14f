package table

import (
	"bytes"
	"fmt"
	"math"
)

// A Dialect is how rows of numbers are written.
type Dialect struct {
	Delimiter Delimiter
	// Decimal is '.' or ','.
	Decimal byte
	// Width is the number of cells in a row.
	Width int
	// Paired tells that the decimal comma is the delimiter as well, so that a number takes two cells.
	Paired bool
	// Words tells that some columns hold words; their cells are NaN.
	Words bool
}

// String describes the dialect in words.
func (d Dialect) String() string {
	mark := "decimal point"
	if d.Decimal == ',' {
		mark = "decimal comma"
	}
	columns := "columns"
	if d.Width == 1 {
		columns = "column"
	}
	if d.Delimiter == Single {
		return fmt.Sprintf("%d column with %s", d.Width, mark)
	}
	return fmt.Sprintf("%d %s parted by %s with %s", d.Width, columns, d.Delimiter, mark)
}

// candidates returns the dialects to try, the more telling delimiters first.
func candidates(o Options) []Dialect {
	var out []Dialect
	for _, d := range []Delimiter{Tab, Semicolon, Comma, Bar, Blanks, Single} {
		for _, mark := range []byte{'.', ','} {
			if (o.Delimiter != 0 && d != o.Delimiter) || (o.Decimal != 0 && mark != o.Decimal) {
				continue
			}
			out = append(out, Dialect{Delimiter: d, Decimal: mark})
		}
	}
	return out
}

// A reader reads lines in one dialect.
type reader struct {
	Dialect

	scan    scanner
	cells   [][]byte
	kinds   []cellKind
	row     []float64
	numbers int // cells of the last row that are numbers
	// anyGroup tells that some number had thousands marks.
	anyGroup bool
}

func newReader(d Dialect) *reader { return &reader{Dialect: d, scan: newScanner(d.Decimal)} }

// A lineKind is what a line turned out to be.
type lineKind uint8

const (
	otherLine lineKind = iota
	emptyLine
	rowLine
	missingLine // cells, all of them missing
)

// line reads one line. For a row, r.row and r.kinds hold its cells.
func (r *reader) line(line []byte) lineKind {
	if len(line) > maxLine {
		return otherLine
	}
	if len(trimBlank(line)) == 0 {
		return emptyLine
	}
	r.cells = split(line, r.Delimiter, r.cells[:0])
	if r.Paired && !r.join() || len(r.cells) > maxColumns {
		return otherLine
	}
	r.row, r.kinds = r.row[:0], r.kinds[:0]
	var count [clock + 1]int
	for _, c := range r.cells {
		v, kind := r.scan.cell(c)
		if kind == notNumber {
			if !r.Words {
				return otherLine
			}
			v = math.NaN()
		}
		count[kind]++
		r.row, r.kinds = append(r.row, v), append(r.kinds, kind)
	}
	r.numbers = count[number] + count[grouped] + count[clock]
	switch {
	case count[notNumber] > 0 && r.numbers < 2: // a word and a number under each other are many things
		return otherLine
	case r.numbers == 0:
		return missingLine
	}
	r.anyGroup = r.anyGroup || count[grouped] > 0
	return rowLine
}

// join puts the cells of a paired dialect together by two: whole part and fraction.
func (r *reader) join() bool {
	if len(r.cells)%2 != 0 {
		return false
	}
	joined := make([][]byte, 0, len(r.cells)/2)
	for i := 0; i < len(r.cells); i += 2 {
		whole, fraction := r.cells[i], r.cells[i+1]
		if len(whole) == 0 || len(fraction) == 0 || !allDigits(string(fraction)) {
			return false
		}
		joined = append(joined, append(append(append([]byte{}, whole...), ','), fraction...))
	}
	r.cells = joined
	return true
}

// A trial is how a candidate did on sample lines.
type trial struct {
	Dialect

	rows    int
	groups  bool
	numbers int // numbers in all rows together
}

// try counts the rows of the commonest width that a dialect finds among lines.
func try(d Dialect, lines [][]byte) trial {
	r := newReader(d)
	widths := map[int]int{}
	best := trial{Dialect: d}
	for _, line := range lines {
		if isComment(line) || r.line(line) != rowLine {
			continue
		}
		w := len(r.row)
		widths[w]++
		best.numbers += r.numbers
		if widths[w] > best.rows {
			best.rows, best.Width = widths[w], w
		}
	}
	best.groups = r.anyGroup
	return best
}

// detect finds the dialect of the rows among lines.
func detect(lines [][]byte, o Options) (best, second trial) {
	if best, second = detectAmong(lines, o, false); best.rows == 0 {
		best, second = detectAmong(lines, o, true)
	}
	return best, second
}

// detectAmong tries all dialects, with words beside the numbers or without.
func detectAmong(lines [][]byte, o Options, words bool) (best, second trial) {
	has := bytesIn(lines)
	for _, d := range candidates(o) {
		if !d.Delimiter.isIn(has) || d.Decimal == ',' && !has[','] && !has['.'] && o.Decimal == 0 {
			continue // the same reading as without
		}
		d.Words = words
		t := try(d, lines)
		if t.Width == 1 && d.Delimiter != Single && (o.Delimiter == 0 || t.rows == 0) {
			continue // one cell: no delimiter to tell
		}
		if better(t, best) {
			t, best = best, t
		}
		if t.rows > 0 && better(t, second) && !sameReading(t, best, lines) {
			second = t
		}
	}
	return best, second
}

// bytesIn tells which bytes lines hold.
func bytesIn(lines [][]byte) *[256]bool {
	var has [256]bool
	for _, line := range lines {
		for _, c := range line {
			has[c] = true
		}
	}
	return &has
}

// isIn reports whether a delimiter is among bytes; no delimiter always is.
func (d Delimiter) isIn(has *[256]bool) bool {
	return d == Single || has[byte(d)] || d == Blanks && has['\t']
}

// better prefers more rows, then rows without thousands marks, then the candidate that came first. With words among the
// numbers, more numbers are better.
func better(a, b trial) bool {
	if a.Words && a.numbers != b.numbers {
		return a.numbers > b.numbers
	}
	if a.rows != b.rows {
		return a.rows > b.rows
	}
	return b.rows > 0 && !a.groups && b.groups
}

// sameReading reports whether two dialects give the same numbers on lines.
func sameReading(a, b trial, lines [][]byte) bool {
	if a.Width != b.Width {
		return false
	}
	ra, rb := newReader(a.Dialect), newReader(b.Dialect)
	for _, line := range lines {
		if ra.line(line) != rowLine || rb.line(line) != rowLine {
			continue
		}
		if len(ra.row) != len(rb.row) {
			return false
		}
		for i, v := range ra.row {
			if v != rb.row[i] && (v == v || rb.row[i] == rb.row[i]) { // NaN equals NaN here
				return false
			}
		}
	}
	return true
}

// fewLines is how many lines are tried first in a text that is not short.
const fewLines = 25

// sample returns whole lines to try dialects on: all of a short text, else a few from all over.
func sample(text []byte) [][]byte {
	const short, places = 8 << 10, 5
	if len(text) <= short {
		return linesFrom(text, 0, 2000)
	}
	return linesFromPlaces(text, places, fewLines/places)
}

// spread returns lines from all parts of the text, for a closer look.
func spread(text []byte) [][]byte {
	const parts, each = 16, 250
	if len(text) < 256<<10 {
		return linesFrom(text, 0, 20000)
	}
	return linesFromPlaces(text, parts, each)
}

// linesFromPlaces returns lines from evenly spaced places, none of them at the edges.
func linesFromPlaces(text []byte, places, each int) [][]byte {
	var out [][]byte
	for i := range places {
		from := len(text) / (2 * places) * (2*i + 1)
		if end := bytes.IndexAny(text[from:min(len(text), from+maxLine)], "\r\n"); end >= 0 {
			from += end
		}
		out = append(out, linesFrom(text, from, each)...)
	}
	return out
}

// linesFrom returns up to n lines that are not empty, from a place in the text on. A line without an end is left out.
func linesFrom(text []byte, pos, n int) [][]byte {
	var out [][]byte
	for seen := 0; pos < len(text) && len(out) < n && seen < 4*n; seen++ {
		line, next, ended := nextLine(text, pos)
		if !ended || len(line) > maxLine {
			if !ended && len(out) == 0 && len(line) <= maxLine {
				out = append(out, line)
			}
			break
		}
		if len(line) > 0 {
			out = append(out, line)
		}
		pos = next
	}
	return out
}
