package table

import (
	"bytes"
	"unicode/utf16"
	"unicode/utf8"
)

// Text turns the bytes of a file into UTF-8 and names the encoding they were in. A byte order mark decides; without one
// UTF-16 is told by where its zero bytes stand, then UTF-8 by its form; anything else is read as Latin-1 with the
// Windows characters. A character that the end of the file cuts in two is left out. The result shares memory with data
// where nothing had to be changed.
func Text(data []byte) (text []byte, encoding string) {
	switch {
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		return trimPadding(wholeRunes(data[3:])), "UTF-8 with byte order mark"
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return trimPadding(fromUTF16(data[2:], 0)), "UTF-16, little endian, with byte order mark"
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return trimPadding(fromUTF16(data[2:], 1)), "UTF-16, big endian, with byte order mark"
	}
	data = trimNULs(data)
	if low, is := looksUTF16(data); is {
		name := "UTF-16, little endian"
		if low == 1 {
			name = "UTF-16, big endian"
		}
		return trimPadding(fromUTF16(data, low)), name
	}
	data = trimPadding(data)
	if whole := wholeRunes(data); utf8.Valid(whole) {
		return whole, "UTF-8"
	}
	return fromLatin(data), "Latin-1 (Windows-1252)"
}

// trimPadding drops zero bytes and the old end-of-file mark that some programs leave at the end.
func trimPadding(b []byte) []byte { return bytes.TrimRight(b, "\x00\x1a") }

// trimNULs drops padding of three zero bytes and more, which no UTF-16 text ends in.
func trimNULs(b []byte) []byte {
	t := bytes.TrimRight(b, "\x00")
	if len(b)-len(t) < 3 {
		return b
	}
	if len(t)%2 == 1 && len(t) < len(b) {
		t = b[:len(t)+1] // the high byte of a last UTF-16 character
	}
	return t
}

// wholeRunes drops an incomplete character from the end.
func wholeRunes(b []byte) []byte {
	for back := 1; back <= min(utf8.UTFMax-1, len(b)); back++ {
		if c := b[len(b)-back]; utf8.RuneStart(c) {
			if c >= utf8.RuneSelf && !utf8.FullRune(b[len(b)-back:]) {
				return b[:len(b)-back]
			}
			break
		}
	}
	return b
}

// looksUTF16 tells text of two-byte characters by its zero bytes: plain letters and digits have one each, always on the
// same side. low is the place of the low byte in each pair.
func looksUTF16(b []byte) (low int, is bool) {
	head := b[:min(len(b), 4096)&^1]
	if len(head) < 8 {
		return 0, false
	}
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i&1]++
		}
	}
	pairs := len(head) / 2
	switch {
	case zeros[0] == 0 && zeros[1] > pairs/2:
		return 0, true
	case zeros[1] == 0 && zeros[0] > pairs/2:
		return 1, true
	}
	return 0, false
}

// fromUTF16 decodes pairs of bytes whose low byte stands at place low. A last byte without a partner is left out.
func fromUTF16(b []byte, low int) []byte {
	out := make([]byte, 0, len(b)/2+len(b)/16)
	unit := func(i int) rune { return rune(b[i+low]) | rune(b[i+1-low])<<8 }
	for i := 0; i+1 < len(b); i += 2 {
		r := unit(i)
		if utf16.IsSurrogate(r) && i+3 < len(b) {
			if pair := utf16.DecodeRune(r, unit(i+2)); pair != utf8.RuneError {
				r, i = pair, i+2
			}
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

// fromLatin decodes one byte a character: ISO 8859-1, with the printable characters that Windows puts in its control
// range.
func fromLatin(b []byte) []byte {
	windows := []rune("€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ")
	out := make([]byte, 0, len(b)+len(b)/16)
	for _, c := range b {
		r := rune(c)
		if c >= 0x80 && c < 0xa0 {
			r = windows[c-0x80]
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

// isBinary reports whether text holds control characters that no text has.
func isBinary(text []byte) bool {
	odd := 0
	for _, c := range text[:min(len(text), 8192)] {
		if c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x0b {
			odd++
		}
	}
	return odd > 0
}
