package watch

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io"
	"os"

	"plateside/curve/record"
	"plateside/curve/record/c3d"
)

const (
	// headBytes is read first; a C3D file's header and parameters are in it, but for the oddest.
	headBytes = 256 << 10
	// tailBytes is how much of the end is searched for zeros.
	tailBytes = 4096
	// zeroRun is how many zero bytes in a row no text has. UTF-16 has two, in the worst case.
	zeroRun = 3
	// fewLines is less than a recording has: a heading that is written before the jump and the rows after it.
	fewLines = 10
)

// errMoving says that a file changed while it was read.
var errMoving = errors.New("it changed while it was read")

// A finding is what a file's bytes tell.
type finding struct {
	sum   string // their hash; empty when not all were read
	zeros bool   // a text whose end is zeros, as of a copy that reserved the size first
	doubt string // a sign of more to come, as a sentence; empty when there is none
	wait  int    // how many times the patience must pass without change before the file is taken all the same
}

// inspect reads a file. A text that ends in zeros is read only when that is allowed. The buffer takes headBytes.
func inspect(path string, info os.FileInfo, buffer []byte, zerosAllowed bool) (finding, error) {
	file, err := os.Open(path)
	if err != nil {
		return finding{}, err
	}
	defer file.Close() //nolint:errcheck // nothing was written
	size := info.Size()
	tail := buffer[:min(size, tailBytes)]
	if _, err := file.ReadAt(tail, size-int64(len(tail))); err != nil {
		return finding{}, moving(err)
	}
	zeros := len(tail) - len(bytes.TrimRight(tail, "\x00"))
	n, err := io.ReadFull(file, buffer[:min(size, headBytes)])
	if err != nil {
		return finding{}, moving(err)
	}
	head := buffer[:n]
	isC3D, packed := c3d.Is(head), bytes.HasPrefix(head, []byte{0x1f, 0x8b})
	found := finding{}
	switch {
	case isC3D:
		found = inspectC3D(head, size, zeros)
	case zeros >= zeroRun && !zerosAllowed:
		return finding{zeros: true, doubt: "its end is not written yet", wait: stall}, nil
	}
	t := &text{}
	sum := sha256.New()
	sink := io.MultiWriter(sum, t)
	_, _ = sink.Write(head) // neither can fail
	more, err := io.CopyBuffer(struct{ io.Writer }{sink}, io.LimitReader(file, size), buffer)
	if err != nil {
		return finding{}, err
	}
	after, err := os.Stat(path)
	if err != nil || int64(n)+more != size || after.Size() != size || !after.ModTime().Equal(info.ModTime()) {
		return finding{}, errMoving
	}
	switch {
	case packed:
		found = inspectPacked(file, buffer)
	case !isC3D:
		found = t.finding()
		found.zeros = zeros >= zeroRun
	}
	found.sum = hex.EncodeToString(sum.Sum(nil))
	return found, nil
}

// moving takes a file that is shorter than it was for one that changes.
func moving(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errMoving
	}
	return err
}

// inspectC3D compares a C3D file's size with what its header says. Zeros at the end of the data are no proof of anything:
// the size may be reserved, the plates may be empty.
func inspectC3D(head []byte, size int64, zeros int) finding {
	want, frame := c3dBytes(head)
	switch {
	case want == 0:
		return finding{doubt: "its header is not whole", wait: 1}
	case size < want:
		return finding{doubt: "it is shorter than its header says", wait: 1}
	case int64(zeros)-(size-want) >= min(frame, tailBytes-(size-want)):
		return finding{doubt: "its end may not be written yet", wait: pause}
	}
	return finding{}
}

// c3dBytes returns how long a C3D file is by its header, and a frame of it; 0 when the head does not tell. The header's
// words are 16 bits in the order of the processor.
func c3dBytes(head []byte) (want, frame int64) {
	f, err := c3d.Decode(head)
	if err != nil {
		return 0, 0
	}
	order := binary.ByteOrder(binary.LittleEndian)
	if f.Processor == c3d.MIPS {
		order = binary.BigEndian
	}
	sample := int64(2)
	if f.Float {
		sample = 4
	}
	points, start := int64(order.Uint16(head[2:])), int64(order.Uint16(head[16:]))
	if start < 2 { // it is in the parameters; such files wait
		return 0, 0
	}
	frame = (4*points + int64(f.Channels*f.AnalogPerFrame)) * sample
	return (start-1)*512 + int64(f.Declared)*frame, frame
}

// inspectPacked unpacks a file to nowhere: a stream that is cut short does not end as it should.
func inspectPacked(file io.ReadSeeker, buffer []byte) finding {
	cut := finding{doubt: "its gzip packing is not whole", wait: 1}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return cut
	}
	unpacked, err := gzip.NewReader(file)
	if err != nil {
		return cut
	}
	bounded := io.LimitReader(unpacked, record.DefaultMaxBytes) // more is not read anyway
	if _, err := io.CopyBuffer(struct{ io.Writer }{io.Discard}, bounded, buffer); err != nil {
		return cut
	}
	return finding{}
}

// A text is written to with the bytes of a file and keeps what tells whether it is whole.
type text struct {
	lines int
	run   int // zeros up to here
	hole  bool
	end   [2]byte
}

// Write takes the next bytes. It does not fail.
func (t *text) Write(p []byte) (int, error) {
	t.lines += max(bytes.Count(p, []byte{'\n'}), bytes.Count(p, []byte{'\r'}))
	for rest := p; !t.hole && len(rest) > 0; {
		if t.run == 0 {
			next := bytes.IndexByte(rest, 0)
			if next < 0 {
				break
			}
			rest = rest[next:]
		}
		left := bytes.TrimLeft(rest, "\x00")
		t.run += len(rest) - len(left)
		t.hole = t.run >= zeroRun
		if len(left) > 0 {
			t.run = 0
		}
		rest = left
	}
	for _, b := range p[max(0, len(p)-2):] {
		t.end = [2]byte{t.end[1], b}
	}
	return len(p), nil
}

// finding tells what the text lacks. The last byte of a whole text ends a line, or is the zero of UTF-16 after it.
func (t *text) finding() finding {
	last := t.end[1]
	if last == 0 {
		last = t.end[0]
	}
	switch {
	case t.hole:
		return finding{doubt: "parts of it are not written yet", wait: stall}
	case last != '\n' && last != '\r':
		return finding{doubt: "its last line is not complete", wait: 1}
	case t.lines < fewLines:
		return finding{doubt: "it has few lines so far", wait: 1}
	}
	return finding{}
}
