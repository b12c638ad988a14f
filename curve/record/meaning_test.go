package record_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/curve/record"
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
		text := r.text(form{
			before: c.before, header: fmt.Sprintf("time (s),left (%s),right (%s)", c.unit, c.unit),
			cells: func(r rep, i int) []string {
				return []string{
					r.seconds(i, 3), fmt.Sprintf("%.6f", newtons(r.left[i])*c.perNewton),
					fmt.Sprintf("%.6f", newtons(r.right[i])*c.perNewton),
				}
			},
		})
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
		t.Run(fmt.Sprintf("%d Hz with %d decimals", c.rate, c.decimals), func(t *testing.T) {
			t.Parallel()
			r.compare(t, rec)
		})
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
	for _, word := range []string{"", "NaN", "nan", "#N/A", "Inf", "-Inf", "-", "NULL", "1.#QNAN", "#DIV/0!", "#NV"} {
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
	// A row that starts with the error word of a spreadsheet is no comment.
	bare, _ := mustRead(t, []byte(r.text(form{header: "left,right", cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		if i == 700 {
			c[1] = "#N/A"
		}
		return c[1:]
	}})), record.Options{RateHz: 1000})
	if len(bare.Total) != len(r.left) || !math.IsNaN(bare.Left[700]) || bare.Left[701] != newtons(r.left[701]) {
		t.Errorf("%d samples, number 700 is %v", len(bare.Total), bare.Left[700])
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
