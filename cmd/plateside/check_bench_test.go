package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"plateside/curve"
	"plateside/curve/record"
)

// demoFolder writes the demo session to a folder and returns it.
func demoFolder(b testing.TB) string {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "demo")
	if err := writeDemo(dir, time.Now()); err != nil {
		b.Fatal(err)
	}
	return dir
}

func quiet() world {
	return world{in: os.Stdin, out: io.Discard, errs: io.Discard, now: time.Now, getenv: func(string) string { return "" }}
}

// BenchmarkCheck is the whole of 'check --json' on the demo session: reading, measuring, judging, writing.
func BenchmarkCheck(b *testing.B) {
	dir := demoFolder(b)
	for b.Loop() {
		_ = runCheck(quiet(), common{}, true, []string{dir})
	}
}

// BenchmarkRead and BenchmarkAnalyse are its two main parts, on one recording.
func BenchmarkRead(b *testing.B) {
	path := filepath.Join(demoFolder(b), "maren-1.csv")
	info, _ := os.Stat(path)
	b.SetBytes(info.Size())
	for b.Loop() {
		if _, err := record.Read(path, "maren-1.csv", record.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnalyse(b *testing.B) {
	rec, err := record.Read(filepath.Join(demoFolder(b), "maren-1.csv"), "maren-1.csv", record.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := curve.Analyse(rec, curve.DefaultMethod()); err != nil {
			b.Fatal(err)
		}
	}
}
