package record_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateside/curve/record"
	"plateside/curve/record/table"
)

// What can be read in two ways, or not at all, is refused with words that help.
func TestRefusals(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	write := func(header string, cells func(c []string, i int) []string) string {
		return r.text(form{header: header, cells: func(r rep, i int) []string { return cells(plainCells(r, i), i) }})
	}
	plain := func(c []string, _ int) []string { return c }
	total := func(i int) string { return hundredths(r.left[i] + r.right[i]) }
	for _, c := range []struct{ name, text, reason, hint string }{
		{"empty", "", "empty", ""},
		{"prose", strings.Repeat("Lorem ipsum dolor sit amet.\n", 100), "numbers", "10 rows"},
		{"nine rows", strings.Join(strings.Split(r.text(form{header: plainHeader}), "\n")[:10], "\n") + "\n", "10 rows", ""},
		{"under half a second", strings.Join(strings.Split(r.text(form{header: plainHeader}), "\n")[:401], "\n") + "\n", "0.4 s", "rate"},
		{"decimal comma with comma", r.text(form{decimalComma: true}), "two ways", `decimal = ","`},
		{"sides without names", r.text(form{}), "which column is left", `columns = ["time", "left", "right"]`},
		{"numbered plates", write("time,Fz1,Fz2", plain), "which column is left", `columns = ["time", "left", "right"]`},
		{"lettered plates", write("time,Plate A,Plate B", plain), "which column is left", "columns"},
		{"cells of two plates", write("time,P1Z1,P1Z2,P1Z3,P1Z4,P2Z1,P2Z2,P2Z3,P2Z4", func(c []string, _ int) []string {
			return []string{c[0], c[1], "0", "0", "0", c[2], "0", "0", "0"}
		}), `"P2Z4" right`, `columns = ["time", "left", "left", "left", "left", "right", "right", "right", "right"]`},
		{"one side", write("time,left", func(c []string, _ int) []string { return c[:2] }), "no right side", "total"},
		{"two left columns", write("time,left raw,left filtered,right", func(c []string, _ int) []string {
			return []string{c[0], c[1], c[1], c[2]}
		}), "more than one column", "columns"},
		{"two columns of time", write("time,time,left,right", func(c []string, _ int) []string {
			return []string{c[0], c[0], c[1], c[2]}
		}), "two columns of time", "columns"},
		{"no rate", write("left,right", func(c []string, _ int) []string { return c[1:] }), "sampling rate", "--rate HZ"},
		{"bare column", write("", func(_ []string, i int) []string { return []string{total(i)} }), "sampling rate", "--rate HZ"},
		{
			"counter or milliseconds", write("", func(_ []string, i int) []string { return []string{fmt.Sprint(i), total(i)} }),
			"milliseconds or a count", "--rate HZ",
		},
		{"counter without rate", write("frame,left,right", func(c []string, i int) []string {
			return []string{fmt.Sprint(i), c[1], c[2]}
		}), "sampling rate", "--rate HZ"},
		{"rates disagree", "Rate: 500 Hz\n" + write(plainHeader, plain), "1000 Hz but", "rate_hz = 500"},
		{"unit unknown", write("time,left,right", func(c []string, i int) []string {
			return []string{c[0], hundredths(r.left[i] / 10), hundredths(r.right[i] / 10)}
		}), "no unit", "unit ="},
		{"body weights without mass", write("time (s),left (BW),right (BW)", plain), "body mass", "body_mass_kg"},
		{"volts", write("time (s),left (mV),right (mV)", plain), "mV", "unit"},
		{"nobody", write(plainHeader, func(c []string, i int) []string { return []string{c[0], fmt.Sprint(i % 3), "-1.0"} }), "nobody", ""},
		{"time goes back", r.text(form{header: plainHeader}) + r.text(form{}), "goes back", "one recording"},
		{"two blocks", r.text(form{header: plainHeader}) + "\n\nTrial 2\nx\ny\nz\n" + r.text(form{header: plainHeader}), "second block", "one recording"},
		{"no force", write("time,alpha velocity,beta angle", plain), "force", "columns"},
		{"thousands or decimals", r.text(form{header: "t (s);left (N);right (N)", delimiter: ";", cells: func(r rep, i int) []string {
			whole := func(n int) string { s, _, _ := strings.Cut(grouped(n, ",", "."), "."); return s }
			return []string{fmt.Sprint(i), whole(r.left[i]), whole(r.right[i])}
		}}), "two ways", `decimal = "."`},
		{"thousands points alone", r.text(form{header: "t (ms);left (N);right (N)", delimiter: ";", cells: func(r rep, i int) []string {
			whole := func(n int) string { s, _, _ := strings.Cut(grouped(n, ".", ","), ","); return s }
			return []string{fmt.Sprint(i), whole(r.left[i]), whole(r.right[i])}
		}}), "two ways", `decimal = "."`},
		{"spreadsheet", "PK\x03\x04" + strings.Repeat("x", 2000), "spreadsheet", "export"},
		{"binary", strings.Repeat("\x01\x02\x03\x00", 500), "not text", ""},
		{"cut gzip", string(gzipped(t, r.text(form{header: plainHeader}))[:5000]), "cut short", "again"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rec, u, err := record.Decode("folder/file.csv", []byte(c.text), record.Options{})
			var refusal *record.Refusal
			if rec != nil || !errors.As(err, &refusal) {
				t.Fatalf("read: %d samples, error %v", len(rec.Total), err)
			}
			if refusal.Recording != "folder/file.csv" || !strings.Contains(refusal.Reason, c.reason) ||
				!strings.Contains(refusal.Hint, c.hint) || strings.Contains(refusal.Reason, "\n") {
				t.Errorf("refused with %q, hint %q; want %q, %q", refusal.Reason, refusal.Hint, c.reason, c.hint)
			}
			if u == nil {
				t.Error("nothing is told of the file")
			}
		})
	}
}

