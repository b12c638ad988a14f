package c3d

import (
	"math"
	"strings"
)

// AnalogRateHz returns the number of samples of a channel in a second: frames a second times samples in a frame.
func (f *File) AnalogRateHz() float64 { return f.PointRateHz * float64(f.AnalogPerFrame) }

// Samples returns the number of samples of a channel.
func (f *File) Samples() int { return f.Frames * f.AnalogPerFrame }

// Analog returns the samples of a channel, counted from 0, in the channel's unit:
//
//	(sample - OFFSET) x SCALE x GEN_SCALE
//
// for integers and floats alike. With ANALOG:FORMAT = UNSIGNED samples and offsets are unsigned. A float sample that is
// not finite is NaN. It is nil when there is no such channel.
func (f *File) Analog(channel int) []float64 {
	if channel < 0 || channel >= f.Channels {
		return nil
	}
	offset, scale := f.scaling(channel)
	unsigned := f.unsigned()
	size := f.sampleBytes()
	out := make([]float64, 0, f.Samples())
	for frame := range f.Frames {
		at := frame*f.frameBytes + (4*f.points+channel)*size
		for range f.AnalogPerFrame {
			v := (f.sample(f.data[at:], unsigned) - offset) * scale
			if math.IsInf(v, 0) {
				v = math.NaN()
			}
			out = append(out, v)
			at += f.Channels * size
		}
	}
	return out
}

func (f *File) sample(b []byte, unsigned bool) float64 {
	switch {
	case f.Float:
		return f.Processor.f32(b)
	case unsigned:
		return float64(f.Processor.u16(b))
	}
	return float64(f.Processor.i16(b))
}

func (f *File) unsigned() bool {
	for _, word := range f.Strings("ANALOG", "FORMAT") {
		if strings.EqualFold(word, "UNSIGNED") {
			return true
		}
	}
	return false
}

// scaling returns a channel's offset and the product of its scales. What is not there is 0 and 1.
func (f *File) scaling(channel int) (offset, scale float64) {
	scale = 1
	if v, ok := f.nth("OFFSET", channel); ok {
		offset = v
	}
	if v, ok := f.nth("SCALE", channel); ok {
		scale = v
	}
	if general, ok := f.Number("ANALOG", "GEN_SCALE"); ok && general != 0 {
		scale *= general
	}
	return offset, scale
}

// nth returns value i of an ANALOG parameter that may go on in NAME2, NAME3 and so on.
func (f *File) nth(name string, i int) (float64, bool) {
	for _, suffix := range suffixes() {
		values, _ := f.floats("ANALOG", name+suffix, f.unsigned())
		if values == nil {
			return 0, false
		}
		if i < len(values) {
			return values[i], true
		}
		i -= len(values)
	}
	return 0, false
}
