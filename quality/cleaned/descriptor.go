package cleaned

import (
	"path"
	"slices"
	"strings"
	"time"

	"plateside/curve"
	"plateside/quality"
)

const profileURL = "https://datapackage.org/profiles/2.0/datapackage.json"

// A descriptor is datapackage.json. Version 2 has $schema, type and roles; profile and role say the same to programs
// that know version 1. Properties of our own are bytes and sha256 of sources, unit and source of fields, and plateside.
type descriptor struct {
	Schema       string        `json:"$schema"`
	Profile      string        `json:"profile"`
	Name         string        `json:"name"`
	Title        string        `json:"title"`
	Description  string        `json:"description"`
	Created      string        `json:"created,omitempty"`
	Contributors []contributor `json:"contributors,omitempty"`
	Sources      []source      `json:"sources,omitempty"`
	Plateside    method        `json:"plateside"`
	Resources    []resource    `json:"resources"`
}

type contributor struct {
	Title string   `json:"title"`
	Role  string   `json:"role"`
	Roles []string `json:"roles"`
}

type source struct {
	Title  string `json:"title"`
	SHA256 string `json:"sha256,omitempty"`
	Bytes  int64  `json:"bytes"`
	Reps   int    `json:"reps"`
	// Refused says why nothing could be read from it.
	Refused string `json:"refused,omitempty"`
}

type method struct {
	Program  string    `json:"program"`
	Version  string    `json:"version"`
	Kept     int       `json:"kept"`
	Rejected int       `json:"rejected"`
	Open     int       `json:"undecided"`
	Method   []Setting `json:"method"`
}

type resource struct {
	Name      string `json:"name"`
	Type      string `json:"type"`
	Profile   string `json:"profile"`
	Path      string `json:"path"`
	Title     string `json:"title,omitempty"`
	Format    string `json:"format"`
	Mediatype string `json:"mediatype"`
	Encoding  string `json:"encoding"`
	// Dialect says how cells are parted: a program that guesses may take the "#" of a rep's name for it.
	Dialect dialect `json:"dialect"`
	Bytes   int64   `json:"bytes"`
	Hash    string  `json:"hash"`
	// RepID is set on the samples of a rep.
	RepID string `json:"rep_id,omitempty"`
	// Schema is a *schema, or the path of a file that holds one.
	Schema any `json:"schema"`
}

// A dialect is how a table is written as text (RFC 4180).
type dialect struct {
	Delimiter      string `json:"delimiter"`
	LineTerminator string `json:"lineTerminator"`
	QuoteChar      string `json:"quoteChar"`
	DoubleQuote    bool   `json:"doubleQuote"`
	Header         bool   `json:"header"`
}

