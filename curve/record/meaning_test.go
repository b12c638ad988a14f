package record_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/curve/record"
	"plateside/curve/record/table"
)

// One plate gives a total and no sides.
func TestOnePlate(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	sum := func(i int) float64 { return newtons(r.left[i] + r.right[i]) }
	for _, c := range []struct {
		name, header string
		o            record.Options
		cells        func(r rep, i int) []string
	}{
		{"force", "Time[s],GRF[N]", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i] + r.right[i])}
		}},
		{"no header", "", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i] + r.right[i])}
		}},
		{"bare column", "", record.Options{RateHz: 1000}, func(r rep, i int) []string {
			return []string{hundredths(r.left[i] + r.right[i])}
		}},
		{"named column", "Force (N)", record.Options{RateHz: 1000}, func(r rep, i int) []string {
			return []string{hundredths(r.left[i] + r.right[i])}
		}},
		{"both sides in one column", "Time (s),Left + right (N)", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i] + r.right[i])}
		}},
		{"three components", "Time,Fx,Fy,Fz", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), "20.00", "-3.00", hundredths(r.left[i] + r.right[i])}
		}},
		{"three components by words", "Time,ML,AP,Vertical", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), "20.00", "-3.00", hundredths(r.left[i] + r.right[i])}
		}},
		{"three components without a header", "", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i] + r.right[i]), "20.00", "-3.00"}
		}},
		{"upward by name, three components down", "Time,X,Y,Z", record.Options{}, func(r rep, i int) []string {
			return []string{r.seconds(i, 3), "20.00", "-3.00", hundredths(-r.left[i] - r.right[i])}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rec, _ := mustRead(t, []byte(r.text(form{header: c.header, cells: c.cells})), c.o)
			r.compareTotal(t, rec, sum)
		})
	}
}

// Four cells of one plate are added up.
func TestFourCells(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, header := range []string{"t,Fz1,Fz2,Fz3,Fz4", "t,FL,FR,RL,RR", "t,front left,front right,rear left,rear right"} {
		rec, _ := mustRead(t, []byte(r.text(form{header: header, cells: func(r rep, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i]), hundredths(r.right[i]), "1.25", "2.50"}
		}})), record.Options{})
		r.compareTotal(t, rec, func(i int) float64 {
			return newtons(r.left[i]) + newtons(r.right[i]) + 1.25 + 2.5
		})
		if !hasRemark(rec, "added up") {
			t.Errorf("%s: remarks %q", header, rec.Remarks)
		}
	}
}

func hasRemark(rec *curve.Recording, part string) bool {
	return strings.Contains(strings.Join(rec.Remarks, "\n"), part)
}

// Units that are no power of ten come back within half of the last digit that was written.
func TestUnits(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, c := range []struct {
		unit, before string
		perNewton    float64
	}{
		{"kgf", "", 1 / 9.80665},
		{"lbf", "", 1 / 4.4482216152605},
		{"BW", "Body mass: 72.5 kg\n", 1 / (9.80665 * 72.5)},
		{"%BW", "Gewicht;72,5 kg\n", 100 / (9.80665 * 72.5)},
		{"N/kg", "Mass (kg),72.5\n", 1 / 72.5},
	} {
		text := r.text(form{before: c.before, header: fmt.Sprintf("time (s),left (%s),right (%s)", c.unit, c.unit),
			cells: func(r rep, i int) []string {
				return []string{r.seconds(i, 3), fmt.Sprintf("%.6f", newtons(r.left[i])*c.perNewton),
					fmt.Sprintf("%.6f", newtons(r.right[i])*c.perNewton)}
			}})
		rec, u := mustRead(t, []byte(text), record.Options{})
		half := 0.5000001e-6 / c.perNewton
		for i := range r.left {
			if math.Abs(rec.Left[i]-newtons(r.left[i])) > half || math.Abs(rec.Right[i]-newtons(r.right[i])) > half {
				t.Fatalf("%s: sample %d is %v, want %v within %v", c.unit, i, rec.Left[i], newtons(r.left[i]), half)
			}
		}
		if !hasRemark(rec, "converted") {
			t.Errorf("%s: no remark about the unit: %q (unit %s)", c.unit, rec.Remarks, u.Unit)
		}
	}
}

