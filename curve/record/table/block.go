package table

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// A place is where a block of rows starts.
type place struct {
	pos, line int
	above     []string // the lines above, at most maxKept
}

// locate finds the first run of MinRows rows of the dialect's width. Empty lines and comments do not break a run.
func locate(text []byte, d Dialect) (place, bool) {
	r := newReader(d)
	var start place
	run, number := 0, 0
	limit := min(len(text), maxPreamble)
	for pos := 0; pos < len(text) && (pos < limit || run > 0); {
		line, next, _ := nextLine(text, pos)
		number++
		kind := otherLine
		if !isComment(line) {
			kind = r.line(line)
		} else if run > 0 {
			kind = emptyLine
		}
		switch {
		case kind == rowLine && len(r.row) == d.Width:
			if run == 0 {
				start.pos, start.line = pos, number
			}
			if run++; run >= MinRows {
				return start, true
			}
		case kind == emptyLine && run > 0, kind == missingLine && run > 0:
		default:
			start.keep(text[min(start.pos, pos):pos], run)
			run = 0
			start.keepLine(line)
		}
		pos = next
	}
	return start, false
}

// keep remembers the lines of a run that turned out too short.
func (p *place) keep(lines []byte, run int) {
	for pos := 0; run > 0 && pos < len(lines); {
		line, next, _ := nextLine(lines, pos)
		p.keepLine(line)
		pos = next
	}
}

func (p *place) keepLine(line []byte) {
	if len(p.above) < maxKept && len(line) <= maxLine {
		p.above = append(p.above, string(line))
	}
}

// A shape is what the first rows of a block have in common.
type shape struct {
	rowBytes int // mean length of a row with its line end
	decimals []int
	clock    []bool
	// lastFixed is the number of digits after the mark in the last cell of every row; -1 when it varies or when there
	// are none.
	lastFixed int
}

// profile looks at the first rows of the block.
func profile(text []byte, d Dialect) shape {
	const look = 32
	r := newReader(d)
	s := shape{decimals: make([]int, d.Width), clock: make([]bool, d.Width), lastFixed: -2}
	clocks := make([]int, d.Width)
	rows, bytesSeen := 0, 0
	for pos := 0; pos < len(text) && rows < look && pos < maxPreamble; {
		line, next, ended := nextLine(text, pos)
		if ended && !isComment(line) && r.line(line) == rowLine && len(r.row) == d.Width {
			rows++
			bytesSeen += next - pos
			for c, cell := range r.cells {
				s.decimals[c] = max(s.decimals[c], decimalsOf(cell, d.Decimal))
				if r.kinds[c] == clock {
					clocks[c]++
				}
			}
			if end := r.cells[d.Width-1]; bytes.ContainsAny(end, "eEdD") {
				s.fix(-1) // an exponent may follow what looks complete
			} else {
				s.fix(decimalsOf(end, d.Decimal))
			}
		}
		pos = next
	}
	for c, n := range clocks {
		s.clock[c] = 2*n > rows
	}
	s.rowBytes = bytesSeen / max(rows, 1)
	if s.lastFixed < 1 {
		s.lastFixed = -1
	}
	return s
}

func (s *shape) fix(decimals int) {
	switch s.lastFixed {
	case -2:
		s.lastFixed = decimals
	case decimals:
	default:
		s.lastFixed = -1
	}
}

// decimalsOf counts the digits after the decimal mark; for a time of day, after either mark.
func decimalsOf(cell []byte, mark byte) int {
	i := bytes.IndexByte(cell, mark)
	if i < 0 && bytes.IndexByte(cell, ':') > 0 {
		i = bytes.IndexAny(cell, ".,")
	}
	if i < 0 {
		return 0
	}
	n := 0
	for _, c := range cell[i+1:] {
		if c < '0' || c > '9' {
			break
		}
		n++
	}
	return n
}

