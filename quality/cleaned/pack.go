package cleaned

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math"
	"strconv"
	"time"

	"plateside/curve"
	"plateside/quality"
)

// A packed is a file that was put into the package.
type packed struct {
	path   string
	bytes  int64
	sha256 string
}

// A packer puts files into a zip and remembers their size and hash. After an error it does nothing more; close returns
// it.
type packer struct {
	zip    *zip.Writer
	packed []packed
	err    error
}

func newPacker(w io.Writer) *packer { return &packer{zip: zip.NewWriter(w)} }

func (p *packer) close() error {
	if p.err != nil {
		return p.err
	}
	return p.zip.Close()
}

// entry begins an entry. The time is always the first that a zip can hold, so that equal input gives equal bytes.
func (p *packer) entry(name string, method uint16, folder bool) io.Writer {
	h := &zip.FileHeader{Name: name, Method: method, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)}
	h.SetMode(0o600)
	if folder {
		h.SetMode(0o700 | fs.ModeDir)
	}
	w, err := p.zip.CreateHeader(h)
	p.err = err
	return w
}

// folder adds an entry for a folder: some readers do not find the files in it otherwise.
func (p *packer) folder(name string) {
	if p.err == nil {
		p.entry(name, zip.Store, true)
	}
}

// file adds a file of the given bytes.
func (p *packer) file(name string, data []byte) {
	p.stream(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// stream adds a file that write writes.
func (p *packer) stream(name string, write func(io.Writer) error) {
	if p.err != nil {
		return
	}
	w := p.entry(name, zip.Deflate, false)
	if p.err != nil {
		return
	}
	m := &measured{w: w, hash: sha256.New()}
	if p.err = write(m); p.err != nil {
		return
	}
	p.packed = append(p.packed, packed{name, m.bytes, hex.EncodeToString(m.hash.Sum(nil))})
}

// table adds a table as CSV (RFC 4180: commas, lines that end in CR LF, no byte order mark).
func (p *packer) table(t table) {
	p.stream(t.name+".csv", func(w io.Writer) error {
		out := csv.NewWriter(w)
		out.UseCRLF = true
		record := make([]string, len(t.columns))
		for i, c := range t.columns {
			record[i] = c.name
		}
		if err := out.Write(record); err != nil {
			return err
		}
		for _, row := range t.rows {
			for i, c := range row {
				record[i] = c.text
				if t.columns[i].kind == kindString {
					record[i] = guarded(c.text)
				}
			}
			if err := out.Write(record); err != nil {
				return err
			}
		}
		out.Flush()
		return out.Error()
	})
}

// measured counts and hashes what passes through.
type measured struct {
	w     io.Writer
	bytes int64
	hash  hash.Hash
}

func (m *measured) Write(b []byte) (int, error) {
	n, err := m.w.Write(b)
	m.bytes += int64(n)
	m.hash.Write(b[:n])
	return n, err
}

// packForce adds the samples of every kept rep. Reps of one recording follow each other, so one recording is held at a
// time.
func (b *book) packForce(p *packer) error {
	var rec *curve.Recording
	for _, e := range b.kept() {
		if p.err != nil {
			return p.err
		}
		if rec == nil || rec.SHA256 != e.rep.SHA256 {
			var err error
			if rec, err = b.load(e.rep); err != nil {
				return err
			}
		}
		c := e.rep.Curve
		if c.From < 0 || c.To > len(rec.Total) || c.From >= c.To {
			return fmt.Errorf("%s: samples %d to %d are not in the recording", e.rep.Recording, c.From, c.To)
		}
		p.stream(e.force, func(w io.Writer) error { return writeForce(w, rec, c.From, c.To) })
	}
	return p.err
}

// load reads a recording again and makes sure that it is the one that was judged.
func (b *book) load(r *quality.Rep) (*curve.Recording, error) {
	rec, err := b.options.Force(r)
	if err != nil {
		return nil, fmt.Errorf("%s: the samples of a kept rep cannot be read: %w", r.Recording, err)
	}
	if rec.SHA256 != r.SHA256 {
		return nil, fmt.Errorf("%s was changed since it was judged: read the session again", r.Recording)
	}
	return rec, nil
}

// writeForce writes samples from to to-1. Forces have the fewest digits that give the recording's numbers back; the
// total is rounded to a millionth of a newton where it is a sum.
func writeForce(w io.Writer, rec *curve.Recording, from, to int) error {
	line := []byte("time_s,left_n,right_n,total_n\r\n")
	for i := from; ; i++ {
		if len(line) > 1<<15 || i == to {
			if _, err := w.Write(line); err != nil || i == to {
				return err
			}
			line = line[:0]
		}
		line = append(line, short(rec.TimeS(float64(i)), 9).text...)
		if rec.HasSides() {
			line = appendForce(append(line, ','), rec.Left[i])
			line = appendForce(append(line, ','), rec.Right[i])
			line = append(append(line, ','), short(rec.Total[i], 6).text...)
		} else {
			line = appendForce(append(line, ",,,"...), rec.Total[i])
		}
		line = append(line, "\r\n"...)
	}
}

func appendForce(line []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return line
	}
	return strconv.AppendFloat(line, v, 'f', -1, 64)
}

// asJSON is indented JSON with a line feed at the end. What it is given always marshals.
func asJSON(v any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		panic("cleaned: " + err.Error())
	}
	return b.Bytes()
}
