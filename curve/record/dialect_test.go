package record_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"plateside/curve/record"
)

// A dialect is a file that must be read as the same rep as every other.
type dialect struct {
	name string
	data []byte
	o    record.Options
}

func gzipped(tb testing.TB, s string) []byte {
	tb.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(s)); err != nil {
		tb.Fatal(err)
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func utf16Bytes(s string, big, mark bool) []byte {
	var out []byte
	units := utf16.Encode([]rune(s))
	if mark {
		units = append([]uint16{0xfeff}, units...)
	}
	for _, u := range units {
		if big {
			out = append(out, byte(u>>8), byte(u))
		} else {
			out = append(out, byte(u), byte(u>>8))
		}
	}
	return out
}

func latin1(s string) []byte {
	var out []byte
	for _, r := range s {
		out = append(out, byte(r))
	}
	return out
}

// grouped writes hundredths with thousands marks.
func grouped(n int, mark, decimal string) string {
	s := strings.Replace(hundredths(n), ".", decimal, 1)
	digits := strings.IndexAny(s, decimal)
	start := 0
	if s[0] == '-' {
		start = 1
	}
	for at := digits - 3; at > start; at -= 3 {
		s = s[:at] + mark + s[at:]
	}
	return s
}

const plainHeader = "time_s,left_n,right_n"

// formDialects are the dialects that differ by delimiters, ends and marks.
func formDialects(r rep) []dialect {
	var out []dialect
	add := func(name string, f form) { out = append(out, dialect{name: name, data: []byte(r.text(f))}) }
	for _, d := range []struct{ name, mark string }{
		{"comma", ","},
		{"semicolon", ";"},
		{"tab", "\t"},
		{"blanks", "   "},
		{"one blank", " "},
		{"bar", "|"},
		{"comma and blank", ", "},
	} {
		header := strings.Join([]string{"time_s", "left_n", "right_n"}, d.mark)
		add(d.name, form{header: header, delimiter: d.mark})
		if !strings.HasPrefix(d.mark, ",") {
			add(d.name+", decimal comma", form{header: header, delimiter: d.mark, decimalComma: true})
		}
	}
	add("comma, decimal comma in quotes", form{header: `"time_s","left_n","right_n"`, decimalComma: true, cells: quotedCells})
	add("comma, decimal comma bare, header decides", form{header: plainHeader, decimalComma: true})
	add("quoted cells", form{header: `"time_s","left_n","right_n"`, cells: quotedCells})
	add("CRLF", form{header: plainHeader, lineEnd: "\r\n"})
	add("CR", form{header: plainHeader, lineEnd: "\r"})
	add("trailing delimiter", form{header: plainHeader, rowEnd: ","})
	add("trailing delimiter in the header too", form{header: plainHeader + ",", rowEnd: ","})
	add("trailing blanks", form{header: plainHeader, rowEnd: "  "})
	add("leading blanks", form{header: "  Time Left Right", delimiter: "  ", cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		c[0] = "   " + c[0]
		return c
	}})
	add("empty lines", form{header: plainHeader + "\n", lineEnd: "\n\n"})
	add("scientific", form{header: plainHeader, cells: func(r rep, i int) []string {
		return []string{
			fmt.Sprintf("%.6e", float64(i)/float64(r.rateHz)), fmt.Sprintf("%.8E", newtons(r.left[i])),
			fmt.Sprintf("%.8e", newtons(r.right[i])),
		}
	}})
	add("words and decimal comma", form{header: "trial;time;left;right", delimiter: ";", decimalComma: true,
		cells: func(r rep, i int) []string { return append([]string{"CMJ1"}, plainCells(r, i)...) }})
	add("footer", form{header: plainHeader, after: "\nPeak force,2310\nDuration,4.0\nEnd of file\n"})
	add("footer of numbers", form{header: plainHeader, after: "Summary\nmin,max,mean\n1.0,2.0,3.0\n4.0,5.0,6.0\n"})
	add("comments", form{before: "# made by hand\n# rate is in the clock\n", header: plainHeader, after: "# end\n"})
	add("comment before the names", form{header: "# time_s,left_n,right_n"})
	add("separator line", form{before: "sep=;\n", header: "time_s;left_n;right_n", delimiter: ";", decimalComma: true})
	add("plus signs", form{header: plainHeader, cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		for k := range c {
			if c[k][0] != '-' {
				c[k] = "+" + c[k]
			}
		}
		return c
	}})
	add("typographic minus", form{header: plainHeader, cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		for k := range c {
			c[k] = strings.Replace(c[k], "-", "\u2212", 1)
		}
		return c
	}})
	return append(out, groupDialects(r)...)
}

