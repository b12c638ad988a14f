package cleaned_test

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"plateside/quality/cleaned"
)

// FuzzVerify puts anything in place of one file of a good package: it may be found wrong, it may not panic.
func FuzzVerify(f *testing.F) {
	q := tiny(f)
	data := q.bytes(f)
	good := entriesOf(f, data)
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(good)), func(s string) bool { return strings.HasSuffix(s, "/") })
	for i, name := range names {
		f.Add(uint8(i), []byte(good[name]))
	}
	f.Add(uint8(0), []byte(`{"resources":[{"name":"reps","path":"reps.csv","schema":{"fields":[{"name":"rep_id","type":"x"}],"primaryKey":["a","b"]}}]}`))
	f.Fuzz(func(t *testing.T, which uint8, content []byte) {
		entries := maps.Clone(good)
		entries[names[int(which)%len(names)]] = string(content)
		path := rezip(t, entries)
		report, err := cleaned.Verify(path)
		if err == nil && report.OK() && !maps.Equal(entries, good) {
			changed := names[int(which)%len(names)]
			if changed != "README.txt" && changed != "datapackage.json" && changed != "schema/force.json" {
				t.Errorf("%s was changed and passes", changed)
			}
		}
		_, _ = cleaned.Diff(path, path)
		_ = os.Remove(path)
	})
}