// An ambiguity is an error that can be told from others.
func TestAmbiguityIsUnwrapped(t *testing.T) {
	t.Parallel()
	_, _, err := record.Decode("x.csv", []byte(newRep(1000).text(form{decimalComma: true})), record.Options{})
	var two *table.Ambiguity
	if !errors.As(err, &two) || two.First == two.Second {
		t.Fatalf("%v", err)
	}
}

// The settings that a refusal names decide it.
func TestLayouts(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	swapped := func(r rep, i int) []string {
		c := plainCells(r, i)
		return []string{c[0], c[2], c[1]}
	}
	for _, c := range []struct {
		name, text string
		block      map[string]any
	}{
		{
			"decimal comma", r.text(form{decimalComma: true}),
			map[string]any{"files": "*.csv", "decimal": ",", "columns": []any{"time", "left", "right"}},
		},
		{
			"numbered plates", r.text(form{header: "time,Fz1,Fz2", cells: swapped}),
			map[string]any{"header": "time | Fz1 | Fz2", "columns": []any{"time", "right", "left"}},
		},
		{
			"rate", r.text(form{header: "left,right", cells: func(r rep, i int) []string { return plainCells(r, i)[1:] }}),
			map[string]any{"header": "left | right", "rate_hz": int64(1000)},
		},
		{"unit", r.text(form{header: "time;left;right", delimiter: ";", cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			return []string{c[0], fmt.Sprintf("%.5f", newtons(r.left[i])/1000), fmt.Sprintf("%.5f", newtons(r.right[i])/1000)}
		}}), map[string]any{"header": "time | left | right", "unit": "kN"}},
		{"time unit", r.text(form{header: "a,left,right", cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			c[0] = fmt.Sprint(i)
			return c
		}}), map[string]any{"header": "a | left | right", "time_unit": "ms", "columns": []any{"time", "left", "right"}}},
		{"sign", r.text(form{header: plainHeader, cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			return []string{c[0], hundredths(-r.left[i]), hundredths(-r.right[i])}
		}}), map[string]any{"header": "time_s | left_n | right_n", "up": "negative"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			layouts, err := record.LayoutsFrom([]map[string]any{{"header": "another | one"}, c.block})
			if err != nil {
				t.Fatal(err)
			}
			rec, u := mustRead(t, []byte(c.text), record.Options{Layouts: layouts})
			r.compare(t, rec)
			if !u.FromSettings {
				t.Error("the report does not say that settings were followed")
			}
		})
	}
}

