package table

import (
	"fmt"
	"strings"
	"testing"
)

func BenchmarkDecode(b *testing.B) {
	var text strings.Builder
	text.WriteString("time_s,left_n,right_n\n")
	for i := range 8000 {
		fmt.Fprintf(&text, "%.3f,%.2f,%.2f\n", float64(i)/1000, 300+float64(i*7919%100000)/100, 300+float64(i*104729%100000)/100)
	}
	data := []byte(text.String())
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Decode(data, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
