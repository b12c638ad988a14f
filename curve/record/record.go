package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"sync"

	"plateside/curve"
	"plateside/curve/record/table"
)

// DefaultMaxBytes bounds a file, and what a packed file unpacks to. The largest table that is read (table.DefaultMaxCells)
// has about half of it.
const DefaultMaxBytes = 512 << 20

// Options are what the person has said about the files.
type Options struct {
	// RateHz is the sampling rate of files that carry none, in samples a second; 0 for unknown.
	RateHz float64
	// Layouts are decisions about files with a certain header; the first that fits holds.
	Layouts []Layout
	// Athletes gives the athlete by the recording's name, its base name or its sub-folder.
	Athletes map[string]string
	// NamePattern is how the athlete is found in a file's name, such as "{athlete}_{rep}"; empty for not at all.
	NamePattern string
	// Unloaded says that nobody need stand on the plates: a recording made to look at the plates themselves.
	Unloaded bool
	// MaxBytes bounds a file, unpacked; 0 for DefaultMaxBytes.
	MaxBytes int64
	// Buffers lends memory for reading; nil for fresh memory each time.
	Buffers *Buffers
}

// Buffers lend the memory that files are read into. One may serve many readers at a time.
type Buffers struct{ pool sync.Pool }

func (b *Buffers) take() *bytes.Buffer {
	if b == nil {
		return new(bytes.Buffer)
	}
	if held, ok := b.pool.Get().(*bytes.Buffer); ok {
		held.Reset()
		return held
	}
	return new(bytes.Buffer)
}

func (b *Buffers) give(used *bytes.Buffer) {
	const keep = 16 << 20 // bytes; larger ones are rare and would stay for good
	if b != nil && used.Cap() <= keep {
		b.pool.Put(used)
	}
}

// Read reads the file at path. name is what the recording is called, see curve.Recording. The error is a *Refusal.
func Read(path, name string, o Options) (*curve.Recording, error) {
	rec, _, err := readFile(path, name, o)
	return rec, err
}

// Inspect tells how the file at path is understood. A file that is refused is told as far as it was understood,
// together with the *Refusal; the Understanding is nil when the file could not be opened.
func Inspect(path, name string, o Options) (*Understanding, error) {
	_, u, err := readFile(path, name, o)
	return u, err
}

// Decode reads a recording from the bytes of a file, packed or not. Nothing in the result shares memory with data. The
// error is a *Refusal; the Understanding then tells how far it came.
func Decode(name string, data []byte, o Options) (*curve.Recording, *Understanding, error) {
	u := &Understanding{Name: name, Bytes: int64(len(data))}
	sum := sha256.Sum256(data)
	if isGzip(data) {
		u.Packed = true
		buffer := o.Buffers.take()
		defer o.Buffers.give(buffer)
		if err := unpack(data, buffer, o.maxBytes()); err != nil {
			return nil, u, asRefusal(name, err)
		}
		data = buffer.Bytes()
	}
	rec, err := decode(data, o, u)
	if err != nil {
		return nil, u, asRefusal(name, err)
	}
	rec.Name, rec.SHA256 = name, hex.EncodeToString(sum[:])
	rec.Athlete = u.Athlete
	u.Remarks, u.RateHz, u.StartS = rec.Remarks, rec.RateHz, rec.StartS
	return rec, u, nil
}

func (o Options) maxBytes() int64 {
	if o.MaxBytes > 0 {
		return o.MaxBytes
	}
	return DefaultMaxBytes
}

// decode chooses the format by content.
func decode(data []byte, o Options, u *Understanding) (*curve.Recording, error) {
	if isC3D(data) {
		return decodeC3D(data, o, u)
	}
	if what := otherFormat(data); what != "" {
		return nil, refuse("export the recording as delimited text or C3D", "it is %s, not a recording as text or C3D", what)
	}
	return decodeText(data, o, u)
}

// otherFormat names well-known formats that people pick by mistake; empty when the bytes are none of them.
func otherFormat(data []byte) string {
	for _, known := range []struct{ magic, name string }{
		{"PK\x03\x04", "a zip archive or a spreadsheet"},
		{"\xd0\xcf\x11\xe0", "an old office document"},
		{"%PDF", "a PDF document"},
		{"\x89PNG", "a picture"},
		{"\xff\xd8\xff", "a picture"},
		{"7z\xbc\xaf", "an archive"},
		{"BZh", "an archive"},
		{"\xfd7zXZ", "an archive"},
		{"\x28\xb5\x2f\xfd", "an archive"},
		{"MATLAB 5.0", "a MAT file"},
		{"\x89HDF", "an HDF5 file"},
		{"SQLite format 3", "a database"},
		{"PAR1", "a Parquet file"},
		{"\x7fELF", "a program"},
	} {
		if bytes.HasPrefix(data, []byte(known.magic)) {
			return known.name
		}
	}
	return ""
}

// decodeText reads delimited text.
func decodeText(data []byte, o Options, u *Understanding) (*curve.Recording, error) {
	u.Format = "delimited text"
	text, encoding := table.Text(data)
	u.Encoding = encoding
	layout := o.layoutForText(u.Name, text)
	t, err := table.Decode(text, layout.tableOptions())
	if err != nil {
		u.Metadata = metadataOf(table.Lines(text, 40))
		return nil, err
	}
	u.addTable(t)
	u.Layout, u.FromSettings = *layout, layout.isSet()
	u.Metadata = metadataOf(t.Before)
	u.nameAthlete(o)
	if t.SecondBlock > 0 {
		return nil, refuse("keep one recording in a file", "a second block of numbers starts at line %d", t.SecondBlock)
	}
	if strings.TrimSpace(u.Layout.Header) == "" && t.HeaderLine == "" {
		u.Layout.Files = baseName(u.Name)
	}
	return translate(t, o, u)
}