func quotedCells(r rep, i int) []string {
	c := plainCells(r, i)
	for k := range c {
		c[k] = `"` + c[k] + `"`
	}
	return c
}

// groupDialects write thousands marks.
func groupDialects(r rep) []dialect {
	var out []dialect
	for _, g := range []struct{ name, delimiter, mark, decimal string }{
		{"thousands comma, semicolon", ";", ",", "."},
		{"thousands point, decimal comma", ";", ".", ","},
		{"thousands blank, decimal comma", ";", " ", ","},
		{"thousands apostrophe", ";", "'", "."},
		{"thousands no-break blank", "\t", "\u00a0", ","},
		{"thousands thin blank", "\t", "\u202f", ","},
	} {
		out = append(out, dialect{name: g.name, data: []byte(r.text(form{
			header: strings.Join([]string{"time_s", "left_n", "right_n"}, g.delimiter), delimiter: g.delimiter,
			cells: func(r rep, i int) []string {
				return []string{
					strings.Replace(r.seconds(i, 3), ".", g.decimal, 1), grouped(r.left[i], g.mark, g.decimal),
					grouped(r.right[i], g.mark, g.decimal),
				}
			},
		}))})
	}
	return append(out, dialect{name: "thousands comma in quotes", data: []byte(r.text(form{
		header: plainHeader, cells: func(r rep, i int) []string {
			return []string{r.seconds(i, 3), `"` + grouped(r.left[i], ",", ".") + `"`, `"` + grouped(r.right[i], ",", ".") + `"`}
		},
	}))})
}

// byteDialects differ by encoding and packing.
func byteDialects(tb testing.TB, r rep) []dialect {
	tb.Helper()
	plain := r.text(form{header: plainHeader})
	german := r.text(form{before: "Prüfling;Jörg Größe\n", header: "Zeit [s];Links [N];Rechts [N]", delimiter: ";", decimalComma: true})
	return []dialect{
		{name: "UTF-8 with mark", data: []byte("\ufeff" + plain)},
		{name: "UTF-16 LE with mark", data: utf16Bytes(plain, false, true)},
		{name: "UTF-16 BE with mark", data: utf16Bytes(plain, true, true)},
		{name: "UTF-16 LE", data: utf16Bytes(plain, false, false)},
		{name: "UTF-16 BE", data: utf16Bytes(plain, true, false)},
		{name: "UTF-8 German", data: []byte(german)},
		{name: "Latin-1", data: latin1(german)},
		{name: "UTF-16 German", data: utf16Bytes(german, false, true)},
		{name: "zero bytes at the end", data: append([]byte(plain), make([]byte, 512)...)},
		{name: "end-of-file mark", data: append([]byte(plain), 0x1a)},
		{name: "gzip", data: gzipped(tb, plain)},
		{name: "gzip of UTF-16", data: gzipped(tb, string(utf16Bytes(german, true, true)))},
	}
}

