package record

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A Source is a file that is taken for a recording.
type Source struct {
	// Path is where the file is; Name is what its recording is called, see curve.Recording.
	Path, Name string
	Size       int64
	ModTime    time.Time
}

// endings returns the endings of recordings in folders.
func endings() []string { return []string{"csv", "txt", "tsv", "dat", "asc", "c3d"} }

// Find lists the recordings at paths. Folders are walked with their sub-folders for files whose ending is that of a
// recording; hidden files and folders are passed over, and links that lead out of the folder are not followed. A file
// that is named is always listed. Each path's recordings are in natural order (trial-2 before trial-10), and a file that
// several paths lead to is listed once. What a folder holds but cannot be looked into is a Refusal. A path that does not
// exist is an error.
func Find(paths []string) ([]Source, []Refusal, error) {
	var out []Source
	var refused []Refusal
	seen := map[string]bool{}
	for _, p := range paths {
		w, err := look(p)
		if err != nil {
			return nil, nil, pathError(p, err)
		}
		refused = append(refused, w.refused...)
		for _, f := range w.found {
			if !seen[f.real] {
				seen[f.real] = true
				out = append(out, f.Source)
			}
		}
	}
	return out, refused, nil
}

// look lists a folder, or the file that is named.
func look(p string) (*walker, error) {
	info, err := os.Stat(p)
	if err != nil {
		return nil, err
	}
	real, err := filepath.EvalSymlinks(p)
	if err != nil {
		return nil, err
	}
	if real, err = filepath.Abs(real); err != nil {
		return nil, err
	}
	w := &walker{root: p, real: real}
	if info.IsDir() {
		return w, w.walk()
	}
	w.found = []found{{Source{p, filepath.Base(p), info.Size(), info.ModTime()}, real}}
	return w, nil
}

func pathError(p string, err error) error {
	var where *fs.PathError
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s does not exist", p)
	}
	if errors.As(err, &where) {
		err = where.Err
	}
	return fmt.Errorf("%s: %w", p, err)
}

// A found is a source with the path of the file itself, without links.
type found struct {
	Source

	real string
}

// A walker lists one folder.
type walker struct {
	root, real string
	found      []found
	refused    []Refusal
}

func (w *walker) walk() error {
	if _, err := os.ReadDir(w.root); err != nil {
		return err
	}
	// The real folder is walked: WalkDir does not enter a root that is a link.
	err := filepath.WalkDir(w.real, func(p string, d fs.DirEntry, err error) error {
		rel, relErr := filepath.Rel(w.real, p)
		if relErr != nil || rel == "." {
			return relErr
		}
		if err != nil {
			w.refused = append(w.refused, *asRefusal(filepath.ToSlash(rel), openRefusal(err)))
			return nil
		}
		if strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if !d.IsDir() && hasEnding(d.Name()) {
			w.add(p, rel, d)
		}
		return nil
	})
	slices.SortFunc(w.found, func(a, b found) int { return compareNatural(a.Name, b.Name) })
	return err
}

// add lists a file, or a link to a file inside the folder.
func (w *walker) add(p, rel string, d fs.DirEntry) {
	name, real := filepath.ToSlash(rel), p
	info, err := d.Info()
	if err == nil && d.Type()&fs.ModeSymlink != 0 {
		if real, err = filepath.EvalSymlinks(p); err == nil {
			info, err = os.Stat(p)
		}
	}
	if err != nil {
		w.refused = append(w.refused, *asRefusal(name, openRefusal(err)))
		return
	}
	inside, err := filepath.Rel(w.real, real)
	outside := err != nil || inside == ".." || strings.HasPrefix(inside, ".."+string(filepath.Separator))
	if !outside && !info.IsDir() {
		w.found = append(w.found, found{Source{filepath.Join(w.root, rel), name, info.Size(), info.ModTime()}, real})
	}
}

// hasEnding reports whether a file's name ends like a recording's.
func hasEnding(name string) bool {
	lower := strings.TrimSuffix(strings.ToLower(name), ".gz")
	ending := filepath.Ext(lower)
	return ending != "" && slices.Contains(endings(), ending[1:])
}

// compareNatural orders names as people count: runs of digits by their number, letters regardless of case, a folder's
// files together.
func compareNatural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		if isDigit(x[0]) && isDigit(y[0]) {
			nx, ny := digits(x), digits(y)
			tx, ty := strings.TrimLeft(nx, "0"), strings.TrimLeft(ny, "0")
			if len(tx) != len(ty) {
				return len(tx) - len(ty)
			}
			if c := strings.Compare(tx, ty); c != 0 {
				return c
			}
			x, y = x[len(nx):], y[len(ny):]
			continue
		}
		cx, cy := order(x[0]), order(y[0])
		if cx != cy {
			return int(cx) - int(cy)
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) - len(y)
	}
	return strings.Compare(a, b)
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func digits(s string) string {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return s[:n]
}

// order sorts the slash first, so that a folder's files stay together, and capitals as small letters.
func order(c byte) byte {
	switch {
	case c == '/':
		return 0
	case c >= 'A' && c <= 'Z':
		return c + 'a' - 'A'
	}
	return c
}
