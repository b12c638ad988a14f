package record

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"

	"plateside/curve"
	"plateside/curve/record/table"
)

// headBytes is how much of a file is looked at before all of it is read.
const headBytes = 1 << 20

// readFile reads the file at path, bounded, into a lent buffer and decodes it.
func readFile(filePath, name string, o Options) (*curve.Recording, *Understanding, error) {
	buffer := o.Buffers.take()
	defer o.Buffers.give(buffer)
	if err := load(filePath, buffer, o.maxBytes()); err != nil {
		return nil, nil, asRefusal(name, err)
	}
	return Decode(name, buffer.Bytes(), o)
}

// load reads an ordinary file. A file that cannot be a recording by its head is not read further.
func load(filePath string, buffer *bytes.Buffer, most int64) error {
	info, err := os.Stat(filePath) // before opening: a pipe would wait for a writer
	if err != nil {
		return openRefusal(err)
	}
	if !info.Mode().IsRegular() {
		return refuse("", "it is not an ordinary file")
	}
	if info.Size() > most {
		return refuse("split the file, or export less of it", "it has %d MB, more than the %d MB that are read",
			info.Size()>>20, most>>20)
	}
	file, err := os.Open(filePath)
	if err != nil {
		return openRefusal(err)
	}
	defer file.Close() //nolint:errcheck // nothing was written
	buffer.Grow(int(min(info.Size(), headBytes)) + bytes.MinRead)
	if _, err := io.CopyN(buffer, file, headBytes); err != nil && !errors.Is(err, io.EOF) {
		return openRefusal(err)
	}
	if buffer.Len() < headBytes {
		return nil
	}
	if err := checkHead(buffer.Bytes()); err != nil {
		return err
	}
	buffer.Grow(int(info.Size()) - buffer.Len() + bytes.MinRead)
	if _, err := io.Copy(buffer, io.LimitReader(file, most)); err != nil {
		return openRefusal(err)
	}
	if int64(buffer.Len()) > most {
		return refuse("copy the file when nothing writes to it", "it grew beyond %d MB while it was read", most>>20)
	}
	return nil
}

func openRefusal(err error) *Refusal {
	r := &Refusal{Reason: "it could not be read", Err: err}
	var where *fs.PathError
	if errors.As(err, &where) {
		r.Reason = "it could not be read: " + where.Err.Error()
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		r.Reason, r.Hint = "it is not there", "was it moved or renamed?"
	case errors.Is(err, fs.ErrPermission):
		r.Reason, r.Hint = "it may not be read", "check the file's permissions"
	}
	return r
}

// checkHead refuses a large text early, by its first megabyte.
func checkHead(head []byte) error {
	if isGzip(head) || isC3D(head) || otherFormat(head) != "" {
		return nil
	}
	text, _ := table.Text(head)
	return table.Plausible(text)
}

func isGzip(data []byte) bool { return bytes.HasPrefix(data, []byte{0x1f, 0x8b, 8}) }

// unpack undoes gzip. A stream that is cut short or damaged is refused: what came out of it cannot be trusted.
func unpack(data []byte, out *bytes.Buffer, most int64) error {
	packed, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return unpackRefusal(err)
	}
	if _, err := io.CopyN(out, packed, headBytes); err != nil && !errors.Is(err, io.EOF) {
		return unpackRefusal(err)
	}
	if out.Len() == headBytes {
		if err := checkHead(out.Bytes()); err != nil {
			return err
		}
		if _, err := io.Copy(out, io.LimitReader(packed, most-headBytes+1)); err != nil {
			return unpackRefusal(err)
		}
	}
	if int64(out.Len()) > most {
		return refuse("split the file, or export less of it", "it unpacks to more than the %d MB that are read", most>>20)
	}
	return nil
}

func unpackRefusal(err error) *Refusal {
	return &Refusal{Reason: "its gzip packing is damaged or cut short", Hint: "copy or export the file again", Err: err}
}

// baseName is the last part of a recording's name.
func baseName(name string) string { return path.Base(name) }
