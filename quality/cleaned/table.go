package cleaned

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"plateside/curve"
	"plateside/quality"
)

// A column is a column of a table: what it is called, what it holds.
type column struct {
	name        string
	kind        kind
	unit        string // UCUM code
	description string
	required    bool
	enum        []string
}

// A table is a CSV file in the package. Header, descriptor, workbook and verification follow from its columns.
type table struct {
	name, title string
	columns     []column
	primaryKey  []string
	// refers says that rep_id refers to reps.
	refers bool
	rows   [][]cell
}

func col(name string, k kind, description string) column {
	return column{name: name, kind: k, description: description}
}

func must(name string, k kind, description string) column {
	return column{name: name, kind: k, description: description, required: true}
}

func (c column) in(unit string) column { c.unit = unit; return c }

func (c column) oneOf(words ...string) column { c.enum = words; return c }

// tables returns all tables but the force files, rows and all.
func (b *book) tables() []table {
	out := layout()
	for i, fill := range []func() [][]cell{b.repRows, b.metricRows, b.landmarkRows, b.findingRows, b.decisionRows} {
		out[i].rows = fill()
	}
	return out
}

// layout returns the tables without rows, in the order of the package.
func layout() []table {
	return []table{repTable(), metricTable(), landmarkTable(), findingTable(), decisionTable()}
}

func repTable() table {
	return table{name: "reps", title: "Every rep, rejected and undecided ones too", primaryKey: []string{"rep_id"}, columns: []column{
		must("rep_id", kindString, "recording without its ending, #, number"),
		must("recording", kindString, "file below the session's folder"),
		must("recording_sha256", kindString, "SHA-256 of the recording's bytes"),
		col("athlete", kindString, "as the recording names them; empty where it does not"),
		must("rep", kindInteger, "number within the recording, from 1"),
		must("rate_hz", kindNumber, "samples a second").in("Hz"),
		must("plates", kindInteger, "2 where left and right are known apart, else 1").in("1"),
		must("verdict", kindString, "what the checks say: clear, look (a person should look) or redo").oneOf("clear", "look", "redo"),
		must("decision", kindString, "what a person said").oneOf("keep", "reject", "undecided"),
		col("reason", kindString, "why it was rejected: a check, or words"),
		col("note", kindString, "what the reviewer wrote"),
		col("reviewer", kindString, "who decided"),
		col("decided_at", kindDatetime, "when, in UTC"),
		col("verdict_then", kindString, "the verdict when it was decided").oneOf("clear", "look", "redo"),
		col("copy_of", kindString, "another recording with the same bytes; count such reps once"),
		col("force", kindString, "file with the samples, for kept reps"),
		col("unknown", kindString, "checks that could not be answered, with the reason"),
		col("remarks", kindString, "facts about the file and the rep that are no findings"),
	}}
}

func (b *book) repRows() [][]cell {
	rows := make([][]cell, 0, len(b.entries))
	for _, e := range b.entries {
		r, d := e.rep, e.decision
		then := cell{}
		if d.Choice != quality.Undecided {
			then = text(d.Verdict.String())
		}
		unknown := make([]string, 0, len(r.Unknowns))
		for _, u := range r.Unknowns {
			unknown = append(unknown, u.Check+": "+u.Reason)
		}
		remarks := slices.Concat(r.Remarks, r.Notes)
		rows = append(rows, []cell{
			text(e.id), text(e.recording), text(r.SHA256), text(b.names.athlete(r.Athlete)), integer(r.Curve.Number),
			short(r.RateHz, 6), integer(r.Plates), text(r.Verdict.String()), text(d.Choice.String()),
			b.text(d.Reason), b.text(d.Note), text(d.Reviewer), instant(d.At), then,
			text(b.copyOf(r)), text(e.force), b.joined(unknown), b.joined(remarks),
		})
	}
	return rows
}

// copyOf returns the name of the recording that a rep's recording repeats.
func (b *book) copyOf(r *quality.Rep) string {
	if r.CopyOf == "" {
		return ""
	}
	for _, e := range b.entries {
		if e.rep.Recording == r.CopyOf {
			return e.recording
		}
	}
	return b.names.recording(r.CopyOf, r.Athlete, r.SHA256)
}

func metricTable() table {
	t := table{
		name: "metrics", title: "Metrics of kept reps", primaryKey: []string{"rep_id"}, refers: true,
		columns: []column{must("rep_id", kindString, "the rep")},
	}
	for _, m := range curve.Metrics() {
		c := col(m.Key, kindNumber, m.Name+": "+m.Formula+" ["+m.Source+"]").in(m.Unit)
		t.columns = append(t.columns, c)
		if m.Uncertain {
			t.columns = append(t.columns, col(m.Key+"_plus_minus", kindNumber, "half-width of the 95 % interval").in(m.Unit))
		}
	}
	t.columns = append(t.columns, col("missing", kindString, "metrics that could not be determined, with the reason"))
	return t
}

