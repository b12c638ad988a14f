// Package c3d takes C3D files apart: the header, the parameters and the analog samples. It knows the format alone; what
// the channels mean is for others to say.
//
// The format is that of c3d.org (format description, public domain). All three kinds of processor are read (Intel, DEC,
// MIPS), with samples as 16-bit integers or as 32-bit floats. The 3D points are stepped over.
//
// Nothing in a file is trusted: every size and every offset is held against the bytes that are there, so that a damaged
// file costs no more time or memory than its length.
package c3d

import (
	"bytes"
	"errors"
	"fmt"
	"math"
)

// blockBytes is the size of the blocks that a file is made of.
const blockBytes = 512

// A Processor is the kind of machine whose number formats a file uses.
type Processor byte

// The processors, by their number in the parameter section.
const (
	Intel Processor = 84 // little endian, IEEE floats
	DEC   Processor = 85 // little endian integers, VAX F floats
	MIPS  Processor = 86 // big endian, IEEE floats
)

// String returns the processor's name.
func (p Processor) String() string {
	switch p {
	case Intel:
		return "Intel"
	case DEC:
		return "DEC"
	case MIPS:
		return "MIPS"
	}
	return fmt.Sprintf("processor %d", byte(p))
}

// A File is a C3D file taken apart. It refers to the bytes it was decoded from.
type File struct {
	Processor Processor
	// Float tells that samples are floats, not integers.
	Float bool
	// PointRateHz is the number of 3D frames a second; AnalogPerFrame the number of analog samples of a channel in each.
	PointRateHz    float64
	AnalogPerFrame int
	// Channels is the number of analog channels.
	Channels int
	// Frames is the number of 3D frames that are there; Declared how many the file says there are.
	Frames, Declared int

	params     []Parameter
	data       []byte // the data section
	points     int
	frameBytes int
}

// Is reports whether bytes look like a C3D file: the key in the second byte, zero bytes in the header (which text has
// not), and a processor in the parameter section.
func Is(data []byte) bool {
	if len(data) < 2*blockBytes || data[1] != 0x50 || data[0] < 2 || bytes.IndexByte(data[:blockBytes], 0) < 0 {
		return false
	}
	at := (int(data[0])-1)*blockBytes + 3
	return at < len(data) && data[at] >= byte(Intel) && data[at] <= byte(MIPS)
}

// Decode takes a file apart. Errors are plain sentences about what is wrong with the file.
func Decode(data []byte) (*File, error) {
	if len(data) < 2*blockBytes {
		return nil, errors.New("it is shorter than the two blocks that every C3D file has")
	}
	if !Is(data) {
		return nil, errors.New("it has no parameter section of a known processor")
	}
	f := &File{}
	section := (int(data[0]) - 1) * blockBytes
	f.Processor = Processor(data[section+3])
	f.readParameters(data, section)
	if err := f.readHeader(data, section); err != nil {
		return nil, err
	}
	return f, nil
}

// header offsets, in bytes: word n of the format is at 2(n - 1).
const (
	atPoints         = 2
	atAnalogPerFrame = 4
	atFirstFrame     = 6
	atLastFrame      = 8
	atScale          = 12
	atDataStart      = 16
	atSamples        = 18
	atRate           = 20
)

// readHeader reads the first block and finds the data section.
func (f *File) readHeader(data []byte, section int) error {
	p := f.Processor
	f.points = int(p.u16(data[atPoints:]))
	perFrame := int(p.u16(data[atAnalogPerFrame:]))
	f.AnalogPerFrame = int(p.u16(data[atSamples:]))
	f.PointRateHz = p.f32(data[atRate:])
	f.Float = p.f32(data[atScale:]) < 0
	if rate, ok := f.Number("POINT", "RATE"); ok && rate > 0 && !(f.PointRateHz > 0) {
		f.PointRateHz = rate
	}
	if math.IsNaN(f.PointRateHz) || math.IsInf(f.PointRateHz, 0) || f.PointRateHz < 0 {
		f.PointRateHz = 0
	}
	if f.AnalogPerFrame == 0 && perFrame > 0 {
		f.AnalogPerFrame = 1
	}
	if perFrame == 0 {
		return errors.New("it holds no analog samples")
	}
	if perFrame%f.AnalogPerFrame != 0 {
		return fmt.Errorf("its header has %d analog values a frame, which is not a multiple of %d samples", perFrame, f.AnalogPerFrame)
	}
	f.Channels = perFrame / f.AnalogPerFrame
	start := (int(p.u16(data[atDataStart:])) - 1) * blockBytes
	if start <= section {
		n, _ := f.Number("POINT", "DATA_START")
		start = (int(bounded(n, 1<<16)) - 1) * blockBytes
	}
	if start <= section || start >= len(data) {
		return errors.New("its data section is not inside the file")
	}
	f.data = data[start:]
	f.frameBytes = (4*f.points + perFrame) * f.sampleBytes()
	f.Declared = f.declaredFrames(int(p.u16(data[atLastFrame:])) - int(p.u16(data[atFirstFrame:])) + 1)
	f.Frames = min(f.Declared, len(f.data)/f.frameBytes)
	if f.Frames < 1 {
		return errors.New("it holds no whole frame of data")
	}
	return nil
}

func (f *File) sampleBytes() int {
	if f.Float {
		return 4
	}
	return 2
}

// declaredFrames returns how many frames the file says it has. The header's 16 bits end at 65,535; longer recordings say
// it in the parameters. Where the header and POINT:FRAMES differ, the smaller is safe: what follows may be padding.
func (f *File) declaredFrames(header int) int {
	const most = 1 << 40
	if last := f.Ints("TRIAL", "ACTUAL_END_FIELD"); len(last) == 2 {
		first := f.Ints("TRIAL", "ACTUAL_START_FIELD")
		from := 1
		if len(first) == 2 {
			from = joined(first)
		}
		if n := joined(last) - from + 1; n > header && n > 0 {
			return n
		}
	}
	if n, ok := f.Number("POINT", "LONG_FRAMES"); ok && n > float64(header) {
		return int(bounded(n, most))
	}
	if q := f.find("POINT", "FRAMES"); q != nil {
		switch n := f.number(q, 0, true); {
		case q.Type == Float && n > float64(header):
			return int(bounded(n, most))
		case n >= 1 && (int(n) < header || header < 1):
			return int(n)
		}
	}
	if header < 1 {
		return len(f.data) / f.frameBytes
	}
	return header
}

// joined puts two 16-bit words together, the low one first.
func joined(words []int) int { return words[0]&0xffff | (words[1]&0xffff)<<16 }

func bounded(n, most float64) float64 {
	if !(n > 0) {
		return 0
	}
	return math.Min(n, most)
}
