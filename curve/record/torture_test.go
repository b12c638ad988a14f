package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"plateside/curve"
	"plateside/curve/record"
)

// mustBeWhole checks what holds for every recording that is read, whatever it was read from.
func mustBeWhole(t *testing.T, rec *curve.Recording, bytesIn int) {
	t.Helper()
	n := len(rec.Total)
	if n < 10 || !(rec.RateHz > 0) || math.IsInf(rec.RateHz, 0) || math.IsNaN(rec.StartS) || math.IsInf(rec.StartS, 0) {
		t.Fatalf("%d samples at %v Hz from %v s", n, rec.RateHz, rec.StartS)
	}
	if (rec.Left == nil) != (rec.Right == nil) || rec.Left != nil && (len(rec.Left) != n || len(rec.Right) != n) {
		t.Fatalf("%d left, %d right, %d total samples", len(rec.Left), len(rec.Right), n)
	}
	if n > 4*bytesIn+2000 {
		t.Fatalf("%d samples from %d bytes", n, bytesIn)
	}
	numbers := 0
	for i, v := range rec.Total {
		if math.IsInf(v, 0) {
			t.Fatalf("sample %d is %v", i, v)
		}
		if !math.IsNaN(v) {
			numbers++
		}
		if rec.Left != nil && !math.IsNaN(v) && v != rec.Left[i]+rec.Right[i] {
			t.Fatalf("sample %d: %v is not %v + %v", i, v, rec.Left[i], rec.Right[i])
		}
	}
	if numbers == 0 {
		t.Fatal("no sample is a number")
	}
	for _, span := range rec.Irregular {
		if !(span.FromS <= span.ToS) {
			t.Fatalf("span %v", span)
		}
	}
}

// checkBytes decodes arbitrary bytes: a recording that is whole, or a refusal in words.
func checkBytes(t *testing.T, data []byte, o record.Options) {
	t.Helper()
	rec, u, err := record.Decode("x/y.csv", data, o)
	if u == nil {
		t.Fatal("nothing is told of the file")
	}
	if err := u.Report(&bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	if err == nil {
		mustBeWhole(t, rec, len(data))
		return
	}
	var refusal *record.Refusal
	if rec != nil || !errors.As(err, &refusal) || refusal.Reason == "" || refusal.Recording != "x/y.csv" {
		t.Fatalf("refused with %v", err)
	}
}

func FuzzText(f *testing.F) {
	short := newRep(100)
	short = rep{100, short.left[:55], short.right[:55]} // short seeds make quick mutants
	for _, d := range allDialects(f, short) {
		f.Add(d.data, 0.0)
	}
	f.Add([]byte(short.text(form{decimalComma: true})), 100.0)
	f.Fuzz(func(t *testing.T, data []byte, rateHz float64) {
		if bytes.HasPrefix(data, []byte{0x1f, 0x8b}) {
			return // what unpacks is checked as text
		}
		if !(rateHz >= 0 && rateHz < 1e6) {
			rateHz = 0
		}
		checkBytes(t, data, record.Options{RateHz: rateHz})
	})
}

func FuzzC3D(f *testing.F) {
	short := newRep(100)
	short = rep{100, short.left[:60], short.right[:60]}
	for _, processor := range []byte{84, 85, 86} {
		for kind := 1; kind <= 4; kind++ {
			w := twoPlates(short, kind)
			w.Processor, w.Float, w.Unsigned, w.Points = processor, kind%2 == 0, kind > 2, kind-1
			f.Add(w.Bytes())
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) { checkBytes(t, data, record.Options{}) })
}

// Cutting a good file at every byte gives fewer rows or a refusal, never different numbers.
func TestCutAtEveryByte(t *testing.T) {
	t.Parallel()
	r := newRep(200) // short, and every byte counts
	r = rep{200, r.left[:115], r.right[:115]}
	for i, d := range allDialects(t, r) {
		stride := 11 // for the many dialects; the first few are cut everywhere
		if i < 6 || strings.Contains(d.name, "scientific") || strings.Contains(d.name, "quote") {
			stride = 1
		}
		if testing.Short() {
			stride *= 13
		}
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			whole, _, err := record.Decode("x", d.data, d.o)
			if err != nil {
				return // this rate is too low for the dialect (milliseconds that need decimals)
			}
			for n := i % stride; n < len(d.data); n += stride {
				rec, _, err := record.Decode("x", d.data[:n], d.o)
				if err != nil {
					continue
				}
				mustBePart(t, rec, whole, n)
			}
		})
	}
}