// Time stamps rounded to a few digits are a steady clock.
func TestRoundedStamps(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ rate, decimals int }{
		{240, 4}, {240, 3}, {600, 4}, {1200, 4}, {1200, 5}, {2000, 4}, {2000, 3}, {300, 3}, {120, 4}, {450, 19}, {10000, 4},
	} {
		r := newRep(c.rate)
		rec, _ := mustRead(t, []byte(r.text(form{header: plainHeader, cells: func(r rep, i int) []string {
			return []string{r.seconds(i, c.decimals), hundredths(r.left[i]), hundredths(r.right[i])}
		}})), record.Options{})
		t.Run(fmt.Sprintf("%d Hz with %d decimals", c.rate, c.decimals), func(t *testing.T) { r.compare(t, rec) })
	}
}

// Where the clock skips whole samples they are missing; the clock stays even.
func TestSkippedSamples(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ rate, decimals int }{{1000, 3}, {240, 4}, {450, 12}} {
		r := newRep(c.rate)
		from, to := c.rate*3/2, c.rate*3/2+c.rate/20
		lines := strings.Split(r.text(form{header: plainHeader, cells: func(r rep, i int) []string {
			return []string{r.seconds(i, c.decimals), hundredths(r.left[i]), hundredths(r.right[i])}
		}}), "\n")
		text := strings.Join(append(append([]string{}, lines[:from+1]...), lines[to+1:]...), "\n")
		rec, _ := mustRead(t, []byte(text), record.Options{})
		if rec.RateHz != float64(c.rate) || len(rec.Total) != len(r.left) || len(rec.Irregular) != 0 {
			t.Fatalf("%d Hz: rate %v, %d samples, irregular %v", c.rate, rec.RateHz, len(rec.Total), rec.Irregular)
		}
		for i := range r.left {
			missing := i >= from && i < to
			if missing != math.IsNaN(rec.Left[i]) || missing != math.IsNaN(rec.Total[i]) || !missing && rec.Left[i] != newtons(r.left[i]) {
				t.Fatalf("%d Hz: sample %d is %v", c.rate, i, rec.Left[i])
			}
		}
		if !hasRemark(rec, "skips") {
			t.Errorf("no remark: %q", rec.Remarks)
		}
	}
}

// Uneven steps are listed, and nothing else is.
func TestUnevenSteps(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	rec, _ := mustRead(t, []byte(r.text(form{header: plainHeader, cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		c[0] = r.seconds(i, 5)
		if i == 1200 {
			c[0] = "1.20037"
		}
		return c
	}})), record.Options{})
	if len(rec.Irregular) != 1 || rec.Irregular[0].FromS > 1.2 || rec.Irregular[0].ToS < 1.2 || rec.Irregular[0].ToS > 1.21 {
		t.Errorf("irregular %v, want one span at 1.2 s", rec.Irregular)
	}
	if len(rec.Total) != len(r.left) || rec.RateHz != 1000 {
		t.Errorf("%d samples at %v Hz", len(rec.Total), rec.RateHz)
	}
}

// Missing cells are NaN in their place, and a line that cannot be read is a missing sample.
func TestMissingCells(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, word := range []string{"", "NaN", "nan", "#N/A", "Inf", "-Inf", "-", "NULL", "1.#QNAN"} {
		rec, _ := mustRead(t, []byte(r.text(form{header: plainHeader, cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			if i == 700 {
				c[1] = word
			}
			return c
		}})), record.Options{})
		for i := range r.left {
			if (i == 700) != math.IsNaN(rec.Left[i]) || (i == 700) != math.IsNaN(rec.Total[i]) || rec.Right[i] != newtons(r.right[i]) {
				t.Fatalf("%q: sample %d is %v + %v = %v", word, i, rec.Left[i], rec.Right[i], rec.Total[i])
			}
		}
	}
	text := r.text(form{header: plainHeader})
	text = strings.Replace(text, "\n0.700,", "\n!?garbled,", 1)
	text = strings.Replace(text, "\n0.800,", "\nx0.800,", 1)
	rec, _ := mustRead(t, []byte(text), record.Options{})
	for i := range r.left {
		if bad := i == 700 || i == 800; bad != math.IsNaN(rec.Left[i]) {
			t.Fatalf("sample %d is %v", i, rec.Left[i])
		}
	}
	if !hasRemark(rec, "could not be read") {
		t.Errorf("remarks %q", rec.Remarks)
	}
}

// A line between the rows that is no sample does not move the samples after it, and a row without a stamp keeps its
// place.
func TestLinesBetweenRows(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	text := r.text(form{header: plainHeader})
	text = strings.Replace(text, "\n0.700,", "\n"+plainHeader+"\n0.700,", 1)
	text = strings.Replace(text, "\n0.900,", "\n,", 1)
	rec, _ := mustRead(t, []byte(text), record.Options{})
	r.compare(t, rec)
}