func (b *book) metricRows() [][]cell {
	rows := make([][]cell, 0, len(b.entries))
	for _, e := range b.kept() {
		row := []cell{text(e.id)}
		var missing []string
		for i, m := range curve.Metrics() {
			v := curve.Value{Value: math.NaN(), PlusMinus: math.NaN()}
			if i < len(e.rep.Curve.Values) {
				v = e.rep.Curve.Values[i]
			}
			if !v.Known() {
				missing = append(missing, m.Key+": "+v.Why)
			}
			row = append(row, number(v.Value, m.Decimals))
			if m.Uncertain {
				half := math.NaN()
				if v.HasPlusMinus() {
					half = v.PlusMinus
				}
				row = append(row, number(half, m.Decimals))
			}
		}
		rows = append(rows, append(row, b.joined(missing)))
	}
	return rows
}

func landmarkTable() table {
	list := curve.Landmarks{}.List()
	names := append(make([]string, 0, 2+len(list)), "weighing_from", "weighing_to")
	for _, l := range list {
		names = append(names, l.Name)
	}
	return table{
		name: "landmarks", title: "Landmarks of kept reps", primaryKey: []string{"rep_id", "landmark"}, refers: true,
		columns: []column{
			must("rep_id", kindString, "the rep"),
			must("landmark", kindString, "its name").oneOf(names...),
			col("time_s", kindNumber, "on the recording's clock; empty where it could not be found").in("s"),
		},
	}
}

func (b *book) landmarkRows() [][]cell {
	var rows [][]cell
	for _, e := range b.kept() {
		c := e.rep.Curve
		window := []curve.NamedInstant{{Name: "weighing_from", S: c.Weighing.Window.FromS}, {Name: "weighing_to", S: c.Weighing.Window.ToS}}
		for _, l := range append(window, c.Landmarks.List()...) {
			rows = append(rows, []cell{text(e.id), text(l.Name), number(l.S, 6)})
		}
	}
	return rows
}

func findingTable() table {
	return table{name: "findings", title: "What the checks found, of every rep", refers: true, columns: []column{
		must("rep_id", kindString, "the rep"),
		must("check", kindString, "the check"),
		must("severity", kindString, "look: a person should look; redo: do not use").oneOf("look", "redo"),
		col("value", kindNumber, "what was measured, in unit"),
		col("limit", kindNumber, "what it was held against, in unit"),
		col("unit", kindString, "the unit of value and limit"),
		col("from_s", kindNumber, "start of what the finding speaks of").in("s"),
		col("to_s", kindNumber, "end of what the finding speaks of").in("s"),
		must("message", kindString, "the finding in words"),
	}}
}

func (b *book) findingRows() [][]cell {
	var rows [][]cell
	for _, e := range b.entries {
		for _, f := range e.rep.Findings {
			rows = append(rows, []cell{
				text(e.id), text(f.Check), text(f.Severity.String()), short(f.Value, 6), short(f.Limit, 6), text(f.Unit),
				number(f.FromS, 4), number(f.ToS, 4), b.text(f.Message),
			})
		}
	}
	return rows
}

func decisionTable() table {
	return table{name: "decisions", title: "The whole history of decisions, undone ones too", primaryKey: []string{"seq"}, columns: []column{
		must("seq", kindInteger, "line of the history, from 1"),
		must("at", kindDatetime, "when, in UTC"),
		col("reviewer", kindString, "who"),
		col("rep_id", kindString, "the rep; it may have left the session since"),
		must("action", kindString, "what was done").oneOf("keep", "reject", "clear", "note", "undo"),
		col("reason", kindString, "why it was rejected"),
		col("note", kindString, "what the reviewer wrote"),
		col("verdict", kindString, "what the checks said then").oneOf("clear", "look", "redo"),
		col("group", kindInteger, "first line of a decision on several reps at once"),
		col("undoes", kindInteger, "line that an undo takes back"),
		col("recording_sha256", kindString, "the recording that was decided on"),
		col("rep", kindInteger, "the rep's number in it"),
	}}
}

func (b *book) decisionRows() [][]cell {
	rows := make([][]cell, 0, len(b.history.Events()))
	for _, e := range b.history.Events() {
		id, ok := b.byKey[e.Key]
		if !ok {
			id = b.names.rep(e.RepID, "", e.Key)
		}
		verdict := cell{}
		if e.Action != quality.ActUndo {
			verdict = text(e.Verdict.String())
		}
		rows = append(rows, []cell{
			integer(e.Seq), instant(e.At), text(e.Reviewer), text(id), text(string(e.Action)), b.text(e.Reason), b.text(e.Note),
			verdict, positive(e.Group), positive(e.Undoes), text(e.Key.SHA256), positive(e.Key.Number),
		})
	}
	return rows
}

// positive is a number from 1, an empty cell for 0.
func positive(n int) cell {
	if n <= 0 {
		return cell{}
	}
	return cell{strconv.Itoa(n), true}
}

// text is a text in which athletes may be named.
func (b *book) text(s string) cell { return text(b.names.in(s)) }

// joined is several texts in one cell.
func (b *book) joined(parts []string) cell { return b.text(strings.Join(parts, "; ")) }

// forceTable is the shape that all force files share.
func forceTable() table {
	return table{name: "force", columns: []column{
		must("time_s", kindNumber, "on the recording's clock").in("s"),
		col("left_n", kindNumber, "vertical force under the left foot, upward positive; empty without sides").in("N"),
		col("right_n", kindNumber, "vertical force under the right foot, upward positive; empty without sides").in("N"),
		col("total_n", kindNumber, "vertical force of both, upward positive; empty where samples are missing").in("N"),
	}}
}
