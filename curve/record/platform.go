package record

import (
	"fmt"
	"math"

	"plateside/curve/record/c3d"
)

// A vector has lab coordinates x, y, z.
type vector [3]float64

func (a vector) minus(b vector) vector { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func (a vector) dot(b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a vector) cross(b vector) vector {
	return vector{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func (a vector) unit() vector {
	n := math.Sqrt(a.dot(a))
	if !(n > 0) || math.IsInf(n, 0) {
		return vector{}
	}
	return vector{a[0] / n, a[1] / n, a[2] / n}
}

// An axis is one of the lab's axes: 0, 1 or 2 for x, y, z.
type axis int

func (a axis) vector() vector {
	var v vector
	v[a] = 1
	return v
}

func (a axis) String() string { return "+" + string("XYZ"[a]) }

// A plate is a force platform of a C3D file.
type plate struct {
	number, kind int
	channels     []int // of the file, from 0
	matrix       []float64
	x, y, z      vector // the plate's axes in the lab; zero when its corners are not known
	centre       vector
	size         float64 // length of the side from corner 1 to 2, in the lab's unit of length
	unit         string
	labels       string
}

// platesOf reads the group FORCE_PLATFORM (c3d.org format description, public domain). FORCE_PLATFORM:ZERO is not
// applied: in a jump the athlete often stands on the plates in those frames.
func platesOf(f *c3d.File) ([]plate, error) {
	used, _ := f.Number("FORCE_PLATFORM", "USED")
	types := f.Ints("FORCE_PLATFORM", "TYPE")
	channels, dims := f.Floats("FORCE_PLATFORM", "CHANNEL")
	corners, _ := f.Floats("FORCE_PLATFORM", "CORNERS")
	matrices, matrixDims := f.Floats("FORCE_PLATFORM", "CAL_MATRIX")
	const most = 32
	count := min(int(math.Max(used, 0)), most)
	if count == 0 || len(dims) == 0 {
		return nil, nil
	}
	var out []plate
	for i := range count {
		p := plate{number: i + 1}
		if i < len(types) {
			p.kind = types[i]
		}
		if p.kind < 1 || p.kind > 4 {
			return nil, refuse("export the vertical force as text, or the platform as type 2",
				"force platform %d is of type %d; types 1 to 4 are read", p.number, p.kind)
		}
		for c := range dims[0] {
			if at := i*dims[0] + c; at < len(channels) && c < channelsOf(p.kind) {
				p.channels = append(p.channels, int(math.Max(0, math.Min(channels[at], 1<<15)))-1)
			}
		}
		if err := p.check(f); err != nil {
			return nil, err
		}
		p.place(corners, i)
		if p.kind == 4 {
			if err := p.calibrate(matrices, matrixDims, i); err != nil {
				return nil, err
			}
		}
		p.describe(f)
		out = append(out, p)
	}
	return out, nil
}

func channelsOf(kind int) int {
	if kind == 3 {
		return 8
	}
	return 6
}

// check reports channels that are not there.
func (p *plate) check(f *c3d.File) error {
	if len(p.channels) < channelsOf(p.kind) {
		return refuse("export the recording again", "force platform %d has %d channels, but type %d needs %d", p.number, len(p.channels),
			p.kind, channelsOf(p.kind))
	}
	for _, c := range p.channels {
		if c < 0 || c >= f.Channels {
			return refuse("export the recording again", "force platform %d uses channel %d, but there are %d", p.number, c+1, f.Channels)
		}
	}
	return nil
}

// place finds the plate's axes from its corners: x from corner 2 to 1, y from corner 4 to 1, z = x cross y.
func (p *plate) place(corners []float64, i int) {
	var c [4]vector
	if 12*i+12 > len(corners) {
		return
	}
	for k := range c {
		copy(c[k][:], corners[12*i+3*k:])
		for j := range 3 {
			p.centre[j] += c[k][j] / 4
		}
	}
	side := c[0].minus(c[1])
	p.size = math.Sqrt(side.dot(side))
	p.x, p.y = c[0].minus(c[1]).unit(), c[0].minus(c[3]).unit()
	p.z = p.x.cross(p.y).unit()
}

// calibrate takes the plate's 6 x 6 matrix, stored column by column.
func (p *plate) calibrate(matrices []float64, dims []int, i int) error {
	if len(dims) < 2 || dims[0] != 6 || dims[1] != 6 || 36*i+36 > len(matrices) {
		return refuse("export the recording again", "force platform %d is of type 4 but has no calibration matrix of 6 by 6", p.number)
	}
	p.matrix = matrices[36*i : 36*i+36]
	return nil
}

// describe takes the unit and the labels of the channels of vertical force.
func (p *plate) describe(f *c3d.File) {
	up := p.channels[2:3]
	if p.kind == 3 {
		up = p.channels[4:8]
	}
	p.labels = labelsOf(f, up)
	units := f.Strings("ANALOG", "UNITS")
	if p.kind != 4 && up[0] < len(units) {
		p.unit = units[up[0]]
	}
	if words := f.Strings("FORCE_PLATFORM", "UNITS"); p.kind == 4 && len(words) > 0 {
		p.unit = words[0]
	}
}

// upOf returns the lab's vertical axis: the one that the plates' normals lie along, z when corners are not known.
func upOf(plates []plate) axis {
	up := axis(2)
	for _, p := range plates {
		if p.z == (vector{}) {
			continue
		}
		for a := range 3 {
			if math.Abs(p.z[a]) > math.Abs(p.z[up]) {
				up = axis(a)
			}
		}
		break
	}
	return up
}

// vertical returns the plate's force along the lab's vertical axis. The channels are the reaction on the body in the
// plate's axes, whose z points down on nearly every plate, so that the force upward is -Fz; the corners tell. Whether
// load comes out positive is checked later, against physics.
func (p *plate) vertical(f *c3d.File, up axis) ([]float64, error) {
	level := p.parts(up)
	var out []float64
	add := func(values []float64, factor float64) {
		if out == nil {
			out = make([]float64, len(values))
		}
		for i, v := range values {
			out[i] += v * factor
		}
	}
	for a, factor := range level {
		if factor == 0 {
			continue
		}
		for _, part := range p.force(a) {
			add(f.Analog(p.channels[part.channel]), part.factor*factor)
		}
	}
	if out == nil {
		return nil, fmt.Errorf("force platform %d has no vertical axis", p.number)
	}
	return out, nil
}

// parts returns how much of the plate's x, y and z force is vertical. Plates within 2.5 degrees of level count as level.
func (p *plate) parts(up axis) vector {
	if p.z == (vector{}) {
		return vector{0, 0, -1}
	}
	u := up.vector()
	v := vector{p.x.dot(u), p.y.dot(u), p.z.dot(u)}
	const level = 0.999 // cosine of 2.5 degrees
	if math.Abs(v[2]) > level {
		return vector{0, 0, math.Copysign(1, v[2])}
	}
	return v
}

// A part is one channel's share of a force.
type part struct {
	channel int
	factor  float64
}

// force returns which channels make up the plate's force along its axis a.
func (p *plate) force(a int) []part {
	switch p.kind {
	case 3: // Fx12 Fx34 Fy14 Fy23 Fz1 Fz2 Fz3 Fz4
		switch a {
		case 0:
			return []part{{0, 1}, {1, 1}}
		case 1:
			return []part{{2, 1}, {3, 1}}
		}
		return []part{{4, 1}, {5, 1}, {6, 1}, {7, 1}}
	case 4: // row a of the matrix times the six channels
		var out []part
		for c := range 6 {
			if m := p.matrix[6*c+a]; m != 0 {
				out = append(out, part{c, m})
			}
		}
		return out
	}
	return []part{{a, 1}}
}

// leftOf tells which of two plates is left for an athlete who faces along a positive axis of the lab: above 0 the first,
// below 0 the second, 0 when they do not lie side by side.
func leftOf(first, second plate, up axis) (side int, facing axis) {
	apart := first.centre.minus(second.centre)
	apart[up] = 0
	across := axis((int(up) + 1) % 3)
	if other := axis((int(up) + 2) % 3); math.Abs(apart[other]) > math.Abs(apart[across]) {
		across = other
	}
	if first.z == (vector{}) || second.z == (vector{}) || !(math.Abs(apart[across]) > 0.2*first.size) {
		return 0, 0
	}
	facing = axis(3 - int(up) - int(across))
	left := up.vector().cross(facing.vector())
	if apart.dot(left) > 0 {
		return 1, facing
	}
	return -1, facing
}