// headerDialects differ by what stands above the numbers.
func headerDialects(r rep) []dialect {
	var out []dialect
	add := func(name string, f form) { out = append(out, dialect{name: name, data: []byte(r.text(f))}) }
	add("notes above", form{
		before: "Athlete: Ann Lee\nDate: 03/04/2026\nBody mass (kg): 72.4\nRate: 1000 Hz\n\n", header: plainHeader,
	})
	add("notes above, comma cells", form{before: "Athlete,Ann Lee,\nSampling rate [Hz],1000,\nTrials,1,2\n\n", header: plainHeader})
	add("units row", form{header: "Time,Left,Right\ns,N,N"})
	add("units row in brackets", form{header: "Time\tLeft Fz\tRight Fz\n[s]\t[N]\t[N]", delimiter: "\t"})
	add("names with blanks, blanks between", form{header: "Time (s)  Left force (N)  Right force (N)", delimiter: "  "})
	add("names with brackets, one blank between", form{header: "Time (s) Left (N) Right (N)", delimiter: " "})
	add("several notes in a line", form{before: "Athlete: Ann Lee; Sampling rate: 1,000 Hz; Mass: 72 kg\n", header: plainHeader})
	add("comments between names and rows", form{header: plainHeader + "\n# as measured\n\n# no filter"})
	add("dashes between names and rows", form{header: "Time | Left | Right\n-----|------|-----", delimiter: " | "})
	add("row names without a header", form{header: `"time" "left" "right"`, delimiter: " ", cells: func(r rep, i int) []string {
		return append([]string{fmt.Sprintf("%q", fmt.Sprint(i+1))}, plainCells(r, i)...)
	}})
	add("row names with an empty header", form{header: ",time,left,right", cells: func(r rep, i int) []string {
		return append([]string{fmt.Sprint(i)}, plainCells(r, i)...)
	}})
	add("a share in percent too", form{header: "Time (s),Left (N),Right (N),Asymmetry (%)", cells: func(r rep, i int) []string {
		return append(plainCells(r, i), "4.2")
	}})
	add("groups above names", form{
		header: ",Left plate,,,Right plate,,\nTime,Fx,Fy,Fz,Fx,Fy,Fz",
		cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			return []string{c[0], "1.5", "-2.5", c[1], "0.5", "3.5", c[2]}
		},
	})
	for name, header := range map[string]string{
		"French": "Temps (s),Gauche (N),Droite (N)", "Spanish": "Tiempo (s),Izquierda (N),Derecha (N)",
		"Italian": "Tempo (s),Sinistra (N),Destra (N)", "Portuguese": "Tempo [s],Esquerdo [N],Direito [N]",
		"Dutch": "Tijd (s),Linker voet (N),Rechter voet (N)", "Swedish": "Tid (s),Vänster (N),Höger (N)",
		"Danish": "Tid (s),Venstre (N),Højre (N)", "Polish": "Czas (s),Lewa (N),Prawa (N)", "Finnish": "Aika (s),Vasen (N),Oikea (N)",
		"Japanese": "時間 (s),左 (N),右 (N)", "Turkish": "t (s),Sol (N),Sağ (N)", "Russian": "Время (s),Левая (N),Правая (N)",
		"letters":     "t,L,R",
		"camel case":  "Time,LeftForce,RightForce",
		"axes":        "time,Fz_L,Fz_R",
		"joined":      "time,FzL,FzR",
		"French G D":  "Temps,Fz G,Fz D",
		"slash units": "Time / s,Left / N,Right / N",
		"capitals":    "TIME,LEFT FORCE,RIGHT FORCE",
	} {
		add("names: "+name, form{header: header})
	}
	return out
}

