package table

import (
	"bytes"
	"fmt"
	"math"
	"slices"
)

// Decode finds and reads the block of numbers in text, which must be UTF-8 (see Text). The error is a *Trouble or an
// *Ambiguity.
func Decode(text []byte, o Options) (*Table, error) {
	if err := Plausible(text); err != nil {
		return nil, err
	}
	t, sure, err := decodeAs(text, o, sample(text))
	if err == nil && sure {
		return t, nil
	}
	// Lines that did not fit, or thousands marks, came up: the few lines that were looked at may not tell all.
	t, _, err = decodeAs(text, o, spread(text))
	return t, err
}

// decodeAs decides by some lines how the rows are written, and reads them. It is not sure when rows came up that these
// lines did not foresee.
func decodeAs(text []byte, o Options, lines [][]byte) (t *Table, sure bool, err error) {
	d, second, err := dialectOf(text, o, lines)
	if err != nil {
		return nil, false, err
	}
	start, found := locate(text, d)
	if !found {
		return nil, false, &Trouble{fmt.Sprintf("it holds no run of %d rows of numbers", MinRows)}
	}
	t = &Table{Dialect: d, RunnerUp: second, FirstLine: start.line}
	h := headerOf(start.above, d, edgesOf(text[start.pos:], d))
	t.Names, t.Units, t.HeaderLine, t.Before = h.names, h.units, h.line, h.before
	grouped, err := t.read(text[start.pos:], start, o)
	if err != nil {
		return nil, false, err
	}
	t.trim()
	t.Dialect.Width = len(t.Columns)
	return t, !grouped && !t.surprises() && len(t.BadLines) == 0 && t.SecondBlock == 0 && len(t.After) == 0 && !t.CutShort, nil
}

// surprises reports whether a column whose first rows are whole numbers has others later: their mark may be one of
// thousands.
func (t *Table) surprises() bool {
	for c, decimals := range t.Decimals {
		if decimals == 0 && !t.Clock[c] && slices.ContainsFunc(t.Columns[c], func(v float64) bool { return v != math.Trunc(v) && v == v }) {
			return true
		}
	}
	return false
}

// Plausible reports why the head of a text cannot hold a table, nil when it can. It looks at no more than the first
// megabyte, so that a large file can be refused before all of it is read.
func Plausible(text []byte) error {
	head := text[:min(len(text), maxPreamble)]
	switch {
	case len(head) == 0:
		return &Trouble{"it is empty"}
	case isBinary(head):
		return &Trouble{"it is not text: it holds bytes that no text has"}
	case len(head) == maxPreamble && !bytes.ContainsAny(head, "\r\n"):
		return &Trouble{"its first megabyte is one line"}
	}
	return nil
}

// dialectOf decides how the rows are written.
func dialectOf(text []byte, o Options, lines [][]byte) (Dialect, *Dialect, error) {
	best, second := detect(lines, o)
	if 2*best.rows < len(lines) || 10*second.rows >= 9*best.rows || best.groups {
		lines = spread(text)
		best, second = detect(lines, o)
	}
	if best.rows == 0 {
		return Dialect{}, nil, &Trouble{wordless(lines)}
	}
	d, err := settle(text, lines, best, second, o)
	if err != nil {
		return Dialect{}, nil, err
	}
	if second.rows > 0 && second.Dialect != d {
		return d, &second.Dialect, nil
	}
	return d, nil, nil
}

// wordless says in words what is there instead of numbers.
func wordless(lines [][]byte) string {
	for _, line := range lines {
		for _, d := range []Delimiter{Tab, Semicolon, Comma, Bar} {
			if len(split(line, d, nil)) > maxColumns {
				return fmt.Sprintf("its lines hold more than %d cells", maxColumns)
			}
		}
	}
	return "no line of it consists of numbers alone"
}

// read gathers the rows at text, which starts with the block's first row. It tells whether some number had thousands
// marks.
func (t *Table) read(text []byte, start place, o Options) (grouped bool, err error) {
	s := profile(text, t.Dialect)
	body, tail := text, []byte(nil)
	if end := bytes.LastIndexAny(text, "\r\n"); end < len(text)-1 {
		body, tail = text[:end+1], text[end+1:]
	}
	maxCells := o.MaxCells
	if maxCells == 0 {
		maxCells = DefaultMaxCells
	}
	f := newFiller(body, t.Dialect, s, start, maxCells)
	if err := f.fill(); err != nil {
		return false, err
	}
	t.Columns, t.Decimals, t.Clock = f.columns, s.decimals, s.clock
	t.BadLines, t.SecondBlock, t.LastLine, t.After = f.bad, f.second, f.lastLine, f.after
	if len(tail) > 0 {
		t.takeTail(f, tail)
	}
	if t.Rows() < MinRows {
		return false, &Trouble{fmt.Sprintf("it holds %d rows of numbers, fewer than %d", t.Rows(), MinRows)}
	}
	return f.anyGroup, nil
}

// takeTail takes a last line without a line end as a row only when its last number must be complete: every row ends
// with the same number of decimals, and so does this one. Otherwise digits may be missing.
func (t *Table) takeTail(f *filler, tail []byte) {
	isRow := f.pending == nil && f.line(tail) == rowLine && len(f.row) == f.Width && f.clocksMatch()
	switch {
	case isRow && f.lastFixed > 0 && decimalsOf(f.cells[f.Width-1], f.Decimal) == f.lastFixed &&
		!bytes.ContainsAny(f.cells[f.Width-1], "eEdD") && !f.Paired:
		for c, v := range f.row {
			t.Columns[c] = append(t.Columns[c], v)
		}
		t.LastLine = f.lineNo + 1
	case isRow || bytes.IndexAny(tail[:1], "0123456789-+.\"") == 0:
		t.CutShort = true
	case len(trimBlank(tail)) > 0:
		t.After = append(t.After, string(tail))
	}
}

// trim drops columns at the right that hold nothing and have no name: they come from a delimiter at the line's end.
func (t *Table) trim() {
	for last := len(t.Columns) - 1; last > 0; last-- {
		if t.Names != nil && t.Names[last] != "" {
			return
		}
		if slices.ContainsFunc(t.Columns[last], func(v float64) bool { return !math.IsNaN(v) }) {
			return
		}
		t.Columns, t.Decimals, t.Clock = t.Columns[:last], t.Decimals[:last], t.Clock[:last]
		if t.Names != nil {
			t.Names, t.Units = t.Names[:last], t.Units[:last]
		}
	}
}