// A row that repeats its stamp is left out, and said.
func TestRepeatedStamp(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	text := r.text(form{header: plainHeader})
	text = strings.Replace(text, "\n0.700,", "\n0.699,1.00,2.00\n0.700,", 1)
	rec, _ := mustRead(t, []byte(text), record.Options{})
	if len(rec.Irregular) != 1 || !hasRemark(rec, "repeat") {
		t.Errorf("irregular %v, remarks %q", rec.Irregular, rec.Remarks)
	}
	rec.Irregular = nil
	r.compare(t, rec)
}

// What was changed or looks odd is said.
func TestRemarks(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, c := range []struct {
		want, header string
		cells        func(c []string, i int) []string
	}{
		{"sign of the force was turned", plainHeader, func(_ []string, i int) []string {
			return []string{r.seconds(i, 3), hundredths(-r.left[i]), hundredths(-r.right[i])}
		}},
		{"sign of one side was turned", plainHeader, func(c []string, i int) []string {
			return []string{c[0], hundredths(-r.left[i]), c[2]}
		}},
		{"differs from left + right", "time,left,right,total", func(c []string, i int) []string {
			return append(c, hundredths(r.left[i]+r.right[i]+9000))
		}},
		{"outside 200 to 3000 N", plainHeader, func(_ []string, i int) []string {
			return []string{r.seconds(i, 3), hundredths(r.left[i] / 5), hundredths(r.right[i] / 5)}
		}},
		{"outside 100 to 10000 Hz", plainHeader, func(c []string, i int) []string {
			return []string{r.seconds(i*20, 3), c[1], c[2]}
		}},
		{"far from zero", plainHeader, func(c []string, i int) []string {
			return []string{c[0], hundredths(r.left[i] + 9000), c[2]}
		}},
	} {
		rec, u := mustRead(t, []byte(r.text(form{header: c.header, cells: func(r rep, i int) []string {
			return c.cells(plainCells(r, i), i)
		}})), record.Options{})
		if len(rec.Remarks) != 1 || !hasRemark(rec, c.want) {
			t.Errorf("remarks %q, want one with %q", rec.Remarks, c.want)
		}
		if len(u.Remarks) != len(rec.Remarks) {
			t.Errorf("the report has %d remarks", len(u.Remarks))
		}
	}
}

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
		{"one side", write("time,left", func(c []string, _ int) []string { return c[:2] }), "no right side", "total"},
		{"two left columns", write("time,left raw,left filtered,right", func(c []string, _ int) []string {
			return []string{c[0], c[1], c[1], c[2]}
		}), "more than one column", "columns"},
		{"two columns of time", write("time,time,left,right", func(c []string, _ int) []string {
			return []string{c[0], c[0], c[1], c[2]}
		}), "two columns of time", "columns"},
		{"no rate", write("left,right", func(c []string, _ int) []string { return c[1:] }), "sampling rate", "--rate HZ"},
		{"bare column", write("", func(_ []string, i int) []string { return []string{total(i)} }), "sampling rate", "--rate HZ"},
		{"counter or milliseconds", write("", func(_ []string, i int) []string { return []string{fmt.Sprint(i), total(i)} }),
			"milliseconds or a count", "--rate HZ"},
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
		{"decimal comma", r.text(form{decimalComma: true}),
			map[string]any{"files": "*.csv", "decimal": ",", "columns": []any{"time", "left", "right"}}},
		{"numbered plates", r.text(form{header: "time,Fz1,Fz2", cells: swapped}),
			map[string]any{"header": "time | Fz1 | Fz2", "columns": []any{"time", "right", "left"}}},
		{"rate", r.text(form{header: "left,right", cells: func(r rep, i int) []string { return plainCells(r, i)[1:] }}),
			map[string]any{"header": "left | right", "rate_hz": int64(1000)}},
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
		{}, {"header": "x", "colour": "red"}, {"header": 3}, {"header": "x", "rate_hz": -1.0}, {"header": "x", "rate_hz": math.NaN()},
		{"header": "x", "columns": "time"}, {"header": "x", "columns": []any{"middle"}}, {"header": "x", "unit": "furlong"},
		{"header": "x", "delimiter": "dot"}, {"header": "x", "decimal": ";"}, {"files": "[", "decimal": "."}, {"header": "x", "up": "down"},
		{"header": "x", "time_unit": "h"}, {"header": "x", "columns": []any{1}},
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
