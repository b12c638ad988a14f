package record

import (
	"fmt"
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"plateside/curve/record/table"
)

// A Layout is a person's decision about how files with a certain header are read: a [[reader]] block of plateside.toml.
// A field that is empty is found from the file.
type Layout struct {
	// Header is the header line with its cells joined by " | ", as 'plateside inspect' prints it.
	Header string `toml:"header"`
	// Files is a pattern of base names (such as "*.txt") for files without a header; with Header, both must fit.
	Files string `toml:"files"`
	// Delimiter is comma, semicolon, tab, bar, blanks or none.
	Delimiter string `toml:"delimiter"`
	// Decimal is "." or ",".
	Decimal string `toml:"decimal"`
	// Columns are the roles of the columns (of the plates, in C3D) from the first on: time, counter, left, right, total
	// or "-". Several of one side are added up.
	Columns []string `toml:"columns"`
	// Unit is the unit of force.
	Unit string `toml:"unit"`
	// TimeUnit is s, ms or µs.
	TimeUnit string `toml:"time_unit"`
	// RateHz is the sampling rate in samples a second, whatever the file says.
	RateHz float64 `toml:"rate_hz"`
	// Up is "positive" where load is written positive, "negative" where it is written negative.
	Up string `toml:"up"`
	// BodyMassKg is the athlete's mass, for forces in body weights.
	BodyMassKg float64 `toml:"body_mass_kg"`
}

// LayoutsFrom reads [[reader]] blocks. A key that is not known or a value that makes no sense is an error naming it.
func LayoutsFrom(blocks []map[string]any) ([]Layout, error) {
	var out []Layout
	for i, block := range blocks {
		l := Layout{}
		for key, value := range block {
			if err := l.set(key, value); err != nil {
				return nil, fmt.Errorf("reader block %d: %s: %w", i+1, key, err)
			}
		}
		if err := l.check(); err != nil {
			return nil, fmt.Errorf("reader block %d: %w", i+1, err)
		}
		out = append(out, l)
	}
	return out, nil
}

// set gives the field with that key a value.
func (l *Layout) set(key string, value any) error {
	fields := reflect.ValueOf(l).Elem()
	for i := range fields.NumField() {
		if fields.Type().Field(i).Tag.Get("toml") != key {
			continue
		}
		switch field := fields.Field(i); field.Kind() { //nolint:exhaustive // the kinds that Layout has
		case reflect.String:
			text, ok := value.(string)
			if !ok {
				return fmt.Errorf("it must be a text, not %v", value)
			}
			field.SetString(text)
		case reflect.Float64:
			number, ok := toFloat(value)
			if !ok || !(number > 0) || number > 1e9 {
				return fmt.Errorf("it must be a number above 0, not %v", value)
			}
			field.SetFloat(number)
		default:
			words, ok := toWords(value)
			if !ok {
				return fmt.Errorf("it must be a list of texts, not %v", value)
			}
			l.Columns = words
		}
		return nil
	}
	return fmt.Errorf("this key is not known")
}

func toFloat(value any) (float64, bool) {
	switch v := value.(type) {
	case float64:
		return v, true
	case int64:
		return float64(v), true
	case int:
		return float64(v), true
	}
	return 0, false
}

func toWords(value any) ([]string, bool) {
	if words, ok := value.([]string); ok {
		return words, true
	}
	list, ok := value.([]any)
	if !ok {
		return nil, false
	}
	var out []string
	for _, item := range list {
		word, ok := item.(string)
		if !ok {
			return nil, false
		}
		out = append(out, word)
	}
	return out, true
}

// check reports the first value that makes no sense.
func (l *Layout) check() error {
	if l.Header == "" && l.Files == "" {
		return fmt.Errorf("it needs header or files, to know which files it is for")
	}
	if _, err := path.Match(l.Files, ""); err != nil {
		return fmt.Errorf("files: %q is no pattern", l.Files)
	}
	_, delimiter := table.DelimiterNamed(l.Delimiter)
	_, force := forceUnit(l.Unit)
	_, time := timeUnit(l.TimeUnit)
	for _, field := range []struct {
		key, value string
		known      bool
		all        string
	}{
		{"delimiter", l.Delimiter, delimiter, "comma, semicolon, tab, bar, blanks, none"},
		{"decimal", l.Decimal, l.Decimal == "." || l.Decimal == ",", `".", ","`},
		{"unit", l.Unit, force, "N, kN, kgf, lbf, BW, %BW, N/kg"},
		{"time_unit", l.TimeUnit, time, "s, ms, µs"},
		{"up", l.Up, l.Up == "positive" || l.Up == "negative", "positive, negative"},
	} {
		if field.value != "" && !field.known {
			return fmt.Errorf("%s: %q is none of %s", field.key, field.value, field.all)
		}
	}
	for _, c := range l.Columns {
		if !slices.Contains([]Role{Time, Counter, Left, Right, Total, Unused}, Role(c)) {
			return fmt.Errorf("columns: %q is none of time, counter, left, right, total, -", c)
		}
	}
	return nil
}

