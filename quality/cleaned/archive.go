package cleaned

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"
	"unicode/utf8"

	"plateside/quality/ledger/disk"
)

// Bounds on what is read back. A session of 500 reps of 10 s at 2000 Hz stays far below them.
const (
	mostEntries   = 20000
	mostEntry     = 128 << 20
	mostTogether  = 8 << 30
	mostSmallFile = 64 << 20
)

// An archive is an open package.
type archive struct {
	zip   *zip.ReadCloser
	files map[string]*zip.File
	about descriptor
}

// openArchive opens a package. Problems are entries that have no business in one; the error means that the file is no
// readable zip or has no descriptor.
func openArchive(name string) (*archive, []Problem, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil, &os.PathError{Op: "read", Path: name, Err: disk.ErrNotRegular}
	}
	z, err := zip.OpenReader(name)
	if err != nil {
		return nil, nil, fmt.Errorf("%s is no cleaned session: %w", name, err)
	}
	a := &archive{zip: z, files: map[string]*zip.File{}}
	problems, err := a.index()
	if err == nil {
		err = a.describe()
	}
	if err != nil {
		return nil, problems, errors.Join(fmt.Errorf("%s is no cleaned session: %w", name, err), z.Close())
	}
	return a, problems, nil
}

// index lists the entries and what is wrong with them.
func (a *archive) index() ([]Problem, error) {
	if len(a.zip.File) > mostEntries {
		return nil, fmt.Errorf("it has %d entries, more than %d", len(a.zip.File), mostEntries)
	}
	var problems []Problem
	total := uint64(0)
	seen := map[string]bool{}
	for _, f := range a.zip.File {
		say := func(format string, args ...any) {
			problems = append(problems, Problem{File: clean(f.Name), Text: fmt.Sprintf(format, args...)})
		}
		folder := strings.HasSuffix(f.Name, "/")
		switch {
		case !safePath(strings.TrimSuffix(f.Name, "/")):
			say("the path leads out of the package or holds characters that a path may not")
			continue
		case seen[strings.ToLower(f.Name)]:
			say("the package holds this path twice")
			continue
		case !folder && !f.Mode().IsRegular():
			say("it is not a plain file")
			continue
		case f.UncompressedSize64 > mostEntry:
			return problems, fmt.Errorf("%s is larger than %d bytes", clean(f.Name), mostEntry)
		}
		seen[strings.ToLower(f.Name)] = true
		if total += f.UncompressedSize64; total > mostTogether {
			return problems, fmt.Errorf("its files together are larger than %d bytes", uint64(mostTogether))
		}
		if !folder {
			a.files[f.Name] = f
		}
	}
	return problems, nil
}

// safePath reports whether a path stays below where it is unpacked, on every system.
func safePath(p string) bool {
	if p == "" || !utf8.ValidString(p) || path.Clean(p) != p || path.IsAbs(p) || clean(p) != p || strings.ContainsAny(p, `\:`) {
		return false
	}
	for part := range strings.SplitSeq(p, "/") {
		if part == ".." || strings.HasPrefix(part, ".") {
			return false
		}
	}
	return true
}

// describe reads the descriptor.
func (a *archive) describe() error {
	data, err := a.read("datapackage.json")
	if err != nil {
		return err
	}
	if err := json.Unmarshal(data, &a.about); err != nil {
		return fmt.Errorf("datapackage.json cannot be read: %w", err)
	}
	return nil
}

// read returns a small file.
func (a *archive) read(name string) ([]byte, error) {
	f, ok := a.files[name]
	if !ok {
		return nil, fmt.Errorf("%s is missing", name)
	}
	if f.UncompressedSize64 > mostSmallFile {
		return nil, fmt.Errorf("%s is larger than %d bytes", name, mostSmallFile)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	data, err := io.ReadAll(io.LimitReader(r, mostSmallFile+1))
	if err := errors.Join(err, r.Close()); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", name, err)
	}
	return data, nil
}

// schema returns the schema of a resource, which stands in it or in a file of its own.
func (a *archive) schema(r resource) (*schema, error) {
	data, err := json.Marshal(r.Schema)
	if file, ok := r.Schema.(string); ok {
		data, err = a.read(file)
	}
	if err != nil {
		return nil, err
	}
	var s schema
	if err := json.Unmarshal(data, &s); err != nil {
		return nil, fmt.Errorf("its schema cannot be read: %w", err)
	}
	if len(s.Fields) == 0 {
		return nil, errors.New("it has no schema")
	}
	return &s, nil
}

// rows reads a CSV file and gives each row to visit, the header as row 1. The row is only valid during the call. It
// returns the size and hash of the file.
func (a *archive) rows(name string, visit func(n int, row []string)) (size int64, hash string, err error) {
	f, ok := a.files[name]
	if !ok {
		return 0, "", errors.New("it is missing")
	}
	r, err := f.Open()
	if err != nil {
		return 0, "", err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	m := &measured{w: io.Discard, hash: sha256.New()}
	// One byte more than declared, so that a file that is longer than it says is noticed and not followed.
	all := io.TeeReader(io.LimitReader(r, mostEntry+1), m)
	in := csv.NewReader(all)
	in.FieldsPerRecord, in.ReuseRecord = -1, true
	for n := 1; ; n++ {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			_, drain := io.Copy(io.Discard, all)
			return m.bytes, hex.EncodeToString(m.hash.Sum(nil)), errors.Join(unreadable(err), drain)
		}
		visit(n, row)
	}
	return m.bytes, hex.EncodeToString(m.hash.Sum(nil)), nil
}

// unreadable says in words why a file could not be read to its end.
func unreadable(err error) error {
	var syntax *csv.ParseError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("it is no CSV: %w", err)
	case errors.Is(err, zip.ErrChecksum):
		return errors.New("it is damaged: its bytes are not those that were packed")
	}
	return fmt.Errorf("it cannot be read to its end: %w", err)
}
