package record_test

import (
	"testing"

	"plateside/curve/record"
)

// BenchmarkNewlines is the yardstick: a loop that only counts line ends in the same bytes.
func BenchmarkNewlines(b *testing.B) {
	data := []byte(longRep().text(form{header: plainHeader}))
	b.SetBytes(int64(len(data)))
	lines := 0
	for b.Loop() {
		for _, c := range data {
			if c == '\n' {
				lines++
			}
		}
	}
	if lines == 0 {
		b.Fatal("no lines")
	}
}

func benchmarkDecode(b *testing.B, data []byte, o record.Options) {
	b.Helper()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := record.Decode("x", data, o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkText(b *testing.B) {
	r := longRep()
	for _, d := range []struct {
		name string
		data []byte
		o    record.Options
	}{
		{"comma", []byte(r.text(form{header: plainHeader})), record.Options{}},
		{"semicolon-decimal-comma", []byte(r.text(form{header: "t;left;right", delimiter: ";", decimalComma: true})), record.Options{}},
		{"blanks", []byte(r.text(form{header: "t left right", delimiter: "   "})), record.Options{}},
		{"quoted", []byte(r.text(form{header: plainHeader, cells: quotedCells})), record.Options{}},
		{"utf16", utf16Bytes(r.text(form{header: plainHeader}), false, true), record.Options{}},
		{"gzip", gzipped(b, r.text(form{header: plainHeader})), record.Options{}},
	} {
		b.Run(d.name, func(b *testing.B) { benchmarkDecode(b, d.data, d.o) })
	}
}

func BenchmarkC3D(b *testing.B) {
	w := twoPlates(longRep(), 2)
	b.Run("integer", func(b *testing.B) { benchmarkDecode(b, w.Bytes(), record.Options{}) })
	w.Float = true
	b.Run("float", func(b *testing.B) { benchmarkDecode(b, w.Bytes(), record.Options{}) })
}

// longRep is a recording of 8 s at 1000 Hz.
func longRep() rep {
	r := newRep(1000)
	return rep{r.rateHz, append(r.left, r.left...), append(r.right, r.right...)}
}
