package record_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plateside/curve/record"
)

func touch(t *testing.T, parts ...string) string {
	t.Helper()
	path := filepath.Join(parts...)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func names(sources []record.Source) []string {
	var out []string
	for _, s := range sources {
		out = append(out, s.Name)
	}
	return out
}

func TestFind(t *testing.T) {
	t.Parallel()
	dir, outside := t.TempDir(), t.TempDir()
	for _, name := range []string{
		"trial-10.csv", "trial-2.csv", "Trial-1.TXT", "b/x.tsv", "b/y.c3d.GZ", "b/c/z.dat", "a.asc", "q.csv.gz",
		"notes.md", "plateside.toml", "plateside-ledger.jsonl", "x.gz", ".hidden.csv", ".git/config.csv", "csv", "truth.json",
		"a b/1.csv", "b2/1.csv", "b10/1.csv",
	} {
		touch(t, dir, name)
	}
	foreign := touch(t, outside, "far.csv")
	for link, target := range map[string]string{"out.csv": foreign, "outdir": outside, "in.csv": filepath.Join(dir, "b/x.tsv"), "loop": dir, "dead.csv": "nowhere"} {
		if err := os.Symlink(target, filepath.Join(dir, link)); err != nil {
			t.Skipf("symbolic links cannot be made on this system: %v", err)
		}
	}
	sources, refused, err := record.Find([]string{dir})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"a b/1.csv", "a.asc", "b/c/z.dat", "b/x.tsv", "b/y.c3d.GZ", "b2/1.csv", "b10/1.csv", "q.csv.gz", "Trial-1.TXT",
		"trial-2.csv", "trial-10.csv",
	}
	if got := names(sources); !slices.Equal(got, want) {
		t.Errorf("found %q\nwant  %q", got, want)
	}
	if len(refused) != 1 || refused[0].Recording != "dead.csv" || refused[0].Reason == "" {
		t.Errorf("refused %+v, want the dead link", refused)
	}
	for _, s := range sources {
		if s.Size != 1 || s.ModTime.IsZero() || !strings.HasPrefix(s.Path, dir) {
			t.Errorf("source %+v", s)
		}
	}
}

func TestFindNamedFiles(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	odd, plain := touch(t, dir, "sub/odd.xyz"), touch(t, dir, "sub/x.csv")
	sources, _, err := record.Find([]string{odd, filepath.Join(dir, "sub"), plain})
	if err != nil {
		t.Fatal(err)
	}
	if got := names(sources); !slices.Equal(got, []string{"odd.xyz", "x.csv"}) {
		t.Errorf("found %q", got)
	}
	missing := filepath.Join(dir, "none")
	if _, _, err := record.Find([]string{plain, missing}); err == nil || !strings.Contains(err.Error(), missing) {
		t.Errorf("%v, want an error naming %s", err, missing)
	}
}
