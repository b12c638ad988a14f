package record_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/curve/record"
	"plateside/curve/record/c3d/c3dtest"
)

// cornersAt returns the corners of a plate of 400 by 600 mm whose z axis points down, as on nearly every plate: corner 1
// is at +x +y, 2 at -x +y, 3 at -x -y, 4 at +x -y of the plate's own axes, y being turned round.
func cornersAt(x float64) [4][3]float64 {
	return [4][3]float64{{x + 200, -300, 0}, {x - 200, -300, 0}, {x - 200, 300, 0}, {x + 200, 300, 0}}
}

// plateOf makes a platform with a force upward: negative along an axis that points down.
func plateOf(kind int, corners [4][3]float64, label string, upward []int) c3dtest.Plate {
	p := c3dtest.Plate{Type: kind, Corners: corners, Label: label}
	for i, n := range upward {
		p.Fx = append(p.Fx, float64(i%9)-4)
		p.Fy = append(p.Fy, 2)
		p.Fz = append(p.Fz, -newtons(n))
	}
	return p
}

// twoPlates is the rep on two platforms side by side along x, the left foot at smaller x.
func twoPlates(r rep, kind int) c3dtest.Recording {
	return c3dtest.Recording{
		Processor: 84, RateHz: float64(r.rateHz), PerFrame: 10,
		Plates: []c3dtest.Plate{
			plateOf(kind, cornersAt(-250), "FP1.", r.left), plateOf(kind, cornersAt(250), "FP2.", r.right),
		},
	}
}

// within compares a recording with the rep within the step of the format.
func (r rep) within(t *testing.T, rec *curve.Recording, step float64) {
	t.Helper()
	if rec.RateHz != float64(r.rateHz) || !rec.HasSides() || len(rec.Total) != len(r.left) {
		t.Fatalf("rate %v, sides %v, %d samples; want %d, sides, %d", rec.RateHz, rec.HasSides(), len(rec.Total), r.rateHz, len(r.left))
	}
	for i := range r.left {
		if !(math.Abs(rec.Left[i]-newtons(r.left[i])) <= step && math.Abs(rec.Right[i]-newtons(r.right[i])) <= step) {
			t.Fatalf("sample %d: %v and %v, want %v and %v within %v", i, rec.Left[i], rec.Right[i], newtons(r.left[i]),
				newtons(r.right[i]), step)
		}
		if rec.Total[i] != rec.Left[i]+rec.Right[i] {
			t.Fatalf("sample %d: total %v is not the sum", i, rec.Total[i])
		}
	}
}

// All variants of the format hold the same rep, within half a step of integers or the precision of single floats.
func TestC3DVariants(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, processor := range []byte{84, 85, 86} {
		for kind := 1; kind <= 4; kind++ {
			for _, form := range []struct {
				name            string
				float, unsigned bool
			}{{"signed", false, false}, {"unsigned", false, true}, {"float", true, false}, {"float unsigned", true, true}} {
				t.Run(fmt.Sprintf("processor %d type %d %s", processor, kind, form.name), func(t *testing.T) {
					t.Parallel()
					w := twoPlates(r, kind)
					w.Processor, w.Float, w.Unsigned, w.Points = processor, form.float, form.unsigned, 3
					rec, u, err := record.Decode("x", w.Bytes(), record.Options{})
					if err != nil {
						t.Fatal(err)
					}
					// Type 3 rounds four cells, type 4 multiplies one rounded channel by 4 and one by 0.5.
					step := map[int]float64{1: 0.05, 2: 0.05, 3: 0.2, 4: 0.225}[kind] + 1e-4
					if form.float {
						step = 2e-3
					}
					r.within(t, rec, step)
					if !hasRemark(rec, "positions") || !strings.HasPrefix(u.Format, "C3D") {
						t.Errorf("remarks %q, format %q", rec.Remarks, u.Format)
					}
				})
			}
		}
	}
}

// The processors and forms agree with each other to the bit where the same steps are stored.
func TestC3DProcessorsAgree(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	for _, float := range []bool{false, true} {
		var first *curve.Recording
		for _, processor := range []byte{84, 85, 86} {
			w := twoPlates(r, 2)
			w.Processor, w.Float = processor, float
			rec, _ := mustRead(t, w.Bytes(), record.Options{})
			if first == nil {
				first = rec
			}
			for i := range rec.Left {
				if rec.Left[i] != first.Left[i] || rec.Right[i] != first.Right[i] {
					t.Fatalf("float %v, processor %d: sample %d is %v, want %v", float, processor, i, rec.Left[i], first.Left[i])
				}
			}
		}
	}
}

