package record_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateside/curve/record"

	"github.com/pelletier/go-toml/v2"
)

func report(t *testing.T, u *record.Understanding) string {
	t.Helper()
	var b bytes.Buffer
	if err := u.Report(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The report names every choice that was made.
func TestReport(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	text := r.text(form{
		before: "Athlete;Ann Lee\nRate;1000 Hz\n", header: "Zeit [ms];Links [kN];Rechts [kN]", delimiter: ";", decimalComma: true,
		cells: func(r rep, i int) []string {
			return []string{r.seconds(i*1000, 1), "-" + hundredths(r.left[i]/1000+100), "-" + hundredths(r.right[i]/1000+100)}
		},
	})
	_, u := mustRead(t, latin1(text), record.Options{})
	got := report(t, u)
	for _, want := range []string{
		"encoding     UTF-8", "delimiter    semicolon", "decimal      comma", "header       Zeit [ms];Links [kN];Rechts [kN]",
		"4000 rows, lines 4 to 4003", "column 1     Zeit [ms]: time", "column 2     Links [kN]: left", "column 3     Rechts [kN]: right",
		"1000 Hz, from the column of time", "unit         kN", "load was negative; turned", "note         Athlete: Ann Lee",
		"athlete      Ann Lee, from a line in the file", "remark       forces were converted from kN", "[[reader]]",
		`header = "Zeit [ms] | Links [kN] | Rechts [kN]"`, `delimiter = "semicolon"`, `decimal = ","`,
		`columns = ["time", "left", "right"]`, `unit = "kN"`, `time_unit = "ms"`, `up = "negative"`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the report lacks %q:\n%s", want, got)
		}
	}
}

// The block that a report prints reads every dialect as it was read without.
func TestReaderBlockFixesTheReading(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	list := append(allDialects(t, r), dialect{name: "C3D", data: twoPlates(r, 2).Bytes()})
	for _, d := range list {
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			first, u := mustRead(t, d.data, d.o)
			var settings struct {
				Reader []map[string]any `toml:"reader"`
			}
			if err := toml.Unmarshal([]byte(u.ReaderBlock()), &settings); err != nil {
				t.Fatalf("%v in\n%s", err, u.ReaderBlock())
			}
			layouts, err := record.LayoutsFrom(settings.Reader)
			if err != nil {
				t.Fatal(err)
			}
			again, u2, err := record.Decode("athlete-1.csv", d.data, record.Options{Layouts: layouts})
			if err != nil {
				t.Fatalf("%v with\n%s", err, u.ReaderBlock())
			}
			if !u2.FromSettings {
				t.Errorf("not followed:\n%s", u.ReaderBlock())
			}
			if again.RateHz != first.RateHz || len(again.Total) != len(first.Total) {
				t.Fatalf("%d samples at %v Hz, first %d at %v", len(again.Total), again.RateHz, len(first.Total), first.RateHz)
			}
			for i := range first.Total {
				if !same(first.Total[i], again.Total[i]) || !same(first.Left[i], again.Left[i]) {
					t.Fatalf("sample %d is %v, first %v, with\n%s", i, again.Total[i], first.Total[i], u.ReaderBlock())
				}
			}
		})
	}
}

// A refused file is told as far as it was understood, and control characters in it do not reach the terminal.
func TestInspectOfARefusedFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "a.csv")
	text := newRep(1000).text(form{before: "Note: \x1b[31mred\x07\n\n", header: "time,Fz1,Fz2"})
	text = strings.ReplaceAll(text, "\x07", "")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	u, err := record.Inspect(path, "a.csv", record.Options{})
	var refusal *record.Refusal
	if !errors.As(err, &refusal) || u == nil {
		t.Fatalf("%v, %v", u, err)
	}
	if got := report(t, u); !strings.Contains(got, "Fz1") || strings.Contains(got, "\x1b") {
		t.Errorf("report:\n%q", got)
	}
	if u, err := record.Inspect(path+"x", "x", record.Options{}); u != nil || err == nil {
		t.Error("a file that is not there is understood")
	}
}