// isSet reports whether the layout decides anything.
func (l *Layout) isSet() bool { return l.Header != "" || l.Files != "" }

// fits reports whether the layout is for a file with that name and header.
func (l *Layout) fits(name, header string) bool {
	if l.Files != "" {
		if ok, err := path.Match(l.Files, baseName(name)); !ok || err != nil {
			return false
		}
	}
	return l.Header == "" || signature([]string{l.Header}) == signature([]string{header})
}

// layoutForText returns the first layout that fits a text, an empty one when there is none.
func (o Options) layoutForText(name string, text []byte) *Layout {
	if len(o.Layouts) == 0 {
		return &Layout{}
	}
	lines := table.Lines(text, 400)
	for i := range o.Layouts {
		l := o.Layouts[i]
		if l.Header == "" && l.fits(name, "") {
			return &l
		}
		for _, line := range lines {
			if l.Header != "" && l.fits(name, lineSignature(line, l.Delimiter)) {
				return &l
			}
		}
	}
	return &Layout{}
}

// lineSignature joins the cells of a header line. Without a delimiter, all of them part cells.
func lineSignature(line, delimiter string) string {
	if d, ok := table.DelimiterNamed(delimiter); ok {
		return signature(table.Cells(line, d))
	}
	return signature(strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(",;\t|", r) }))
}

// signature joins cells so that blanks and quotes make no difference.
func signature(cells []string) string {
	var parts []string
	for _, c := range cells {
		for part := range strings.SplitSeq(c, "|") {
			if part = strings.Join(strings.Fields(strings.Trim(part, "\" \t#%")), " "); part != "" {
				parts = append(parts, part)
			}
		}
	}
	return strings.Join(parts, " | ")
}

// tableOptions are what the layout says about the form of the text.
func (l *Layout) tableOptions() table.Options {
	var o table.Options
	o.Delimiter, _ = table.DelimiterNamed(l.Delimiter)
	if l.Decimal != "" {
		o.Decimal = l.Decimal[0]
	}
	return o
}

// Block returns the layout as text to paste into plateside.toml.
func (l *Layout) Block() string {
	var b strings.Builder
	b.WriteString("[[reader]]\n")
	fields := reflect.ValueOf(l).Elem()
	for i := range fields.NumField() {
		key := fields.Type().Field(i).Tag.Get("toml")
		switch field := fields.Field(i); {
		case field.IsZero():
		case field.Kind() == reflect.String:
			fmt.Fprintf(&b, "%s = %s\n", key, quote(field.String()))
		case field.Kind() == reflect.Float64:
			fmt.Fprintf(&b, "%s = %s\n", key, strconv.FormatFloat(field.Float(), 'g', -1, 64))
		default:
			fmt.Fprintf(&b, "%s = %s\n", key, quoteAll(l.Columns))
		}
	}
	return b.String()
}

// quote writes a TOML basic string.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func quoteAll(words []string) string {
	var out []string
	for _, w := range words {
		out = append(out, quote(w))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// columnsSetting is the columns line that would make one of the columns the total.
func columnsSetting(columns []*column, total *column) string {
	last := 0
	for _, c := range columns {
		last = max(last, c.place)
	}
	roles := make([]string, last+1)
	for i := range roles {
		roles[i] = string(Unused)
	}
	if total.place > 0 {
		roles[0] = string(Time)
	}
	roles[total.place] = string(Total)
	return "columns = " + quoteAll(roles)
}

// columnsHint shows the line that would give roles to columns.
func columnsHint(columns []*column) string {
	if len(columns) < 2 {
		return sidesHint(columns, columns, nil)
	}
	return sidesHint(columns, columns[:1], columns[1:2])
}

// sidesHint shows the line that would make some columns left and others right.
func sidesHint(all, left, right []*column) string {
	last := 0
	for _, c := range all {
		last = max(last, c.place)
	}
	roles := make([]string, last+1)
	for i := range roles {
		roles[i] = string(Unused)
	}
	if all[0].place > 0 {
		roles[0] = string(Time)
	}
	for _, c := range left {
		roles[c.place] = string(Left)
	}
	for _, c := range right {
		roles[c.place] = string(Right)
	}
	return settingLine("columns = " + quoteAll(roles))
}

func settingLine(line string) string {
	return fmt.Sprintf("put %s, or what is true, into a [[reader]] block of plateside.toml ('plateside inspect' prints the block)",
		line)
}

func ordinal(place int) string { return strconv.Itoa(place + 1) }
