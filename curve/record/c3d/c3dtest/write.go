// Package c3dtest writes C3D files for tests, in all variants of the format (c3d.org format description, public domain):
// three processors, integers and floats, signed and unsigned, force platforms of types 1 to 4.
package c3dtest

import (
	"encoding/binary"
	"math"
	"slices"
)

// A Plate is a force platform. Its forces are in newtons in the plate's own axes; the three have equal length.
type Plate struct {
	Type       int
	Corners    [4][3]float64
	Fx, Fy, Fz []float64
	Label      string // before the name of each channel
	Unit       string // N when empty
}

// A Recording is what is written.
type Recording struct {
	// Processor is 84 (Intel), 85 (DEC) or 86 (MIPS).
	Processor byte
	Float     bool
	Unsigned  bool
	RateHz    float64 // of the analog samples
	PerFrame  int     // analog samples in a 3D frame
	Points    int
	Plates    []Plate
	// StepN is the size of one integer step; 0.1 when 0.
	StepN float64
	// GenScale is ANALOG:GEN_SCALE; 1 when 0.
	GenScale float64
	// Extra is called with the writer of parameters before it is closed.
	Extra func(*Params)
}

// Matrix returns the calibration matrix of a plate of type 4, row by row: the first channel counts into the vertical
// force.
func Matrix() [6][6]float64 {
	m := [6][6]float64{}
	for i := range m {
		m[i][i] = float64(i + 2)
	}
	m[2][0] = 0.5
	return m
}

// channels returns a plate's channels, in newtons or in what the matrix multiplies.
func (p Plate) channels() [][]float64 {
	n := len(p.Fz)
	zero := make([]float64, n)
	switch p.Type {
	case 3:
		split := func(v []float64, by float64) []float64 {
			out := make([]float64, n)
			for i := range v {
				out[i] = v[i] * by
			}
			return out
		}
		return [][]float64{
			split(p.Fx, 0.5), split(p.Fx, 0.5), split(p.Fy, 0.5), split(p.Fy, 0.5),
			split(p.Fz, 0.5), split(p.Fz, 0.25), split(p.Fz, 0.125), split(p.Fz, 0.125),
		}
	case 4:
		m := Matrix()
		x, z := make([]float64, n), make([]float64, n)
		for i := range n {
			x[i] = p.Fx[i] / m[0][0]
			z[i] = (p.Fz[i] - m[2][0]*x[i]) / m[2][2]
		}
		return [][]float64{x, zero, z, zero, zero, zero}
	}
	return [][]float64{p.Fx, p.Fy, p.Fz, zero, zero, zero}
}

// Bytes returns the file.
func (r Recording) Bytes() []byte {
	if r.StepN == 0 {
		r.StepN = 0.1
	}
	if r.GenScale == 0 {
		r.GenScale = 1
	}
	var channels [][]float64
	for _, p := range r.Plates {
		channels = append(channels, p.channels()...)
	}
	samples := len(channels[0])
	frames := samples / r.PerFrame
	params := r.parameters(len(channels), frames)
	blocks := (len(params) + 511) / 512
	params[2] = byte(blocks)
	params = append(params, make([]byte, blocks*512-len(params))...)
	head := make([]byte, 512)
	e := encoder{r.Processor}
	head[0], head[1] = 2, 0x50
	e.u16(head[2:], uint16(r.Points))
	e.u16(head[4:], uint16(len(channels)*r.PerFrame))
	e.u16(head[6:], 1)
	e.u16(head[8:], uint16(min(frames, 65535)))
	scale := 0.1
	if r.Float {
		scale = -0.1
	}
	e.f32(head[12:], scale)
	e.u16(head[16:], uint16(2+blocks))
	e.u16(head[18:], uint16(r.PerFrame))
	e.f32(head[20:], r.RateHz/float64(r.PerFrame))
	out := slices.Concat(head, params)
	for f := range frames {
		for range 4 * r.Points {
			out = r.sample(out, 0, 0)
		}
		for s := range r.PerFrame {
			for _, c := range channels {
				out = r.sample(out, c[f*r.PerFrame+s]/(r.step()*r.GenScale), r.offset())
			}
		}
	}
	return append(out, make([]byte, (512-len(out)%512)%512)...)
}

// step returns ANALOG:SCALE as the file holds it, in single precision.
func (r Recording) step() float64 {
	if r.Float {
		return 1
	}
	return float64(float32(r.StepN))
}

func (r Recording) offset() float64 {
	switch {
	case r.Unsigned && !r.Float:
		return 32768
	case r.Float:
		return 0
	}
	return 12
}

