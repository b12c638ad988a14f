package c3d

import "strings"

// A Kind is the type of a parameter's values.
type Kind int8

// The kinds, by their number in the file; the size of a value is the number's size.
const (
	Char  Kind = -1
	Byte  Kind = 1
	Int   Kind = 2
	Float Kind = 4
)

func (k Kind) size() int {
	switch k {
	case Char, Byte:
		return 1
	case Int:
		return 2
	case Float:
		return 4
	}
	return 0
}

// A Parameter is a named array. The first dimension runs fastest.
type Parameter struct {
	Group, Name string
	Type        Kind
	Dims        []int
	raw         []byte
}

// count returns the number of values.
func (p *Parameter) count() int { return len(p.raw) / p.Type.size() }

// A record is a group or a parameter as it lies in the section.
type record struct {
	id     int // negative for a group
	name   string
	offset int // where the offset to the next record stands
	body   []byte
}

// readParameters walks the records of the parameter section. The walk stays inside the section and only goes forward: an
// offset that leads out of it is replaced by the end that the record's own sizes give.
func (f *File) readParameters(data []byte, section int) {
	end := min(len(data), section+int(data[section+2])*blockBytes)
	if data[section+2] == 0 {
		end = min(len(data), section+255*blockBytes)
	}
	groups := map[int]string{}
	owner := map[int]int{} // parameter to group number
	for pos := section + 4; pos+4 <= end; {
		r, ok := f.recordAt(data[:end], pos)
		if !ok {
			break
		}
		size := groupSize(r.body)
		if r.id < 0 {
			groups[-r.id] = strings.ToUpper(strings.TrimSpace(r.name))
		} else {
			var q Parameter
			if q, size, ok = f.parameter(r); ok {
				owner[len(f.params)] = r.id
				f.params = append(f.params, q)
			}
		}
		step := int(f.Processor.i16(data[r.offset:]))
		if step == 0 {
			break
		}
		next := r.offset + step
		if step < 0 || next > end {
			next = r.offset + 2 + size
		}
		if next <= pos {
			break
		}
		pos = next
	}
	for i := range f.params {
		f.params[i].Group = groups[owner[i]]
	}
}

// recordAt reads the head of a record; not ok at the end of the section.
func (f *File) recordAt(section []byte, pos int) (record, bool) {
	length := int(int8(section[pos]))
	if length < 0 {
		length = -length // locked
	}
	id := int(int8(section[pos+1]))
	at := pos + 2 + length
	if length == 0 || id == 0 || at+2 > len(section) {
		return record{}, false
	}
	return record{id: id, name: string(section[pos+2 : at]), offset: at, body: section[at+2:]}, true
}

func groupSize(body []byte) int {
	if len(body) == 0 {
		return 0
	}
	return 1 + int(body[0])
}

// parameter reads the values of a record; size is the length of the body by its own sizes. It is not ok when the values
// are not all there.
func (f *File) parameter(r record) (q Parameter, size int, ok bool) {
	if len(r.body) < 2 {
		return q, 0, false
	}
	q = Parameter{Name: strings.ToUpper(strings.TrimSpace(r.name)), Type: Kind(int8(r.body[0]))}
	dims := int(r.body[1])
	if q.Type.size() == 0 || dims > 7 || 2+dims > len(r.body) {
		return q, 0, false
	}
	n := q.Type.size()
	for _, d := range r.body[2 : 2+dims] {
		q.Dims = append(q.Dims, int(d))
		if n *= int(d); n > len(r.body) {
			return q, 0, false
		}
	}
	end := 2 + dims + n
	if end > len(r.body) {
		return q, 0, false
	}
	q.raw = r.body[2+dims : end]
	size = end + 1
	if end < len(r.body) {
		size += int(r.body[end])
	}
	return q, size, true
}

func (f *File) find(group, name string) *Parameter {
	for i := range f.params {
		if f.params[i].Name == name && f.params[i].Group == group {
			return &f.params[i]
		}
	}
	return nil
}

// Parameters returns all parameters in the order of the file.
func (f *File) Parameters() []Parameter { return f.params }

// number returns value i; a byte or integer may be taken as unsigned.
func (f *File) number(q *Parameter, i int, unsigned bool) float64 {
	if i < 0 || i >= q.count() {
		return 0
	}
	switch q.Type {
	case Float:
		return f.Processor.f32(q.raw[4*i:])
	case Int:
		if unsigned {
			return float64(f.Processor.u16(q.raw[2*i:]))
		}
		return float64(f.Processor.i16(q.raw[2*i:]))
	case Byte:
		if unsigned {
			return float64(q.raw[i])
		}
		return float64(int8(q.raw[i]))
	case Char:
	}
	return 0
}

// Number returns the first value of a parameter.
func (f *File) Number(group, name string) (float64, bool) {
	q := f.find(group, name)
	if q == nil || q.count() == 0 || q.Type == Char {
		return 0, false
	}
	return f.number(q, 0, false), true
}

// Floats returns the values of a parameter and its dimensions; nil when it is not there.
func (f *File) Floats(group, name string) (values []float64, dims []int) {
	return f.floats(group, name, false)
}

func (f *File) floats(group, name string, unsigned bool) (values []float64, dims []int) {
	q := f.find(group, name)
	if q == nil || q.Type == Char {
		return nil, nil
	}
	for i := range q.count() {
		values = append(values, f.number(q, i, unsigned))
	}
	return values, q.Dims
}

// Ints returns the values of a parameter as whole numbers.
func (f *File) Ints(group, name string) []int {
	values, _ := f.Floats(group, name)
	out := make([]int, 0, len(values))
	for _, v := range values {
		if !(v > -1e9 && v < 1e9) {
			v = 0
		}
		out = append(out, int(v))
	}
	return out
}

// Strings returns the texts of a parameter, without the blanks they are filled with. Values that stand in a second
// parameter (NAME2 and on, for more than 255) follow.
func (f *File) Strings(group, name string) []string {
	var out []string
	for _, suffix := range suffixes() {
		q := f.find(group, name+suffix)
		if q == nil || q.Type != Char {
			return out
		}
		width := len(q.raw)
		if len(q.Dims) > 1 {
			width = q.Dims[0]
		}
		if width == 0 {
			continue
		}
		for at := 0; at+width <= len(q.raw); at += width {
			out = append(out, strings.TrimRight(strings.TrimSpace(string(q.raw[at:at+width])), "\x00"))
		}
	}
	return out
}

func suffixes() []string { return []string{"", "2", "3", "4", "5", "6", "7", "8", "9"} }
