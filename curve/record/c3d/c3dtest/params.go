package c3dtest

// Params writes records of a parameter section.
type Params struct {
	e   encoder
	out []byte
}

// Group starts a group.
func (p *Params) Group(id int, name string) {
	p.record(-id, name, []byte{0})
}

// Ints writes 16-bit integers; without dims they are one row.
func (p *Params) Ints(group int, name string, values []int, dims ...int) {
	body := p.head(2, len(values), dims)
	for _, v := range values {
		body = append(body, 0, 0)
		p.e.u16(body[len(body)-2:], uint16(v))
	}
	p.record(group, name, append(body, 0))
}

// Floats writes 32-bit floats.
func (p *Params) Floats(group int, name string, values []float64, dims ...int) {
	body := p.head(4, len(values), dims)
	for _, v := range values {
		body = append(body, 0, 0, 0, 0)
		p.e.f32(body[len(body)-4:], v)
	}
	p.record(group, name, append(body, 0))
}

// Strings writes texts of equal width, filled with blanks.
func (p *Params) Strings(group int, name string, values []string) {
	width := 1
	for _, v := range values {
		width = max(width, len(v))
	}
	body := p.head(-1, 0, []int{width, len(values)})
	for _, v := range values {
		for i := range width {
			c := byte(' ')
			if i < len(v) {
				c = v[i]
			}
			body = append(body, c)
		}
	}
	p.record(group, name, append(body, 0))
}

func (p *Params) head(kind int8, count int, dims []int) []byte {
	if len(dims) == 0 {
		dims = []int{count}
	}
	body := []byte{byte(kind), byte(len(dims))}
	for _, d := range dims {
		body = append(body, byte(d))
	}
	return body
}

func (p *Params) record(id int, name string, body []byte) {
	p.out = append(p.out, byte(len(name)), byte(int8(id)))
	p.out = append(p.out, name...)
	p.out = append(p.out, 0, 0)
	p.e.u16(p.out[len(p.out)-2:], uint16(2+len(body)))
	p.out = append(p.out, body...)
}

// Close ends the section.
func (p *Params) Close() []byte { return append(p.out, 0, 0, 0, 0) }
