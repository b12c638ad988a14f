package record

import "plateside/curve"

// isC3D tells a C3D file by its second byte and by the kind of processor in its parameter section.
func isC3D(data []byte) bool {
	if len(data) < 1024 || data[1] != 0x50 || data[0] < 2 {
		return false
	}
	at := (int(data[0])-1)*512 + 3
	return at < len(data) && data[at] >= 84 && data[at] <= 86
}

func decodeC3D(_ []byte, _ Options, u *Understanding) (*curve.Recording, error) {
	u.Format = "C3D"
	return nil, refuse("", "C3D is not read yet")
}