// Text and C3D of the same rep agree within half a step.
func TestTextAndC3DAgree(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	text, _ := mustRead(t, []byte(r.text(form{header: plainHeader})), record.Options{})
	bin, _ := mustRead(t, twoPlates(r, 2).Bytes(), record.Options{})
	for i := range text.Total {
		if math.Abs(text.Left[i]-bin.Left[i]) > 0.0501 || math.Abs(text.Right[i]-bin.Right[i]) > 0.0501 {
			t.Fatalf("sample %d: text %v, C3D %v", i, text.Left[i], bin.Left[i])
		}
	}
}

// Sides come from labels first, then from where the plates lie, and settings override both.
func TestC3DSides(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	turn := func(w c3dtest.Recording, change func(c [4][3]float64) [4][3]float64) c3dtest.Recording {
		for i := range w.Plates {
			w.Plates[i].Corners = change(w.Plates[i].Corners)
		}
		return w
	}
	byLabel := twoPlates(r, 2)
	byLabel.Plates[0], byLabel.Plates[1] = plateOf(2, cornersAt(-250), "Right ", r.right), plateOf(2, cornersAt(250), "Left ", r.left)
	swapped := twoPlates(r, 2)
	swapped.Plates[0], swapped.Plates[1] = swapped.Plates[1], swapped.Plates[0]
	// Turned by a quarter about the vertical: the plates lie along y, the athlete faces +x, left is at larger y.
	alongY := turn(twoPlates(r, 2), func(c [4][3]float64) [4][3]float64 {
		for i, p := range c {
			c[i] = [3]float64{p[1], -p[0], p[2]}
		}
		return c
	})
	// A lab with y up: x to the right as before, z towards where y was, turned round.
	yUp := turn(twoPlates(r, 2), func(c [4][3]float64) [4][3]float64 {
		for i, p := range c {
			c[i] = [3]float64{p[0], p[2], -p[1]}
		}
		return c
	})
	settings := twoPlates(r, 2)
	layouts := []record.Layout{{Header: "c3d | plate 1 type 2 | plate 2 type 2", Columns: []string{"right", "left"}}}
	mirrored := rep{r.rateHz, r.right, r.left}
	for _, c := range []struct {
		name string
		w    c3dtest.Recording
		o    record.Options
		want rep
	}{
		{"labels", byLabel, record.Options{}, r},
		{"order of plates", swapped, record.Options{}, r},
		{"along y", alongY, record.Options{}, r},
		{"settings", settings, record.Options{Layouts: layouts}, mirrored},
		// Facing +z, with y up, has x to the left.
		{"y up", yUp, record.Options{}, mirrored},
	} {
		rec, _, err := record.Decode("x", c.w.Bytes(), c.o)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.want.within(t, rec, 0.0501)
		})
	}
}

// Load comes out positive whichever way a plate's axis points and whichever sign it was written with.
func TestC3DSign(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	negate := func(w c3dtest.Recording) c3dtest.Recording {
		for i := range w.Plates {
			for k := range w.Plates[i].Fz {
				w.Plates[i].Fz[k] = -w.Plates[i].Fz[k]
			}
		}
		return w
	}
	zUp := negate(twoPlates(r, 2))
	for i := range zUp.Plates {
		c := &zUp.Plates[i].Corners
		c[0], c[1], c[2], c[3] = c[3], c[2], c[1], c[0]
	}
	rec, u := mustRead(t, zUp.Bytes(), record.Options{})
	r.within(t, rec, 0.0501)
	if hasRemark(rec, "turned") {
		t.Errorf("geometry tells the sign, yet: %q (%s)", rec.Remarks, u.Sign)
	}
	rec, _ = mustRead(t, negate(twoPlates(r, 2)).Bytes(), record.Options{})
	r.within(t, rec, 0.0501)
	if !hasRemark(rec, "turned") {
		t.Errorf("remarks %q, want one about the sign", rec.Remarks)
	}
}

// The baseline range of the format is not subtracted: the athlete stands on the plates in it.
func TestC3DZeroIsNotApplied(t *testing.T) {
	t.Parallel()
	rec, _ := mustRead(t, twoPlates(newRep(1000), 2).Bytes(), record.Options{})
	if rec.Total[5] < 600 {
		t.Errorf("the standing load is %v", rec.Total[5])
	}
}