// sample appends one value, in steps.
func (r Recording) sample(out []byte, steps, offset float64) []byte {
	e := encoder{r.Processor}
	if r.Float {
		out = append(out, 0, 0, 0, 0)
		e.f32(out[len(out)-4:], steps+offset)
		return out
	}
	v := math.Round(steps) + offset
	out = append(out, 0, 0)
	if r.Unsigned {
		e.u16(out[len(out)-2:], uint16(math.Max(0, math.Min(65535, v))))
	} else {
		e.u16(out[len(out)-2:], uint16(int16(math.Max(-32768, math.Min(32767, v)))))
	}
	return out
}

// parameters returns the parameter section.
func (r Recording) parameters(channels, frames int) []byte {
	p := &Params{e: encoder{r.Processor}, out: []byte{1, 0x50, 0, r.Processor}}
	p.Group(1, "POINT")
	p.Ints(1, "USED", []int{r.Points})
	p.Floats(1, "RATE", []float64{r.RateHz / float64(r.PerFrame)})
	p.Ints(1, "FRAMES", []int{min(frames, 65535)})
	p.Strings(1, "UNITS", []string{"mm"})
	p.Group(2, "ANALOG")
	p.Ints(2, "USED", []int{channels})
	p.Floats(2, "RATE", []float64{r.RateHz})
	p.Floats(2, "GEN_SCALE", []float64{r.GenScale})
	offsets, scales := make([]int, channels), make([]float64, channels)
	for i := range channels {
		offsets[i], scales[i] = int(r.offset()), r.step()
	}
	p.Ints(2, "OFFSET", offsets)
	p.Floats(2, "SCALE", scales)
	if r.Unsigned {
		p.Strings(2, "FORMAT", []string{"UNSIGNED"})
	}
	labels, units := r.names()
	p.Strings(2, "LABELS", labels)
	p.Strings(2, "UNITS", units)
	r.platforms(p)
	if r.Extra != nil {
		r.Extra(p)
	}
	return p.Close()
}

func (r Recording) names() (labels, units []string) {
	for _, p := range r.Plates {
		names := []string{"Fx", "Fy", "Fz", "Mx", "My", "Mz"}
		if p.Type == 3 {
			names = []string{"Fx12", "Fx34", "Fy14", "Fy23", "Fz1", "Fz2", "Fz3", "Fz4"}
		}
		unit := p.Unit
		if unit == "" {
			unit = "N"
		}
		for _, n := range names {
			labels, units = append(labels, p.Label+n), append(units, unit)
		}
	}
	return labels, units
}

func (r Recording) platforms(p *Params) {
	n := len(r.Plates)
	width := 6
	for _, plate := range r.Plates {
		if plate.Type == 3 {
			width = 8
		}
	}
	var types, numbers []int
	var corners, matrices []float64
	next := 1
	for _, plate := range r.Plates {
		types = append(types, plate.Type)
		for i := range width {
			if i < len(plate.channels()) {
				numbers = append(numbers, next)
				next++
			} else {
				numbers = append(numbers, 0)
			}
		}
		for _, c := range plate.Corners {
			corners = append(corners, c[0], c[1], c[2])
		}
		m := Matrix()
		for column := range 6 {
			for row := range 6 {
				matrices = append(matrices, m[row][column])
			}
		}
	}
	p.Group(3, "FORCE_PLATFORM")
	p.Ints(3, "USED", []int{n})
	p.Ints(3, "TYPE", types)
	p.Ints(3, "ZERO", []int{1, 10})
	p.Ints(3, "CHANNEL", numbers, width, n)
	p.Floats(3, "CORNERS", corners, 3, 4, n)
	p.Floats(3, "CAL_MATRIX", matrices, 6, 6, n)
}

// An encoder writes numbers for a processor.
type encoder struct{ processor byte }

func (e encoder) u16(b []byte, v uint16) {
	if e.processor == 86 {
		binary.BigEndian.PutUint16(b, v)
		return
	}
	binary.LittleEndian.PutUint16(b, v)
}

func (e encoder) f32(b []byte, v float64) {
	bits := math.Float32bits(float32(v))
	switch e.processor {
	case 86:
		binary.BigEndian.PutUint32(b, bits)
	case 85:
		if v == 0 {
			bits = 0
		} else {
			bits = math.Float32bits(float32(v) * 4) // the exponent of VAX F is larger by 2
		}
		binary.LittleEndian.PutUint16(b, uint16(bits>>16))
		binary.LittleEndian.PutUint16(b[2:], uint16(bits))
	default:
		binary.LittleEndian.PutUint32(b, bits)
	}
}