// A filler gathers the rows of a block.
type filler struct {
	*reader
	shape

	text    []byte // ends with a line end
	columns [][]float64
	n       int // rows gathered
	most    int // rows at most
	lineNo  int // lines read, those above the block included

	pending  []int    // lines that could not be read since the last row that is sure
	after    []string // the same as text
	sure     int      // rows before the pending lines
	since    int      // rows after the pending lines
	bad      []int
	lastLine int
	second   int
	done     bool
	ends     []byte // what ends the cell of each column
	cellEnds []uint // where the cells of the last row ended, in bits
	slowOnly bool   // no row consists of plain numbers
	byWords  bool   // rows may be read by fastRows
}

func newFiller(text []byte, d Dialect, s shape, start place, maxCells int) *filler {
	f := &filler{reader: newReader(d), shape: s, text: text, lineNo: start.line - 1}
	f.most = maxCells / d.Width
	f.slowOnly = d.Paired || d.Words || slices.Contains(s.clock, true)
	f.byWords = !f.slowOnly && d.Delimiter != Blanks
	f.cellEnds = make([]uint, d.Width)
	f.ends = append(bytes.Repeat([]byte{byte(d.Delimiter)}, d.Width-1), '\n')
	room := len(text)/max(s.rowBytes, 1)*17/16 + 64
	if room > f.most {
		room = MinRows // too many rows, or a few short ones at the top
	}
	cells := make([]float64, room*d.Width)
	for c := range d.Width {
		f.columns = append(f.columns, cells[c*room:(c+1)*room:(c+1)*room])
	}
	return f
}

// fill reads lines until the text or the block ends.
func (f *filler) fill() error {
	tooMany := &Trouble{fmt.Sprintf("it holds more than %d rows of %d columns, too many for a recording of jumps", f.most, f.Width)}
	if len(f.text)/max(f.rowBytes, 1) > f.most+f.most/4 {
		return tooMany // before time is spent on it
	}
	for pos := 0; pos < len(f.text) && !f.done; {
		if f.n == len(f.columns[0]) && !f.grow() {
			return tooMany
		}
		if f.pending == nil && f.byWords {
			if next := f.fastRows(pos); next > pos {
				pos = next
				continue
			}
		}
		if next, ok := f.fastRow(pos); ok {
			pos = next
			f.took()
			continue
		}
		line, next, _ := nextLine(f.text, pos)
		pos = next
		f.slow(line)
	}
	f.finish()
	return nil
}

func (f *filler) grow() bool {
	have := len(f.columns[0])
	if have >= f.most {
		return false
	}
	for c, old := range f.columns {
		f.columns[c] = append(make([]float64, 0, min(have+have/2+64, f.most)), old...)
		f.columns[c] = f.columns[c][:cap(f.columns[c])]
	}
	return true
}

// fastRows reads rows at f.text[pos:] for as long as every number in them has a mark and ends within eight bytes, and
// returns where the next line starts. It does what fastRow does, with what scanner.fast does written out in its loop.
func (f *filler) fastRows(pos int) int {
	text, n, mark, room := f.text, f.n, f.scan.mark, len(f.columns[0])
	columns, ends, cellEnds, power := f.columns, f.ends[:f.Width], f.cellEnds[:f.Width], &f.scan.power
	far := len(text) - 16*f.Width // a row of short numbers and a word behind it
	for ; n < room && pos < far; n++ {
		p := pos
		for c := range ends {
			negative := text[p] == '-'
			if negative {
				p++
			}
			x := binary.LittleEndian.Uint64(text[p:]) ^ '0'*eachByte
			others := (x&^highBits + (0x7f-9)*eachByte | x) & highBits
			at := uint(bits.TrailingZeros64(others)) & 56
			rest := others & (others - 1)
			end := uint(bits.TrailingZeros64(rest)) & 56
			if rest == 0 || end == 8 || byte(x>>at)^'0' != mark {
				return f.tookMany(n, pos)
			}
			if end != cellEnds[c] {
				cellEnds[c] = end // mostly where it was in the row before: the processor goes on before it knows
			}
			p += int(cellEnds[c]/8) + 1
			if b := byte(x>>end) ^ '0'; b != ends[c] {
				if b != '\r' || ends[c] != '\n' || text[p] != '\n' {
					return f.tookMany(n, pos)
				}
				p++
			}
			v := float64(wordDigits(x, at, end)) / power[(end-at)/8-1]
			if negative {
				v = -v
			}
			columns[c][n] = v
		}
		pos = p
	}
	return f.tookMany(n, pos)
}