func TestC3DOneAndManyPlates(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	one := twoPlates(r, 2)
	one.Plates = one.Plates[:1]
	rec, _ := mustRead(t, one.Bytes(), record.Options{})
	if rec.HasSides() || len(rec.Total) != len(r.left) {
		t.Error("one plate has sides")
	}
	empty := make([]int, len(r.left))
	three := twoPlates(r, 2)
	three.Plates = append(three.Plates, plateOf(2, cornersAt(750), "FP3.", empty))
	rec, u := mustRead(t, three.Bytes(), record.Options{})
	r.within(t, rec, 0.0501)
	if len(u.Columns) != 3 || u.Columns[2].Role != record.Unused {
		t.Errorf("columns %+v", u.Columns)
	}
}

func TestC3DRefusals(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	change := func(f func(w *c3dtest.Recording)) []byte {
		w := twoPlates(r, 2)
		f(&w)
		return w.Bytes()
	}
	good := twoPlates(r, 2).Bytes()
	outOfRange := append([]byte{}, good...)
	// After the name: two bytes of offset, one of type, one of the number of dimensions, two dimensions.
	outOfRange[strings.Index(string(good), "CHANNEL")+len("CHANNEL")+6] = 99
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"type 5", "type 5", change(func(w *c3dtest.Recording) { w.Plates[1].Type = 5 })},
		{"type 21", "type 21", change(func(w *c3dtest.Recording) { w.Plates[0].Type = 21 })},
		{"no corners", "which plate is left", change(func(w *c3dtest.Recording) {
			w.Plates[0].Corners, w.Plates[1].Corners = [4][3]float64{}, [4][3]float64{}
		})},
		{"header alone", "", good[:600]},
		{"no frames", "", good[:2048]},
		{"channel out of range", "uses channel 99", outOfRange},
	} {
		rec, _, err := record.Decode("x", c.data, record.Options{})
		var refusal *record.Refusal
		if rec != nil || !errors.As(err, &refusal) || !strings.Contains(refusal.Reason, c.want) {
			t.Errorf("%s: %v, want a refusal with %q", c.name, err, c.want)
		}
	}
}

// A file cut anywhere gives fewer samples or a refusal, never others; a walk through damaged parameters ends.
func TestC3DCutAndDamaged(t *testing.T) {
	t.Parallel()
	r := newRep(500)
	data := twoPlates(r, 2).Bytes()
	whole, _ := mustRead(t, data, record.Options{})
	for n := 0; n < len(data); n += 61 {
		rec, _, err := record.Decode("x", data[:n], record.Options{})
		if err != nil {
			continue
		}
		for i := range rec.Total {
			if rec.Total[i] != whole.Total[i] || rec.Left[i] != whole.Left[i] {
				t.Fatalf("cut at %d: sample %d is %v, want %v", n, i, rec.Total[i], whole.Total[i])
			}
		}
	}
	for at := 512; at < 2048; at++ {
		for _, value := range []byte{0, 1, 0x7f, 0x80, 0xff} {
			bad := append([]byte{}, data...)
			bad[at] = value
			_, _, _ = record.Decode("x", bad, record.Options{}) // it must only return
		}
	}
}

// A swapped offset to the next record does not lead the walk astray.
func TestC3DSwappedOffset(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	w := twoPlates(r, 2)
	data := w.Bytes()
	at := strings.Index(string(data[512:2048]), "GEN_SCALE") + 512 + len("GEN_SCALE")
	data[at], data[at+1] = data[at+1], data[at]
	rec, _ := mustRead(t, data, record.Options{})
	r.within(t, rec, 0.0501)
}

// Text is no C3D file, whatever letters it starts with.
func TestTextIsNotC3D(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	text := []byte(r.text(form{before: "FP recording\n\n", header: plainHeader}))
	text[('F'-1)*512+3] = 'U'
	rec, u := mustRead(t, text, record.Options{})
	if u.Format != "delimited text" || len(rec.Total) != len(r.left) {
		t.Errorf("format %q, %d samples", u.Format, len(rec.Total))
	}
}

// Channels that no platform describes are read by their labels.
func TestC3DChannelsByLabel(t *testing.T) {
	t.Parallel()
	r := newRep(1000)
	w := twoPlates(r, 2)
	w.Plates[0].Label, w.Plates[1].Label = "Left ", "Right "
	data := w.Bytes()
	at := strings.Index(string(data[:4096]), "FORCE_PLATFORM")
	copy(data[at:], "SOMETHING_ELSE")
	rec, _ := mustRead(t, data, record.Options{})
	r.within(t, rec, 0.0501)
}
