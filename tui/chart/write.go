package chart

import "unicode/utf8"

// A writer builds the rows of a picture in one piece of memory: cells of one ink in one run of escape sequences, blanks
// without any, so that a screen that sends only changed cells does not send blanks again.
type writer struct {
	inks palette
	buf  []byte
	ends []int // of the rows
}

func newWriter(inks palette, rows, wide int) *writer {
	return &writer{inks: inks, buf: make([]byte, 0, rows*(3*wide+64)), ends: make([]int, 0, rows)}
}

// shortGap is how many blanks between two runs of one ink are written with it: less than closing and opening costs.
const shortGap = 2

// cells appends cells in their inks.
func (w *writer) cells(row []cell) {
	for i := 0; i < len(row); {
		if row[i].kind == blank {
			w.buf = append(w.buf, ' ')
			i++
			continue
		}
		end, gap := i+1, 0
		for j := i + 1; j < len(row) && gap <= shortGap; j++ {
			switch {
			case row[j].kind == blank:
				gap++
			case row[j].ink == row[i].ink:
				end, gap = j+1, 0
			default:
				gap = len(row)
			}
		}
		style := w.inks[row[i].ink]
		w.buf = append(w.buf, style.Open()...)
		for _, c := range row[i:end] {
			w.buf = utf8.AppendRune(w.buf, c.r)
		}
		w.buf = append(w.buf, style.Close()...)
		i = end
	}
}

// text appends a text in one ink.
func (w *writer) text(s string, ink Ink) {
	style := w.inks[ink]
	w.buf = append(w.buf, style.Open()...)
	w.buf = append(w.buf, s...)
	w.buf = append(w.buf, style.Close()...)
}

// blanks appends n blanks.
func (w *writer) blanks(n int) {
	for range n {
		w.buf = append(w.buf, ' ')
	}
}

// newline ends a row.
func (w *writer) newline() { w.ends = append(w.ends, len(w.buf)) }

// rows returns the rows, which share one string.
func (w *writer) rows() []string {
	all, from := string(w.buf), 0
	rows := make([]string, len(w.ends))
	for i, end := range w.ends {
		rows[i], from = all[from:end], end
	}
	return rows
}
