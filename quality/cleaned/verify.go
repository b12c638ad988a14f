package cleaned

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// A Problem is something wrong in a cleaned session, in words.
type Problem struct {
	// File is the file within the package; Row counts from 1 with the header, 0 for the whole file; Column may be empty.
	File   string
	Row    int
	Column string
	Text   string
}

// String names the place, then says what is wrong.
func (p Problem) String() string {
	where := p.File
	if p.Row > 0 {
		where += fmt.Sprintf(", row %d", p.Row)
	}
	if p.Column != "" {
		where += ", " + p.Column
	}
	return where + ": " + p.Text
}

// A Report is what Verify found.
type Report struct {
	Problems []Problem
	// More is how many problems were left out of the list.
	More int
	// Files, Reps and Kept count what is in the package.
	Files, Reps, Kept int
	// By is the program and version that wrote it.
	By string
}

// OK reports whether there is nothing wrong.
func (r Report) OK() bool { return len(r.Problems) == 0 }

// mostProblems bounds the list: a damaged file can be wrong in every row.
const mostProblems = 200

// Verify checks a cleaned session: that paths stay inside, that sizes and hashes are those declared, that headers, types,
// words, keys and references are right, that kept reps have their metrics and force, and that the decisions follow from
// the history. An error means that the file could not be checked at all.
func Verify(name string) (Report, error) {
	a, problems, err := openArchive(name)
	if err != nil {
		return Report{Problems: problems}, err
	}
	v := &verifier{archive: a, tables: map[string]*sheet{}, forces: map[string]forceStat{}}
	v.report.Problems = problems
	v.report.By = clean(a.about.Plateside.Program + " " + a.about.Plateside.Version)
	v.contents()
	v.references()
	v.session()
	return v.report, a.zip.Close()
}

type verifier struct {
	archive *archive
	report  Report
	// tables are the rows of the tables, by name; force files are not kept.
	tables map[string]*sheet
	forces map[string]forceStat // by path
}

// A sheet is a table that was read.
type sheet struct {
	file    string
	columns []string
	rows    [][]string // row 2 of the file is the first
}

// at returns the cell of a row in a column, as it was before it was guarded; empty where there is no such column.
func (s *sheet) at(row []string, column string) string {
	if i := slices.Index(s.columns, column); i >= 0 && i < len(row) {
		return unguarded(row[i])
	}
	return ""
}

func (v *verifier) say(p Problem) {
	if len(v.report.Problems) >= mostProblems {
		v.report.More++
		return
	}
	v.report.Problems = append(v.report.Problems, p)
}

// contents checks the descriptor and every file that it names, and that there are no others.
func (v *verifier) contents() {
	const file = "datapackage.json"
	d := v.archive.about
	if d.Schema != profileURL {
		v.say(Problem{File: file, Text: "it does not say that it is a Data Package of version 2"})
	}
	known := map[string]bool{file: true, "README.txt": true, "schema/force.json": true}
	names := map[string]bool{}
	for i, r := range d.Resources {
		place := fmt.Sprintf("resource %d", i+1)
		switch {
		case r.Name == "" || names[r.Name]:
			v.say(Problem{File: file, Column: place, Text: fmt.Sprintf("the name %q is missing or doubled", r.Name)})
		case !safePath(r.Path) || known[r.Path]:
			v.say(Problem{File: file, Column: place, Text: fmt.Sprintf("the path %q leads out of the package or is doubled", clean(r.Path))})
			continue
		}
		names[r.Name], known[r.Path] = true, true
		v.resource(r)
	}
	if v.archive.files["README.txt"] == nil {
		v.say(Problem{File: "README.txt", Text: "it is missing"})
	}
	for _, t := range layout() {
		if v.tables[t.name] == nil {
			v.say(Problem{File: t.name + ".csv", Text: "the table is missing"})
		}
	}
	var others []string
	for name := range v.archive.files {
		if !known[name] {
			others = append(others, name)
		}
	}
	slices.Sort(others)
	for _, name := range others {
		v.say(Problem{File: clean(name), Text: "datapackage.json does not name this file"})
	}
	v.report.Files = len(v.archive.files)
}

// resource checks one file.
func (v *verifier) resource(r resource) {
	s, err := v.archive.schema(r)
	if err != nil {
		v.say(Problem{File: r.Path, Text: err.Error()})
		return
	}
	force := strings.HasPrefix(r.Path, "force/")
	if f := v.archive.files[r.Path]; f != nil && !force && f.UncompressedSize64 > mostSmallFile {
		v.say(Problem{File: r.Path, Text: fmt.Sprintf("the table is larger than %d bytes", mostSmallFile)})
		return
	}
	v.expected(r, s, force)
	c := newChecker(v, r.Path, s)
	c.force = force
	size, hash, err := v.archive.rows(r.Path, c.row)
	if err != nil {
		v.say(Problem{File: r.Path, Text: err.Error()})
	}
	if size != r.Bytes {
		v.say(Problem{File: r.Path, Text: fmt.Sprintf("it has %d bytes, datapackage.json says %d", size, r.Bytes)})
	}
	if "sha256:"+hash != r.Hash {
		v.say(Problem{File: r.Path, Text: "its bytes are not those that datapackage.json vouches for (sha256 differs)"})
	}
	c.end()
	if force {
		v.forces[r.Path] = c.stat
	} else {
		v.tables[r.Name] = &sheet{file: r.Path, columns: c.columns, rows: c.kept}
	}
}

