package cleaned

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"plateside/quality"
)

// Diff says in sentences what is different in the new cleaned session: reps that came or went, decisions, verdicts and
// metrics that changed, and settings. It returns nothing where there is no difference. Reps are matched by the bytes of
// their recording, so a renamed file is the same.
func Diff(oldName, newName string) ([]string, error) {
	before, err := readBack(oldName)
	if err != nil {
		return nil, err
	}
	after, err := readBack(newName)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, k := range after.order {
		now := after.reps[k]
		then, ok := before.reps[k]
		if !ok {
			out = append(out, fmt.Sprintf("%s is new: %s%s, verdict %s", clean(now["rep_id"]), now["decision"], because(now), now["verdict"]))
			continue
		}
		out = append(out, changes(then, now)...)
	}
	for _, k := range before.order {
		if _, ok := after.reps[k]; !ok {
			r := before.reps[k]
			out = append(out, fmt.Sprintf("%s is gone; it was %s%s", clean(r["rep_id"]), r["decision"], because(r)))
		}
	}
	return append(out, settingChanges(before.method, after.method)...), nil
}

func because(r map[string]string) string {
	if r["reason"] == "" {
		return ""
	}
	return " (" + clean(r["reason"]) + ")"
}

// A back is what was read from a file for comparison.
type back struct {
	reps   map[quality.RepKey]map[string]string // cells of reps.csv and metrics.csv by column
	order  []quality.RepKey
	method []Setting
}

func readBack(name string) (b *back, err error) {
	a, _, err := openArchive(name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, a.zip.Close()) }()
	b = &back{reps: map[quality.RepKey]map[string]string{}, method: a.about.Plateside.Method}
	byID := map[string]map[string]string{}
	err = a.eachRow("reps.csv", func(row map[string]string) {
		n, _ := strconv.Atoi(row["rep"])
		k := quality.RepKey{SHA256: row["recording_sha256"], Number: n}
		if _, ok := b.reps[k]; ok {
			return // a copy
		}
		b.reps[k], byID[row["rep_id"]] = row, row
		b.order = append(b.order, k)
	})
	if err != nil {
		return nil, fmt.Errorf("%s: reps.csv: %w", name, err)
	}
	err = a.eachRow("metrics.csv", func(row map[string]string) {
		if r := byID[row["rep_id"]]; r != nil {
			for _, key := range metricKeys() {
				r[key] = row[key]
			}
		}
	})
	if err != nil {
		return nil, fmt.Errorf("%s: metrics.csv: %w", name, err)
	}
	return b, nil
}

// eachRow gives every row but the header to visit, by column.
func (a *archive) eachRow(file string, visit func(map[string]string)) error {
	var header []string
	_, _, err := a.rows(file, func(n int, row []string) {
		if n == 1 {
			header = slices.Clone(row)
			return
		}
		m := map[string]string{}
		for i, c := range row {
			if i < len(header) {
				m[header[i]] = unguarded(c)
			}
		}
		visit(m)
	})
	return err
}

// changes says what is different in one rep.
func changes(then, now map[string]string) []string {
	id := clean(now["rep_id"])
	var out []string
	say := func(format string, args ...any) { out = append(out, id+" "+fmt.Sprintf(format, args...)) }
	if then["rep_id"] != now["rep_id"] {
		say("was called %s", clean(then["rep_id"]))
	}
	switch {
	case then["decision"] != now["decision"]:
		say("is %s%s; it was %s%s", now["decision"], because(now), then["decision"], because(then))
	case then["reason"] != now["reason"]:
		say("is %s for another reason:%s; it was%s", now["decision"], because(now), because(then))
	}
	if then["verdict"] != now["verdict"] {
		say("has the verdict %s; it was %s", now["verdict"], then["verdict"])
	}
	if then["note"] != now["note"] {
		say("has the note %q; it was %q", clean(now["note"]), clean(then["note"]))
	}
	if then["athlete"] != now["athlete"] {
		say("is of %q; it was of %q", clean(now["athlete"]), clean(then["athlete"]))
	}
	if keep := quality.Keep.String(); then["decision"] != keep || now["decision"] != keep {
		return out // only kept reps have metrics
	}
	for _, key := range metricKeys() {
		if then[key] != now[key] {
			say("has %s %s; it was %s", key, orUnknown(now[key]), orUnknown(then[key]))
		}
	}
	return out
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return clean(s)
}

// settingChanges says which settings are different.
func settingChanges(then, now []Setting) []string {
	value := func(list []Setting, key string) string {
		for _, s := range list {
			if s.Key == key {
				return clean(fmt.Sprint(s.Value))
			}
		}
		return "not there"
	}
	var keys, out []string
	for _, s := range append(slices.Clone(then), now...) {
		if !slices.Contains(keys, s.Key) {
			keys = append(keys, s.Key)
		}
	}
	for _, key := range keys {
		if a, b := value(then, key), value(now, key); a != b {
			out = append(out, fmt.Sprintf("the setting %s is %s; it was %s", clean(key), b, a))
		}
	}
	return out
}
