package record

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"plateside/curve/record/table"
)

// An Understanding is how a file was read: every choice, and where it came from.
type Understanding struct {
	Name  string
	Bytes int64
	// Packed tells that the file is packed with gzip.
	Packed bool
	// Format is "delimited text" or "C3D".
	Format string
	// Encoding, Delimiter and Decimal are empty for C3D.
	Encoding, Delimiter, Decimal string
	// Header is the header line as written; FirstLine and LastLine are the lines of the numbers, from 1.
	Header                    string
	FirstLine, LastLine, Rows int
	Columns                   []Column
	RateHz                    float64
	RateFrom                  string
	StartS                    float64
	TimeUnit, Unit, Sign      string
	// RunnerUp is the next best way to read the rows; empty when there was none.
	RunnerUp string
	Metadata []Entry
	// Athlete is who jumped, AthleteFrom where that is from.
	Athlete, AthleteFrom string
	Remarks              []string
	// Layout decides the same for all files with this header; FromSettings tells that it came from plateside.toml.
	Layout       Layout
	FromSettings bool
}

// addTable takes over what the text was understood as.
func (u *Understanding) addTable(t *table.Table) {
	u.Delimiter, u.Decimal = t.Dialect.Delimiter.String(), string(rune(t.Dialect.Decimal))
	u.Header, u.FirstLine, u.LastLine, u.Rows = t.HeaderLine, t.FirstLine, t.LastLine, t.Rows()
	if t.RunnerUp != nil {
		u.RunnerUp = t.RunnerUp.String()
	}
}

// tell takes over what is known of the columns.
func (tr *translator) tell() {
	u := tr.u
	u.Columns = u.Columns[:0]
	for _, c := range tr.columns {
		u.Columns = append(u.Columns, Column{Name: c.name, Unit: c.unit, Role: tr.roleOf(c), Why: tr.whyOf(c)})
	}
	u.Remarks, u.RateHz, u.StartS = tr.rec.Remarks, tr.rec.RateHz, tr.rec.StartS
}

func (tr *translator) whyOf(c *column) string {
	if tr.roles == nil {
		return ""
	}
	return tr.roles.why[c.place]
}

// roleOf returns the role that a column was given.
func (tr *translator) roleOf(c *column) Role {
	a := tr.roles
	switch {
	case a == nil:
		return Unused
	case a.time == c:
		return Time
	case a.counter == c:
		return Counter
	case a.beside == c:
		return Total
	}
	for role, group := range map[Role][]*column{Left: a.left, Right: a.right, Total: a.total} {
		if slices.Contains(group, c) {
			return role
		}
	}
	return Unused
}

// ReaderBlock returns the [[reader]] block that fixes this reading for files with the same header.
func (u *Understanding) ReaderBlock() string {
	l := u.Layout
	if !u.FromSettings {
		l = Layout{Files: l.Files, Header: l.Header}
		if u.Format == "delimited text" {
			l.Delimiter, l.Decimal = u.Delimiter, u.Decimal
			if u.Header != "" {
				l.Header, l.Files = lineSignature(u.Header, u.Delimiter), ""
			}
		}
		if l.Header == "" && l.Files == "" {
			l.Files = baseName(u.Name)
		}
		u.fillLayout(&l)
	}
	return l.Block()
}

// fillLayout adds what was decided about the columns.
func (u *Understanding) fillLayout(l *Layout) {
	used := false
	for _, c := range u.Columns {
		role := c.Role
		if role == "" {
			role = Unused
		}
		used = used || role == Left || role == Total
		l.Columns = append(l.Columns, string(role))
	}
	if !used {
		l.Columns = nil
	}
	if name, _, _ := strings.Cut(u.Unit, " ("); name != "" {
		l.Unit = name
	}
	if u.TimeUnit != "" {
		l.TimeUnit = u.TimeUnit
	}
	if u.RateFrom != "" && u.RateFrom != "the column of time" {
		l.RateHz = u.RateHz
	}
	if strings.HasPrefix(u.Sign, "load was negative") {
		l.Up = "negative"
	} else if u.Sign == "load is positive" {
		l.Up = "positive"
	}
}

// Report writes the understanding in plain text.
func (u *Understanding) Report(w io.Writer) error {
	b := bufio.NewWriter(w)
	line := func(key, format string, args ...any) {
		if text := fmt.Sprintf(format, args...); text != "" {
			_, _ = fmt.Fprintf(b, "%-12s %s\n", key, printable(text)) // b keeps the error for Flush
		}
	}
	packed := ""
	if u.Packed {
		packed = ", packed with gzip"
	}
	line("file", "%s, %d bytes%s", u.Name, u.Bytes, packed)
	line("format", "%s", u.Format)
	line("encoding", "%s", u.Encoding)
	line("delimiter", "%s", u.Delimiter)
	line("decimal", "%s", decimalName(u.Decimal))
	line("header", "%s", u.Header)
	if u.Rows > 0 && u.Format == "delimited text" {
		line("numbers", "%d rows, lines %d to %d", u.Rows, u.FirstLine, u.LastLine)
	}
	for i, c := range u.Columns {
		line(fmt.Sprintf("column %d", i+1), "%s", c.describe())
	}
	if u.RateHz > 0 {
		line("rate", "%.10g Hz, from %s", u.RateHz, u.RateFrom)
		line("clock", "starts at %.10g s", u.StartS)
	}
	line("unit", "%s", u.Unit)
	line("sign", "%s", u.Sign)
	line("runner-up", "%s", u.RunnerUp)
	for _, e := range u.Metadata {
		line("note", "%s: %s", e.Key, e.Value)
	}
	if u.Athlete != "" {
		line("athlete", "%s, from %s", u.Athlete, u.AthleteFrom)
	}
	for _, r := range u.Remarks {
		line("remark", "%s", r)
	}
	if u.Rows > 0 {
		if u.FromSettings {
			_, _ = b.WriteString("\nThis block of plateside.toml was followed:\n\n")
		} else {
			_, _ = b.WriteString("\nTo fix this reading for files with the same header, put into plateside.toml:\n\n")
		}
		_, _ = b.WriteString(u.ReaderBlock())
	}
	return b.Flush()
}

func decimalName(mark string) string {
	switch mark {
	case ".":
		return "point"
	case ",":
		return "comma"
	}
	return mark
}

// describe says what a column is in one line.
func (c Column) describe() string {
	name := c.Name
	if name == "" {
		name = "(no name)"
	}
	if c.Unit != "" {
		name += " [" + c.Unit + "]"
	}
	role := string(c.Role)
	if c.Role == Unused || c.Role == "" {
		role = "not used"
	}
	if c.Why != "" {
		role += " (" + c.Why + ")"
	}
	return name + ": " + role
}

// printable takes control characters out of text that comes from a file.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\t' {
			return ' '
		}
		if r < 0x20 || r >= 0x7f && r < 0xa0 {
			return '?'
		}
		return r
	}, s)
}
