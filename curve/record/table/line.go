package table

import "bytes"

// A Delimiter is what stands between two cells.
type Delimiter byte

// The delimiters that are looked for.
const (
	Comma     Delimiter = ','
	Semicolon Delimiter = ';'
	Tab       Delimiter = '\t'
	Bar       Delimiter = '|'
	// Blanks are runs of spaces and tabs.
	Blanks Delimiter = ' '
	// Single is a line that is one cell.
	Single Delimiter = '\n'
)

// String returns the delimiter's name, which DelimiterNamed reads.
func (d Delimiter) String() string {
	switch d {
	case Comma:
		return "comma"
	case Semicolon:
		return "semicolon"
	case Tab:
		return "tab"
	case Bar:
		return "bar"
	case Blanks:
		return "blanks"
	case Single:
		return "none"
	}
	return "unknown"
}

// DelimiterNamed returns the delimiter of that name.
func DelimiterNamed(name string) (Delimiter, bool) {
	for _, d := range []Delimiter{Comma, Semicolon, Tab, Bar, Blanks, Single} {
		if d.String() == name {
			return d, true
		}
	}
	return 0, false
}

// nextLine returns the line at text[pos:] without its end (LF, CRLF or CR) and where the next one starts. ended is false
// for a last line without an end.
func nextLine(text []byte, pos int) (line []byte, next int, ended bool) {
	rest := text[pos:]
	// A search for LF in text that has CR alone would go through all of it, line after line: look near first.
	for _, near := range []int{256, maxLine, len(rest)} {
		near = min(near, len(rest))
		window := rest[:near]
		lf := bytes.IndexByte(window, '\n')
		if lf >= 0 {
			window = window[:lf]
		}
		cr := bytes.IndexByte(window, '\r')
		switch {
		case cr >= 0 && cr+1 == lf:
			return rest[:cr], pos + lf + 1, true
		case cr >= 0 && cr+1 == near && near < len(rest):
			continue // LF may follow just outside
		case cr >= 0:
			return rest[:cr], pos + cr + 1, true
		case lf >= 0:
			return rest[:lf], pos + lf + 1, true
		}
	}
	return rest, len(text), false
}

// Lines returns the first lines of text, at most n and at most those that end within the first megabyte.
func Lines(text []byte, n int) []string {
	var out []string
	text = text[:min(len(text), maxPreamble)]
	for pos := 0; pos < len(text) && len(out) < n; {
		line, next, _ := nextLine(text, pos)
		out = append(out, string(line))
		pos = next
	}
	return out
}

// Cells splits a line and trims its cells.
func Cells(line string, d Delimiter) []string {
	var out []string
	for _, c := range split([]byte(line), d, nil) {
		out = append(out, string(trimBlank(c)))
	}
	return out
}

// split cuts a line into cells, appending to cells. Quotes around a cell are taken off, and a delimiter between them
// does not count.
func split(line []byte, d Delimiter, cells [][]byte) [][]byte {
	switch d {
	case Single:
		return append(cells, unquote(line))
	case Blanks:
		return splitBlanks(line, cells)
	case Comma, Semicolon, Tab, Bar:
	}
	for {
		cell, rest, more := cutCell(line, byte(d))
		cells = append(cells, cell)
		if !more || len(cells) > maxColumns {
			return cells
		}
		line = rest
	}
}

// cutCell returns the first cell of line and what follows the delimiter after it.
func cutCell(line []byte, d byte) (cell, rest []byte, more bool) {
	quoted := bytes.TrimLeft(line, " ")
	end := closingQuote(quoted)
	if end == 0 {
		return bytes.Cut(line, []byte{d})
	}
	switch after := bytes.TrimLeft(quoted[end+1:], " "); {
	case len(after) == 0:
		return quoted[1:end], nil, false
	case after[0] == d:
		return quoted[1:end], after[1:], true
	}
	return bytes.Cut(line, []byte{d})
}

// closingQuote returns the place of the quote that closes the one at 0; a doubled quote does not close. It is 0 when
// there is none.
func closingQuote(q []byte) int {
	if len(q) == 0 || q[0] != '"' {
		return 0
	}
	for i := 1; i < len(q); i++ {
		if q[i] != '"' {
			continue
		}
		if i+1 < len(q) && q[i+1] == '"' {
			i++
			continue
		}
		return i
	}
	return 0
}

func unquote(cell []byte) []byte {
	c := trimBlank(cell)
	if len(c) >= 2 && closingQuote(c) == len(c)-1 {
		return c[1 : len(c)-1]
	}
	return cell
}

func splitBlanks(line []byte, cells [][]byte) [][]byte {
	for {
		line = bytes.TrimLeft(line, " \t")
		if len(line) == 0 || len(cells) > maxColumns {
			return cells
		}
		if end := closingQuote(line); end > 0 && (end+1 == len(line) || isBlank(line[end+1])) {
			cells = append(cells, line[1:end])
			line = line[end+1:]
			continue
		}
		end := bytes.IndexAny(line, " \t")
		if end < 0 {
			end = len(line)
		}
		cells = append(cells, line[:end])
		line = line[end:]
	}
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

// isComment reports whether a line is marked as a comment. The error words of spreadsheets (#N/A) are none.
func isComment(line []byte) bool {
	t := bytes.TrimLeft(line, " \t")
	if len(t) == 0 {
		return false
	}
	switch t[0] {
	case '%', '!':
		return true
	case '/':
		return bytes.HasPrefix(t, []byte("//"))
	case '#':
		word := t
		if end := bytes.IndexAny(t, ",;|\t "); end > 0 {
			word = t[:end]
		}
		return len(word) == 1 || !isMissing(word)
	}
	return false
}