// expected checks that a table has at least the columns that this program writes, with their types.
func (v *verifier) expected(r resource, s *schema, force bool) {
	want := forceTable()
	if !force {
		i := slices.IndexFunc(layout(), func(t table) bool { return t.name == r.Name })
		if i < 0 {
			return
		}
		want = layout()[i]
	}
	for _, c := range want.columns {
		i := slices.IndexFunc(s.Fields, func(f field) bool { return f.Name == c.name })
		switch {
		case i < 0:
			v.say(Problem{File: r.Path, Column: c.name, Text: "the column is missing"})
		case s.Fields[i].Type != c.kind:
			v.say(Problem{File: r.Path, Column: c.name, Text: fmt.Sprintf("its type is %s, not %s", s.Fields[i].Type, c.kind)})
		}
	}
}

// A checker checks the rows of one file against its schema.
type checker struct {
	v       *verifier
	file    string
	schema  *schema
	columns []string
	force   bool
	kept    [][]string
	keys    map[string]int // primary key to row
	unique  []map[string]int
	stat    forceStat
	lines   int
}

func newChecker(v *verifier, file string, s *schema) *checker {
	c := &checker{v: v, file: file, schema: s, keys: map[string]int{}, unique: make([]map[string]int, len(s.Fields))}
	for i, f := range s.Fields {
		c.columns = append(c.columns, f.Name)
		if f.Constraints != nil && f.Constraints.Unique {
			c.unique[i] = map[string]int{}
		}
	}
	return c
}

func (c *checker) say(row int, column, format string, args ...any) {
	c.v.say(Problem{File: c.file, Row: row, Column: column, Text: fmt.Sprintf(format, args...)})
}

// row checks one row, the header being the first.
func (c *checker) row(n int, row []string) {
	c.lines = n
	if n == 1 {
		if len(row) > 0 && strings.HasPrefix(row[0], "\uFEFF") {
			c.say(1, "", "it begins with a byte order mark, which other programs take for a part of the name")
		}
		if !slices.Equal(row, c.columns) {
			c.say(1, "", "the header is not the one that datapackage.json describes: %s", clean(strings.Join(row, ",")))
		}
		return
	}
	if len(row) != len(c.columns) {
		c.say(n, "", "it has %d cells, not %d", len(row), len(c.columns))
		return
	}
	for i, f := range c.schema.Fields {
		c.cell(n, i, f, row[i])
	}
	if c.force {
		c.stat.take(c, n, row)
		return
	}
	c.key(n, row)
	c.kept = append(c.kept, slices.Clone(row))
}

// cell checks one cell.
func (c *checker) cell(n, i int, f field, s string) {
	if s == "" {
		if f.Constraints != nil && f.Constraints.Required {
			c.say(n, f.Name, "it is empty and must not be")
		}
		return
	}
	if why := misfit(f.Type, s); why != "" {
		c.say(n, f.Name, "%q %s", clean(s), why)
	}
	if f.Constraints != nil && len(f.Constraints.Enum) > 0 && !slices.Contains(f.Constraints.Enum, s) {
		c.say(n, f.Name, "%q is none of %s", clean(s), strings.Join(f.Constraints.Enum, ", "))
	}
	if seen := c.unique[i]; seen != nil {
		if at, ok := seen[s]; ok {
			c.say(n, f.Name, "%q stands in row %d already", clean(s), at)
		}
		seen[s] = n
	}
}

// key checks that the primary key is new.
func (c *checker) key(n int, row []string) {
	if len(c.schema.PrimaryKey) < 2 {
		return // a key of one column is marked unique as well
	}
	var parts []string
	for _, name := range c.schema.PrimaryKey {
		if i := slices.Index(c.columns, name); i >= 0 {
			parts = append(parts, row[i])
		}
	}
	k := strings.Join(parts, "\x00")
	if at, ok := c.keys[k]; ok {
		c.say(n, strings.Join(c.schema.PrimaryKey, ", "), "the same stands in row %d already", at)
	}
	c.keys[k] = n
}

func (c *checker) end() {
	if c.lines == 0 {
		c.say(0, "", "it has no header")
	}
}

// misfit says why text is not of a type, "" when it is.
func misfit(k kind, s string) string {
	switch k {
	case kindString:
		switch {
		case !utf8.ValidString(s):
			return "is not UTF-8"
		case exposed(s):
			return "would run as a formula in a spreadsheet program"
		case clean(s) != s:
			return "holds control characters"
		}
	case kindInteger:
		if _, err := strconv.Atoi(s); err != nil {
			return "is no whole number"
		}
	case kindNumber:
		if _, err := strconv.ParseFloat(s, 64); err != nil || strings.Trim(s, "+-0123456789.eE") != "" {
			return "is no number"
		}
	case kindDatetime:
		if _, err := time.Parse(timeLayout, s); err != nil {
			return "is no time like 2026-03-01T09:10:00Z"
		}
	default:
		return fmt.Sprintf("is of the unknown type %q", k)
	}
	return ""
}