// mustBePart checks that a recording from the first n bytes is the beginning of the whole one.
func mustBePart(t *testing.T, rec, whole *curve.Recording, n int) {
	t.Helper()
	if len(rec.Total) > len(whole.Total) || rec.RateHz != whole.RateHz || rec.StartS != whole.StartS || rec.HasSides() != whole.HasSides() {
		t.Fatalf("cut at %d: %d samples at %v Hz from %v s, the whole has %d at %v from %v", n, len(rec.Total), rec.RateHz,
			rec.StartS, len(whole.Total), whole.RateHz, whole.StartS)
	}
	for i := range rec.Total {
		if !same(rec.Total[i], whole.Total[i]) || rec.HasSides() && (!same(rec.Left[i], whole.Left[i]) || !same(rec.Right[i], whole.Right[i])) {
			t.Fatalf("cut at %d: sample %d is %v, the whole has %v", n, i, rec.Total[i], whole.Total[i])
		}
	}
}

// Tables that are no recordings are refused in words: quoting, line ends and characters of all kinds.
func TestOtherTablesAreRefused(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"address with comma":  "first,last,address,city,zip\nJohn,Doe,\"120 any st., suite 5\",\"Anytown, WW\",08123\n",
		"empty cells":         "a,b,c\n1,\"\",\"\"\n2,3,4\n",
		"empty cells CRLF":    "a,b,c\r\n1,\"\",\"\"\r\n2,3,4\r\n",
		"doubled quotes":      "a,b\n1,\"ha \"\"ha\"\" ha\"\n3,4\n",
		"JSON in a cell":      "key,val\n1,\"{\"\"type\"\": \"\"Point\"\", \"\"at\"\": [1.5, 2.5]}\"\n",
		"line end in a cell":  "a,b,c\n1,2,3\n\"Once upon \na time\",5,6\n7,8,9\n",
		"CRLF in a cell":      "a,b,c\r\n1,2,3\r\n\"Once upon \r\na time\",5,6\r\n7,8,9\r\n",
		"quotes and line end": "a,b\n1,\"ha \n\"\"ha\"\" \nha\"\n3,4\n",
		"plain":               "a,b,c\n1,2,3\n",
		"plain CRLF":          "a,b,c\r\n1,2,3\r\n",
		"characters":          "a,b,c\n1,2,3\n4,5,ʤ\n",
		"coordinates":         strings.Repeat("lat,lon\n51.5,-0.12\n48.8,2.35\n", 2),
		"long list of words":  "word,count\n" + strings.Repeat("jump,12\nland,7\n", 40),
		"log":                 strings.Repeat("2026-03-01 10:00:00 INFO started in 12 ms\n", 200),
		"markdown":            "| a | b |\n|---|---|\n" + strings.Repeat("| x | 2 |\n", 30),
	} {
		rec, _, err := record.Decode(name, []byte(text), record.Options{})
		var refusal *record.Refusal
		if rec != nil || !errors.As(err, &refusal) || len(strings.Fields(refusal.Reason)) < 3 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The same for the files of a published collection, where there is one.
func TestPublishedTablesAreRefused(t *testing.T) {
	t.Parallel()
	dir := os.Getenv("PLATESIDE_CSV_SPECTRUM")
	if dir == "" {
		t.Skip("PLATESIDE_CSV_SPECTRUM does not name the folder of the npm package csv-spectrum")
	}
	seen := 0
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".csv" {
			return err
		}
		seen++
		rec, err := record.Read(path, d.Name(), record.Options{})
		var refusal *record.Refusal
		if rec != nil || !errors.As(err, &refusal) || len(strings.Fields(refusal.Reason)) < 3 {
			t.Errorf("%s: %v", path, err)
		}
		return nil
	})
	if err != nil || seen < 12 {
		t.Errorf("%d files, %v", seen, err)
	}
}

