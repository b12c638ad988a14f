package c3d

import (
	"encoding/binary"
	"math"
)

// u16 reads an unsigned 16-bit integer.
func (p Processor) u16(b []byte) uint16 {
	if p == MIPS {
		return binary.BigEndian.Uint16(b)
	}
	return binary.LittleEndian.Uint16(b)
}

// i16 reads a signed 16-bit integer.
func (p Processor) i16(b []byte) int16 { return int16(p.u16(b)) }

// f32 reads a 32-bit float. A VAX F float (DEC) has its 16-bit words the other way round and an exponent that is larger
// by 2 for the same value, so it is a quarter of what its swapped bits say; with a zero exponent it is zero.
func (p Processor) f32(b []byte) float64 {
	switch p {
	case MIPS:
		return float64(math.Float32frombits(binary.BigEndian.Uint32(b)))
	case DEC:
		bits := uint32(binary.LittleEndian.Uint16(b))<<16 | uint32(binary.LittleEndian.Uint16(b[2:]))
		return vaxFloat(bits)
	case Intel:
	}
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
}

// vaxFloat returns the value of a VAX F float: sign, 8 bits of exponent with excess 128, 23 bits of fraction after a
// hidden 1 that stands for one half. The exponents 254 and 255 are numbers in this format.
func vaxFloat(bits uint32) float64 {
	exponent := int(bits >> 23 & 0xff)
	if exponent == 0 {
		return 0
	}
	v := math.Ldexp(float64(bits&0x7fffff|0x800000), exponent-128-24)
	if bits>>31 == 1 {
		return -v
	}
	return v
}