// tookMany counts the rows up to n, which end before pos.
func (f *filler) tookMany(n, pos int) int {
	f.lineNo += n - f.n
	if n > f.n {
		f.n, f.lastLine = n, f.lineNo
	}
	return pos
}

// fastRow reads a row of plain numbers at f.text[pos:] into row f.n of the columns. It is not ok on anything else, and
// then leaves nothing behind that is looked at.
func (f *filler) fastRow(pos int) (next int, ok bool) {
	text := f.text
	if f.slowOnly {
		return pos, false
	}
	for c := range f.columns {
		for f.isGap(text[pos]) {
			pos++
		}
		v, end, good := f.scan.fast(text, pos)
		if !good {
			if end != pos || f.Delimiter == Blanks || c == 0 {
				return pos, false
			}
			v = math.NaN() // an empty cell
		}
		b := text[end]
		pos = end + 1
		switch {
		case b == f.ends[c], b == '\t' && f.ends[c] == byte(Blanks):
		case b == '\r' && f.ends[c] == '\n':
			if pos < len(text) && text[pos] == '\n' {
				pos++
			}
		default:
			return pos, false
		}
		f.columns[c][f.n] = v
	}
	return pos, true
}

// isGap reports whether a byte may stand before a number.
func (f *filler) isGap(b byte) bool { return b == ' ' || f.Delimiter == Blanks && b == '\t' }

// took counts the row just written.
func (f *filler) took() {
	f.n++
	f.lineNo++
	if f.pending == nil {
		f.lastLine = f.lineNo
		return
	}
	if f.since++; f.since < MinRows {
		return
	}
	if len(f.pending) > maxBadLines {
		f.second = f.lineNo - f.since + 1
		f.n, f.done = f.sure, true
		return
	}
	f.bad = append(f.bad, f.pending...)
	f.pending, f.after, f.since, f.lastLine = nil, nil, 0, f.lineNo
}

// slow reads a line that is not a row of plain numbers.
func (f *filler) slow(line []byte) {
	kind := emptyLine
	if !isComment(line) {
		kind = f.line(line)
	}
	switch {
	case kind == emptyLine:
		f.lineNo++
	case (kind == rowLine || kind == missingLine) && len(f.row) == f.Width && f.clocksMatch():
		for c, v := range f.row {
			f.columns[c][f.n] = v
		}
		f.took()
	default:
		f.lineNo++
		f.other(line)
	}
}

func (f *filler) clocksMatch() bool {
	for c, kind := range f.kinds {
		if kind != missing && kind != notNumber && (kind == clock) != f.clock[c] {
			return false
		}
	}
	return true
}

// other takes note of a line that is no row. It leaves a row of NaN in its place, which is taken back when no block
// follows.
func (f *filler) other(line []byte) {
	const farBelow = 10000
	if f.pending == nil {
		f.sure = f.n
	}
	if f.since > 0 || len(f.pending) > farBelow {
		f.n, f.done = f.sure, true
		f.keepAfter(line)
		return
	}
	f.pending = append(f.pending, f.lineNo)
	f.keepAfter(line)
	if len(f.pending) <= maxBadLines {
		for _, column := range f.columns {
			column[f.n] = math.NaN()
		}
		f.n++
	}
}

func (f *filler) keepAfter(line []byte) {
	if len(f.after) < maxKept && len(line) < maxLine {
		f.after = append(f.after, string(line))
	}
}

// finish takes back what came after the last row that is sure, and rows at the end that hold nothing.
func (f *filler) finish() {
	if f.pending != nil {
		f.n = f.sure
	}
	for f.n > 0 && f.allMissing(f.n-1) {
		f.n--
	}
	for c := range f.columns {
		f.columns[c] = f.columns[c][:f.n]
	}
}

func (f *filler) allMissing(i int) bool {
	for _, column := range f.columns {
		if !math.IsNaN(column[i]) {
			return false
		}
	}
	return true
}