// bounded runs f and fails when it takes more memory or time.
func bounded(t *testing.T, mostMB uint64, most time.Duration, f func()) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(most):
		t.Fatalf("it takes longer than %v", most)
	}
	runtime.ReadMemStats(&after)
	if mb := (after.TotalAlloc - before.TotalAlloc) >> 20; mb > mostMB {
		t.Errorf("it took %d MB, want at most %d MB", mb, mostMB)
	}
}

// Files made to hurt cost little.
func TestHostileFiles(t *testing.T) {
	dir := t.TempDir()
	sparse := func(name string, size int64, head string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(head), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(path, size); err != nil {
			t.Fatal(err)
		}
		return path
	}
	oneLine := strings.Repeat("1,", 1<<20)
	for _, c := range []struct {
		name, path string
	}{
		{"much of zero bytes", sparse("zeros.csv", 500<<20, "")},
		{"much in one line", sparse("line.csv", 500<<20, oneLine)},
		{"a gigabyte in one line", sparse("large.csv", 1000<<20, oneLine)},
	} {
		t.Run(c.name, func(t *testing.T) {
			bounded(t, 16, 20*time.Second, func() {
				if _, err := record.Read(c.path, c.name, record.Options{}); err == nil {
					t.Error("it was read")
				}
			})
		})
	}
	row := strings.Repeat("1,", 1_000_000)
	for _, c := range []struct{ name, text string }{
		{"a million columns", row + "\n" + row + "\n"},
		{"many columns", strings.Repeat(strings.Repeat("1,", 3000)+"\n", 300)},
		{"quotes without end", strings.Repeat(`"`, 1<<20)},
		{"quotes that open in each line", strings.Repeat(`"a,"b,"c`+"\n", 100_000)},
		{"empty lines", strings.Repeat("\n", 2<<20)},
		{"carriage returns", strings.Repeat("\r", 2<<20)},
		{"blanks", strings.Repeat(" ", 2<<20) + "\n"},
		{"commas", strings.Repeat(strings.Repeat(",", 60_000)+"\n", 30)},
		{"digits", strings.Repeat("7", 2<<20)},
		{"clock that jumps far", "time,left,right\n" + strings.Repeat("0.001,1,1\n", 20) + "1e300,2,2\n"},
		{"clock of a huge step", fmt.Sprintf("time,left,right\n%s", steps(1e200))},
		{"clock of a tiny step", fmt.Sprintf("time,left,right\n%s", steps(1e-300))},
		{"long preamble", strings.Repeat("# note\n", 300_000) + newRep(1000).text(form{header: plainHeader})},
		{"endless rows", "time,left,right\n" + strings.Repeat("1,2,3\n", 20<<20)},
		{"packed zero bytes", string(gzipped(t, strings.Repeat("\x00", 64<<20)))},
		{"packed short lines", string(gzipped(t, strings.Repeat("1\n", 8<<20)))},
	} {
		t.Run(c.name, func(t *testing.T) {
			bounded(t, 320, 30*time.Second, func() {
				if _, _, err := record.Decode(c.name, []byte(c.text), record.Options{}); err == nil {
					t.Error("it was read")
				}
			})
		})
	}
}

func steps(step float64) string {
	var b strings.Builder
	for i := range 2000 {
		fmt.Fprintf(&b, "%g,300,300\n", float64(i)*step)
	}
	return b.String()
}