// orderDialects differ by which columns there are.
func orderDialects(r rep) []dialect {
	var out []dialect
	add := func(name, header string, cells func(r rep, i int, c []string) []string) {
		out = append(out, dialect{name: name, data: []byte(r.text(form{header: header, cells: func(r rep, i int) []string {
			return cells(r, i, plainCells(r, i))
		}}))})
	}
	total := func(r rep, i int) string { return hundredths(r.left[i] + r.right[i]) }
	add("right before left", "time,right,left", func(_ rep, _ int, c []string) []string { return []string{c[0], c[2], c[1]} })
	add("time last", "left,right,time", func(_ rep, _ int, c []string) []string { return []string{c[1], c[2], c[0]} })
	add("total first", "time,total,left,right", func(r rep, i int, c []string) []string {
		return []string{c[0], total(r, i), c[1], c[2]}
	})
	add("plain force is the total", "Time,Left,Right,Force", func(r rep, i int, c []string) []string {
		return []string{c[0], c[1], c[2], total(r, i)}
	})
	add("counter too", "frame,time,left,right", func(_ rep, i int, c []string) []string {
		return []string{fmt.Sprint(i + 1), c[0], c[1], c[2]}
	})
	add("three components", "Time,Left Fx,Left Fy,Left Fz,Right Fx,Right Fy,Right Fz", func(_ rep, _ int, c []string) []string {
		return []string{c[0], "1.00", "-20.00", c[1], "4.00", "0.00", c[2]}
	})
	add("moments too", "Time,Left Fz,Left Mx,Left CoPx,Right Fz,Right Mx,Right CoPx", func(_ rep, _ int, c []string) []string {
		return []string{c[0], c[1], "11.00", "0.10", c[2], "12.00", "0.20"}
	})
	add("three components without axes", "Time,Left 1,Left 2,Left 3,Right 1,Right 2,Right 3", func(_ rep, _ int, c []string) []string {
		return []string{c[0], "3.00", c[1], "-2.00", "1.00", c[2], "5.00"}
	})
	add("four cells a side", "t,L1,L2,L3,L4,R1,R2,R3,R4", func(_ rep, _ int, c []string) []string {
		return []string{c[0], c[1], "0.00", "0.00", "0.00", "0.00", c[2], "0.00", "0.00"}
	})
	add("other quantities", "Time (s),Left (N),Right (N),Velocity (m/s),Left power (W)", func(_ rep, i int, c []string) []string {
		return []string{c[0], c[1], c[2], fmt.Sprint(i % 7), "300"}
	})
	add("the same in other units", "Time (s),Left (N),Left (BW),Right (N),Right (BW)", func(_ rep, _ int, c []string) []string {
		return []string{c[0], c[1], "0.5", c[2], "0.5"}
	})
	add("two totals", "Time,Left,Right,Total raw,Total filtered,Body weight (N)", func(r rep, i int, c []string) []string {
		return []string{c[0], c[1], c[2], total(r, i), total(r, i), "710"}
	})
	add("words in every row", "athlete,trial,time,left,right,phase", func(_ rep, _ int, c []string) []string {
		return []string{"Ann Lee", "CMJ 1", c[0], c[1], c[2], "standing"}
	})
	add("a word at the end of every row", "time,left,right,ok", func(_ rep, _ int, c []string) []string { return append(c, "yes") })
	add("missing column", "time,note,left,right", func(_ rep, _ int, c []string) []string { return []string{c[0], "", c[1], c[2]} })
	return out
}

// timeDialects differ by how time is written.
func timeDialects(r rep) []dialect {
	var out []dialect
	add := func(name, before, header string, o record.Options, stamp func(i int) string) {
		out = append(out, dialect{name: name, o: o, data: []byte(r.text(form{before: before, header: header, cells: func(r rep, i int) []string {
			c := plainCells(r, i)
			if stamp == nil {
				return c[1:]
			}
			c[0] = stamp(i)
			return c
		}}))})
	}
	none := record.Options{}
	ms := func(i int) string { return fmt.Sprint(i * 1000 / r.rateHz) }
	add("milliseconds", "", "time (ms),left,right", none, ms)
	add("milliseconds without a unit", "", "time,left,right", none, ms)
	add("milliseconds with decimals", "", "time [ms],left,right", none, func(i int) string { return ms(i) + ".000" })
	add("time of day", "", "time,left,right", none, func(i int) string {
		s := 9*3600 + 59*60 + 58 + i/r.rateHz
		return fmt.Sprintf("%02d:%02d:%02d.%03d", s/3600, s/60%60, s%60, i%r.rateHz*1000/r.rateHz)
	})
	add("time of day over midnight", "", "time,left,right", none, func(i int) string {
		s := (24*3600 - 2 + i/r.rateHz) % 86400
		return fmt.Sprintf("%02d:%02d:%02d,%03d", s/3600, s/60%60, s%60, i%r.rateHz*1000/r.rateHz)
	})
	out[len(out)-1].data = clockWithComma(r)
	add("minutes and seconds", "", "time,left,right", none, func(i int) string {
		return fmt.Sprintf("%02d:%02d.%03d", i/r.rateHz/60, i/r.rateHz%60, i%r.rateHz*1000/r.rateHz)
	})
	add("date and time", "", "timestamp,left,right", none, func(i int) string {
		return fmt.Sprintf("2026-03-01T09:10:%02d.%03dZ", i/r.rateHz, i%r.rateHz*1000/r.rateHz)
	})
	add("starts elsewhere", "", plainHeader, none, func(i int) string { return r.seconds(i+123457, 3) })
	add("starts below zero", "", plainHeader, none, func(i int) string { return r.seconds(i-1500, 3) })
	add("rate in a note", "Sampling frequency (Hz): 1000\n\n", "left,right", none, nil)
	add("rate in a note, unit after", "Rate\t1000 Hz\n", "left,right", none, nil)
	add("rate in a note, kilohertz", "Abtastrate = 1 kHz\n", "left,right", none, nil)
	add("interval in a note", "dt=0.001\n", "left,right", none, nil)
	add("interval in milliseconds", "Sampling interval: 1 ms\n", "left,right", none, nil)
	add("rate given", "", "left,right", record.Options{RateHz: 1000}, nil)
	add("counter and rate", "Rate: 1000\n", "sample,left,right", none, func(i int) string { return fmt.Sprint(i) })
	add("counter and rate given", "", "frame,left,right", record.Options{RateHz: 1000}, func(i int) string { return fmt.Sprint(i + 1) })
	return out
}

