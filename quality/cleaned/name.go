package cleaned

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"plateside/quality"
)

// names gives out names once each. With fold set, names that differ only in case count as equal, as they do on some
// disks.
type names struct {
	taken map[string]bool
	fold  bool
}

func newNames(fold bool) *names { return &names{map[string]bool{}, fold} }

// unique returns name + ending, with a number between where that is taken.
func (n *names) unique(name, ending string) string {
	for i := 1; ; i++ {
		try := name + ending
		if i > 1 {
			try = name + "-" + strconv.Itoa(i) + ending
		}
		mark := try
		if n.fold {
			mark = strings.ToLower(try)
		}
		if !n.taken[mark] {
			n.taken[mark] = true
			return try
		}
	}
}

// safeName turns a rep identifier into a file name that every system takes: lower-case ASCII letters, digits, - _ and .
func safeName(id string) string {
	const longest = 80
	var b strings.Builder
	for _, r := range strings.ToLower(id) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '_' || r == '.' {
			b.WriteRune(r)
		} else {
			b.WriteByte('-')
		}
	}
	name := strings.Trim(b.String(), ".-")
	if len(name) > longest {
		name = name[len(name)-longest:]
	}
	stem, _, _ := strings.Cut(name, ".")
	switch {
	case stem == "", slices.Contains([]string{"con", "prn", "aux", "nul"}, stem),
		len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")):
		name = "rep-" + name
	}
	return strings.Trim(name, ".-")
}

// clean makes text of one printable line: control characters, marks that turn the writing direction and bytes that are
// no text become blanks or question marks, so that a file name cannot speak to a terminal.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == utf8.RuneError:
			return '?'
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\uFEFF', r == '\u2028', r == '\u2029':
			return ' '
		}
		return r
	}, s)
}

// pseudonyms replaces athletes' names. The zero pointer replaces nothing.
type pseudonyms struct {
	code  map[string]string
	words []replacement
}

type replacement struct{ from, to string }

// newPseudonyms checks that every athlete has a code. Longer names are replaced before the words they are made of.
func newPseudonyms(s *quality.Session, codes map[string]string) (*pseudonyms, error) {
	if codes == nil {
		return nil, nil //nolint:nilnil // no pseudonyms are wanted
	}
	p := &pseudonyms{code: codes}
	used := map[string]bool{}
	for name, code := range codes {
		if code == "" || used[code] || clean(code) != code {
			return nil, errors.New("two athletes have the same pseudonym, or one has none")
		}
		used[code] = used[code] || name != ""
	}
	for i, r := range s.Reps {
		if r.Athlete != "" && codes[r.Athlete] == "" {
			return nil, fmt.Errorf("the athlete of rep %d of the session has no pseudonym", i+1)
		}
	}
	for name, code := range codes {
		whole := wordsOf(name)
		p.words = append(p.words, replacement{strings.Join(whole, " "), code})
		for _, w := range whole {
			if len([]rune(w)) > 2 && len(whole) > 1 {
				p.words = append(p.words, replacement{w, code})
			}
		}
	}
	slices.SortFunc(p.words, func(a, b replacement) int {
		if d := len(b.from) - len(a.from); d != 0 {
			return d
		}
		return strings.Compare(a.from+a.to, b.from+b.to)
	})
	return p, nil
}

// wordsOf splits a name at everything that is no letter or digit, in lower case.
func wordsOf(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// athlete returns what is written for an athlete.
func (p *pseudonyms) athlete(name string) string {
	if p == nil || name == "" {
		return name
	}
	return p.code[name]
}

// recording returns what is written for a recording's name. Where the athlete is not known, a name could stand in it that
// no code is known for, so the whole name is replaced.
func (p *pseudonyms) recording(name, athlete, sha256 string) string {
	switch {
	case p == nil:
		return name
	case athlete != "":
		return p.in(name)
	}
	return "recording-" + sha256[:min(8, len(sha256))] + path.Ext(strings.TrimSuffix(name, ".gz"))
}

// rep returns what is written for a rep's identifier.
func (p *pseudonyms) rep(id, athlete string, key quality.RepKey) string {
	switch {
	case p == nil:
		return id
	case athlete != "":
		return p.in(id)
	}
	return fmt.Sprintf("%s#%d", p.recording("", "", key.SHA256), key.Number)
}

// in replaces the names inside a text, however their words are joined and written.
func (p *pseudonyms) in(s string) string {
	if p == nil {
		return s
	}
	for _, w := range p.words {
		s = replaceWords(s, w)
	}
	return s
}

// replaceWords replaces each place where the words of a name follow each other with anything but letters and digits
// between them, and no letter on either side.
func replaceWords(s string, w replacement) string {
	words := strings.Fields(w.from)
	if len(words) == 0 {
		return s
	}
	var out strings.Builder
	for rest, before := s, rune(0); rest != ""; {
		if !unicode.IsLetter(before) {
			if n := matchWords(rest, words); n > 0 {
				out.WriteString(w.to)
				before, rest = 0, rest[n:]
				continue
			}
		}
		r, size := utf8.DecodeRuneInString(rest)
		out.WriteString(rest[:size])
		before, rest = r, rest[size:]
	}
	return out.String()
}

// matchWords returns how many bytes at the start of s the words take, 0 when they do not stand there.
func matchWords(s string, words []string) int {
	at := 0
	for i, w := range words {
		if i > 0 {
			for at < len(s) {
				r, size := utf8.DecodeRuneInString(s[at:])
				if unicode.IsLetter(r) || unicode.IsDigit(r) {
					break
				}
				at += size
			}
		}
		n := matchFold(s[at:], w)
		if n == 0 {
			return 0
		}
		at += n
	}
	if r, _ := utf8.DecodeRuneInString(s[at:]); at < len(s) && unicode.IsLetter(r) {
		return 0
	}
	return at
}

// matchFold returns how many bytes at the start of s equal the lower-case word in any case.
func matchFold(s, word string) int {
	at := 0
	for _, want := range word {
		r, size := utf8.DecodeRuneInString(s[at:])
		if size == 0 || unicode.ToLower(r) != want {
			return 0
		}
		at += size
	}
	return at
}