func TestLayoutsRefuseNonsense(t *testing.T) {
	t.Parallel()
	for _, block := range []map[string]any{
		{},
		{"header": "x", "colour": "red"},
		{"header": 3},
		{"header": "x", "rate_hz": -1.0},
		{"header": "x", "rate_hz": math.NaN()},
		{"header": "x", "columns": "time"},
		{"header": "x", "columns": []any{"middle"}},
		{"header": "x", "unit": "furlong"},
		{"header": "x", "delimiter": "dot"},
		{"header": "x", "decimal": ";"},
		{"files": "[", "decimal": "."},
		{"header": "x", "up": "down"},
		{"header": "x", "time_unit": "h"},
		{"header": "x", "columns": []any{1}},
	} {
		if _, err := record.LayoutsFrom([]map[string]any{block}); err == nil {
			t.Errorf("%v was taken", block)
		}
	}
}

// Who jumped: settings, a note, the sub-folder, the file's name by a pattern, in this order.
func TestAthlete(t *testing.T) {
	t.Parallel()
	plain := []byte(newRep(1000).text(form{header: plainHeader}))
	noted := []byte(newRep(1000).text(form{before: "Athlete: Ann Lee\n\n", header: plainHeader}))
	two := []byte(newRep(1000).text(form{before: "Vorname;Jo\nNachname;Berg\n\n", header: "Zeit;Links;Rechts", delimiter: ";"}))
	for _, c := range []struct {
		name string
		data []byte
		o    record.Options
		want string
	}{
		{"x.csv", plain, record.Options{}, ""},
		{"anna_2.csv", plain, record.Options{}, ""},
		{"x.csv", noted, record.Options{}, "Ann Lee"},
		{"x.csv", two, record.Options{}, "Jo Berg"},
		{"bob/x.csv", plain, record.Options{}, "bob"},
		{"bob/monday/x.csv", plain, record.Options{}, "bob"},
		{"bob/x.csv", noted, record.Options{}, "Ann Lee"},
		{"bob/x.csv", noted, record.Options{Athletes: map[string]string{"x.csv": "Cy"}}, "Cy"},
		{"bob/x.csv", noted, record.Options{Athletes: map[string]string{"bob/x.csv": "Di", "bob": "Ed"}}, "Di"},
		{"bob/x.csv", noted, record.Options{Athletes: map[string]string{"bob": "Ed"}}, "Ed"},
		{"anna_2.csv", plain, record.Options{NamePattern: "{athlete}_{rep}"}, "anna"},
		{"2026-anna b-02.csv.gz", plain, record.Options{NamePattern: "*-{athlete}-{rep}"}, "anna b"},
		{"anna.csv", plain, record.Options{NamePattern: "{athlete}_{rep}"}, ""},
		{"bob/anna_2.csv", plain, record.Options{NamePattern: "{athlete}_{rep}"}, "bob"},
	} {
		rec, _, err := record.Decode(c.name, c.data, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if rec.Athlete != c.want {
			t.Errorf("%s: athlete %q, want %q", c.name, rec.Athlete, c.want)
		}
	}
}

// Files on disk: hash, name, and what is no file.
func TestRead(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	r := newRep(1000)
	text := r.text(form{header: plainHeader})
	file := filepath.Join(dir, "a.csv")
	packed := filepath.Join(dir, "b") // an ending does not matter
	for path, data := range map[string][]byte{file: []byte(text), packed: gzipped(t, text)} {
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	buffers := &record.Buffers{}
	for range 3 {
		for _, path := range []string{file, packed} {
			rec, err := record.Read(path, "sub/x", record.Options{Buffers: buffers})
			if err != nil {
				t.Fatal(err)
			}
			r.compare(t, rec)
			if rec.Name != "sub/x" || len(rec.SHA256) != 64 {
				t.Errorf("name %q, hash %q", rec.Name, rec.SHA256)
			}
		}
	}
	for _, path := range []string{dir, filepath.Join(dir, "none.csv"), "/dev/zero"} {
		_, err := record.Read(path, "n", record.Options{})
		var refusal *record.Refusal
		if !errors.As(err, &refusal) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := record.Read(file, "n", record.Options{MaxBytes: 1000}); err == nil {
		t.Error("a file over the bound was read")
	}
	if _, err := record.Read(packed, "n", record.Options{MaxBytes: 40000}); err == nil || !strings.Contains(err.Error(), "unpacks") {
		t.Errorf("a packed file over the bound: %v", err)
	}
}