type schema struct {
	Fields        []field      `json:"fields"`
	MissingValues []string     `json:"missingValues"`
	PrimaryKey    []string     `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKey `json:"foreignKeys,omitempty"`
}

type field struct {
	Name        string       `json:"name"`
	Type        kind         `json:"type"`
	Description string       `json:"description,omitempty"`
	Unit        string       `json:"unit,omitempty"`
	Constraints *constraints `json:"constraints,omitempty"`
}

type constraints struct {
	Required bool     `json:"required,omitempty"`
	Unique   bool     `json:"unique,omitempty"`
	Enum     []string `json:"enum,omitempty"`
}

type foreignKey struct {
	Fields    []string  `json:"fields"`
	Reference reference `json:"reference"`
}

type reference struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

// schemaOf returns a table's schema.
func schemaOf(t table) *schema {
	s := &schema{MissingValues: []string{""}, PrimaryKey: t.primaryKey}
	for _, c := range t.columns {
		f := field{Name: c.name, Type: c.kind, Description: c.description, Unit: c.unit}
		unique := len(t.primaryKey) == 1 && t.primaryKey[0] == c.name
		if c.required || unique || c.enum != nil {
			f.Constraints = &constraints{Required: c.required, Unique: unique, Enum: c.enum}
		}
		s.Fields = append(s.Fields, f)
	}
	if t.refers {
		s.ForeignKeys = []foreignKey{{[]string{"rep_id"}, reference{"reps", []string{"rep_id"}}}}
	}
	return s
}

// descriptor describes the files that were packed.
func (b *book) descriptor(files []packed) descriptor {
	title := clean(b.names.in(b.session.Title))
	d := descriptor{
		Schema: profileURL, Profile: "tabular-data-package", Name: packageName(title), Title: title,
		Description:  "Countermovement jumps on force plates: what was kept, what was not and why. README.txt says how to read it.",
		Contributors: b.contributors(), Sources: b.sources(), Plateside: b.method(),
	}
	if at := b.created(); !at.IsZero() {
		d.Created = at.Format(time.RFC3339)
	}
	d.Resources = b.resources(files)
	return d
}

func rfc4180() dialect {
	return dialect{Delimiter: ",", LineTerminator: "\r\n", QuoteChar: "\"", DoubleQuote: true, Header: true}
}

func (b *book) resources(files []packed) []resource {
	of := map[string]packed{}
	for _, f := range files {
		of[f.path] = f
	}
	entry := func(name, file, title string, schema any) resource {
		return resource{
			Name: name, Type: "table", Profile: "tabular-data-resource", Path: file, Title: title, Format: "csv",
			Mediatype: "text/csv", Encoding: "utf-8", Dialect: rfc4180(), Bytes: of[file].bytes, Hash: "sha256:" + of[file].sha256, Schema: schema,
		}
	}
	out := make([]resource, 0, len(files))
	for _, t := range layout() {
		out = append(out, entry(t.name, t.name+".csv", t.title, schemaOf(t)))
	}
	for _, e := range b.kept() {
		name := "force-" + strings.TrimSuffix(path.Base(e.force), ".csv")
		r := entry(name, e.force, "Force of "+e.id, "schema/force.json")
		r.RepID = e.id
		out = append(out, r)
	}
	return out
}

func (b *book) contributors() []contributor {
	var names []string
	for _, e := range b.history.Events() {
		if name := clean(e.Reviewer); name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	out := make([]contributor, 0, len(names))
	for _, n := range names {
		out = append(out, contributor{n, "wrangler", []string{"dataCurator"}})
	}
	return out
}

func (b *book) sources() []source {
	refused := map[string]string{}
	for _, r := range b.session.Refused {
		refused[r.Recording] = r.Reason
	}
	athlete := map[string]string{}
	for _, r := range b.session.Reps {
		athlete[r.Recording] = r.Athlete
	}
	out := make([]source, 0, len(b.session.Sources))
	for _, s := range b.session.Sources {
		title := b.names.recording(s.Recording, athlete[s.Recording], s.SHA256)
		out = append(out, source{
			Title: clean(title), SHA256: s.SHA256, Bytes: s.Bytes, Reps: s.Reps,
			Refused: clean(b.names.in(refused[s.Recording])),
		})
	}
	slices.SortStableFunc(out, func(a, b source) int { return strings.Compare(a.Title, b.Title) })
	return out
}

func (b *book) method() method {
	m := method{Program: b.options.Program, Version: b.options.Version, Method: []Setting{}}
	for _, e := range b.entries {
		switch e.decision.Choice {
		case quality.Keep:
			m.Kept++
		case quality.Reject:
			m.Rejected++
		case quality.Undecided:
			m.Open++
		}
	}
	for _, s := range b.options.Method {
		// The folder of a settings file is nobody's business.
		s.SetIn = s.SetIn[strings.LastIndexAny(s.SetIn, `/\`)+1:]
		m.Method = append(m.Method, s)
	}
	return m
}

// packageName makes a title a name as the standard asks: lower-case letters, digits, . - and _.
func packageName(title string) string {
	if name := safeName(title); name != "" {
		return name
	}
	return "session"
}

// metricKeys are the keys of the metric table, for reading files back.
func metricKeys() []string {
	table := curve.Metrics()
	out := make([]string, len(table))
	for i, m := range table {
		out[i] = m.Key
	}
	return out
}