func clockWithComma(r rep) []byte {
	return []byte(r.text(form{header: "time;left;right", delimiter: ";", decimalComma: true, cells: func(r rep, i int) []string {
		c := plainCells(r, i)
		s := (24*3600 - 2 + i/r.rateHz) % 86400
		c[0] = fmt.Sprintf("%02d:%02d:%02d,%03d", s/3600, s/60%60, s%60, i%r.rateHz*1000/r.rateHz)
		return c
	}}))
}

// unitDialects differ by unit and sign, in ways that keep the digits.
func unitDialects(r rep) []dialect {
	var out []dialect
	add := func(name, header string, cells func(r rep, i int, c []string) []string) {
		out = append(out, dialect{name: name, data: []byte(r.text(form{header: header, cells: func(r rep, i int) []string {
			return cells(r, i, plainCells(r, i))
		}}))})
	}
	kilo := func(n int) string {
		sign := ""
		if n < 0 {
			sign, n = "-", -n
		}
		return fmt.Sprintf("%s%d.%05d", sign, n/100000, n%100000)
	}
	add("kilonewtons", "time (s),left (kN),right (kN)", func(r rep, i int, c []string) []string {
		return []string{c[0], kilo(r.left[i]), kilo(r.right[i])}
	})
	add("kilonewtons without zeros at the end", "time (s),left (kN),right (kN)", func(r rep, i int, c []string) []string {
		short := func(s string) string { return strings.TrimSuffix(strings.TrimRight(s, "0"), ".") }
		return []string{c[0], short(kilo(r.left[i])), short(kilo(r.right[i]))}
	})
	add("downward", plainHeader, func(r rep, i int, c []string) []string {
		return []string{c[0], hundredths(-r.left[i]), hundredths(-r.right[i])}
	})
	add("one side downward", plainHeader, func(r rep, i int, c []string) []string {
		return []string{c[0], hundredths(-r.left[i]), c[2]}
	})
	return out
}

func allDialects(tb testing.TB, r rep) []dialect {
	tb.Helper()
	var out []dialect
	for _, list := range [][]dialect{
		formDialects(r), byteDialects(tb, r), headerDialects(r), orderDialects(r), timeDialects(r), unitDialects(r),
	} {
		out = append(out, list...)
	}
	return out
}

// The same rep in every dialect gives the same samples, to the bit.
func TestDialects(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	list := allDialects(t, r)
	if len(list) < 80 {
		t.Errorf("only %d dialects", len(list))
	}
	for _, d := range list {
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			rec, _ := mustRead(t, d.data, d.o)
			r.compare(t, rec)
		})
	}
}
