// Package table reads delimited text whose author is unknown: bytes become columns of numbers, the names and units
// above them, and the lines around them.
//
// Nothing is told beforehand. The encoding is found from the bytes; the delimiter and the decimal mark from the lines
// that consist of nothing but numbers; the block of numbers is the first long run of such lines; its names are the
// lines right above it. Where two ways of reading both make sense, Decode returns *Ambiguity and reads nothing.
//
// The package knows nothing of what the numbers mean.
package table

import "fmt"

const (
	// MinRows is how many consecutive rows of numbers make a block; fewer may be a heading or a summary.
	MinRows = 10
	// DefaultMaxCells bounds rows times columns: three columns of half an hour at 5000 Hz.
	DefaultMaxCells = 1 << 25
	// maxColumns bounds the width of a row.
	maxColumns = 512
	// maxLine bounds the length of a line in bytes.
	maxLine = 64 << 10
	// maxPreamble bounds the lines above the block, in bytes.
	maxPreamble = 1 << 20
	// maxKept bounds how many lines above and below the block are kept.
	maxKept = 400
	// maxBadLines is how many lines in a row may be unreadable inside a block; more are the end of the block.
	maxBadLines = 3
)

// A Table is a block of numbers with what stands around it.
type Table struct {
	// Dialect is how the rows are written.
	Dialect Dialect
	// RunnerUp is the next best way of reading the same rows; nil when there was none.
	RunnerUp *Dialect
	// Names are the names of the columns, without the units in them; nil when there is no header. Units has the same
	// length; a unit that is not given is empty.
	Names, Units []string
	// HeaderLine is the header line as written; empty when there is none.
	HeaderLine string
	// Before and After are the lines above and below the block, without those of the header; at most a few hundred.
	Before, After []string
	// FirstLine and LastLine are the lines of the block's first and last row, counted from 1.
	FirstLine, LastLine int
	// Columns are the numbers: one slice a column, all of equal length. A cell that is empty, says that it is missing,
	// or is not finite is NaN.
	Columns [][]float64
	// Decimals is how many digits follow the decimal mark, by column (the most seen among the first rows).
	Decimals []int
	// Clock marks the columns written as a time of day; their numbers are seconds since midnight.
	Clock []bool
	// BadLines are lines inside the block that could not be read; each is a row of NaN.
	BadLines []int
	// CutShort tells that the last line had no line end and was left out, because digits may be missing.
	CutShort bool
	// SecondBlock is the line at which another block of numbers starts below the first; 0 when there is none.
	SecondBlock int
}

// Rows returns the number of rows.
func (t *Table) Rows() int {
	if len(t.Columns) == 0 {
		return 0
	}
	return len(t.Columns[0])
}

// Options fix what is known beforehand; a zero field is found from the text.
type Options struct {
	Delimiter Delimiter
	// Decimal is '.' or ','.
	Decimal byte
	// MaxCells bounds rows times columns.
	MaxCells int
}

// A Trouble says why text could not be read, in one plain sentence.
type Trouble struct{ Reason string }

func (t *Trouble) Error() string { return t.Reason }

// An Ambiguity is text that can be read in two ways that both make sense.
type Ambiguity struct {
	// First and Second describe the two readings.
	First, Second string
	// Setting is the line of settings that chooses the first, Other the one that chooses the second.
	Setting, Other string
}

func (a *Ambiguity) Error() string {
	return fmt.Sprintf("its numbers can be read in two ways: %s, or %s", a.First, a.Second)
}
