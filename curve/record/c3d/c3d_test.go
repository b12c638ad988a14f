package c3d_test

import (
	"math"
	"slices"
	"testing"

	"plateside/curve/record/c3d"
	"plateside/curve/record/c3d/c3dtest"
)

func small(processor byte) c3dtest.Recording {
	ramp := make([]float64, 200)
	for i := range ramp {
		ramp[i] = float64(i) - 50
	}
	return c3dtest.Recording{
		Processor: processor, RateHz: 1000, PerFrame: 5, StepN: 0.5, Points: 2,
		Plates: []c3dtest.Plate{{Type: 2, Fx: ramp, Fy: ramp, Fz: ramp, Label: "A "}},
	}
}

// The known bytes of numbers: VAX F floats are those of the VAX architecture's description.
func TestKnownNumbers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		processor byte
		raw       []byte
		want      float64
	}{
		{85, []byte{0x80, 0x40, 0x00, 0x00}, 1},
		{85, []byte{0x80, 0xc0, 0x00, 0x00}, -1},
		{85, []byte{0x00, 0x40, 0x00, 0x00}, 0.5},
		{85, []byte{0xcc, 0x3e, 0xcd, 0xcc}, float64(float32(0.1))},
		{85, []byte{0x00, 0x00, 0x00, 0x00}, 0},
		{85, []byte{0xff, 0x7f, 0xff, 0xff}, math.Ldexp(1-math.Ldexp(1, -24), 127)},
		{84, []byte{0x00, 0x00, 0x80, 0x3f}, 1},
		{86, []byte{0x3f, 0x80, 0x00, 0x00}, 1},
	} {
		w := small(c.processor)
		w.Extra = func(p *c3dtest.Params) {
			p.Group(9, "TEST")
			p.Floats(9, "VALUE", []float64{123})
		}
		data := w.Bytes()
		at := slices.Index(data, 'V')
		for string(data[at:at+5]) != "VALUE" {
			at += 1 + slices.Index(data[at+1:], 'V')
		}
		copy(data[at+5+5:], c.raw) // offset 2, type 1, dimensions 1, one dimension
		f, err := c3d.Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := f.Number("TEST", "VALUE"); !ok || got != c.want {
			t.Errorf("%s %x is %v, want %v", f.Processor, c.raw, got, c.want)
		}
	}
}

func TestParametersAndSamples(t *testing.T) {
	t.Parallel()
	for _, processor := range []byte{84, 85, 86} {
		w := small(processor)
		w.GenScale = 2
		f, err := c3d.Decode(w.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if f.Channels != 6 || f.AnalogPerFrame != 5 || f.Frames != 40 || f.Samples() != 200 || f.AnalogRateHz() != 1000 {
			t.Fatalf("%s: %d channels, %d a frame, %d frames, %v Hz", f.Processor, f.Channels, f.AnalogPerFrame, f.Frames, f.AnalogRateHz())
		}
		if got := f.Strings("ANALOG", "LABELS"); !slices.Equal(got, []string{"A Fx", "A Fy", "A Fz", "A Mx", "A My", "A Mz"}) {
			t.Errorf("labels %q", got)
		}
		if _, dims := f.Floats("FORCE_PLATFORM", "CORNERS"); !slices.Equal(dims, []int{3, 4, 1}) {
			t.Errorf("dimensions %v", dims)
		}
		for i, v := range f.Analog(2) {
			if v != float64(i)-50 {
				t.Fatalf("%s: sample %d is %v, want %d", f.Processor, i, v, i-50)
			}
		}
		if f.Analog(6) != nil || f.Analog(-1) != nil {
			t.Error("a channel that is not there has samples")
		}
	}
}

// More frames than the header's 16 bits can say.
func TestManyFrames(t *testing.T) {
	t.Parallel()
	const frames = 70_000
	long := make([]float64, frames)
	for name, extra := range map[string]func(*c3dtest.Params){
		"TRIAL": func(p *c3dtest.Params) {
			p.Group(5, "TRIAL")
			p.Ints(5, "ACTUAL_START_FIELD", []int{1, 0})
			p.Ints(5, "ACTUAL_END_FIELD", []int{frames & 0xffff, frames >> 16})
		},
		"LONG_FRAMES": func(p *c3dtest.Params) { p.Floats(1, "LONG_FRAMES", []float64{frames}) },
	} {
		w := c3dtest.Recording{
			Processor: 84, RateHz: 1000, PerFrame: 1, Extra: extra,
			Plates: []c3dtest.Plate{{Type: 2, Fx: long, Fy: long, Fz: long}},
		}
		f, err := c3d.Decode(w.Bytes())
		if err != nil || f.Frames != frames {
			t.Errorf("%s: %v, %v", name, f, err)
		}
	}
}

// Cut anywhere, a file has fewer frames or is an error.
func TestCut(t *testing.T) {
	t.Parallel()
	data := small(84).Bytes()
	for n := range data {
		f, err := c3d.Decode(data[:n])
		if err != nil {
			continue
		}
		if f.Frames > 40 || f.Declared != 40 {
			t.Fatalf("cut at %d: %d of %d frames", n, f.Frames, f.Declared)
		}
		for i, v := range f.Analog(2) {
			if v != float64(i)-50 {
				t.Fatalf("cut at %d: sample %d is %v", n, i, v)
			}
		}
	}
}
