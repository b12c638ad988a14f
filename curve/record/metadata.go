package record

import (
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// An Entry is a note above the numbers: a key and its value.
type Entry struct{ Key, Value string }

// says reports whether the key is one of words, regardless of case and of a unit in brackets.
func (e Entry) says(words ...string) bool { return slices.Contains(words, e.bareKey()) }

func (e Entry) bareKey() string {
	key := strings.ToLower(e.Key)
	if i := strings.IndexAny(key, "([{"); i > 0 {
		key = key[:i]
	}
	return strings.Join(strings.FieldsFunc(key, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), " ")
}

// metadataOf takes lines apart that have the form key, mark, value; the marks are : = tab ; and the comma.
func metadataOf(lines []string) []Entry {
	var out []Entry
	for _, line := range lines {
		line = strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(line), "#%!/ "))
		if len(line) == 0 || len(line) > 400 {
			continue
		}
		if parts := manyNotes(line); parts != nil {
			out = append(out, metadataOf(parts)...)
			continue
		}
		at := strings.IndexAny(line, ":=\t;,")
		if at <= 0 {
			if at = strings.Index(line, "  "); at <= 0 {
				continue
			}
		}
		key := strings.Trim(line[:at], " \"\t:=")
		value := strings.Trim(line[at+1:], " \t;,\":=")
		if key != "" && value != "" && len(key) <= 60 {
			out = append(out, Entry{key, value})
		}
	}
	return out
}

// manyNotes takes a line of several notes apart ("Athlete: Ann; Rate: 1000 Hz"); nil when it is one note.
func manyNotes(line string) []string {
	for _, mark := range []string{";", "|", "\t", ","} {
		parts := strings.Split(line, mark)
		notes := 0
		for _, p := range parts {
			if strings.IndexAny(p, ":=") > 0 && strings.Trim(p[strings.IndexAny(p, ":="):], ":= ") != "" {
				notes++
			}
		}
		if notes > 1 && notes == len(parts) {
			return parts
		}
	}
	return nil
}

// numberIn reads the first number of a value, with a decimal point or comma, and the word after it.
func numberIn(value string) (number float64, word string, ok bool) {
	from := strings.IndexAny(value, "0123456789")
	if from < 0 || from > 12 {
		return 0, "", false
	}
	end := from
	for end < len(value) && strings.IndexByte("0123456789.,eE+-", value[end]) >= 0 {
		if value[end] == '-' || value[end] == '+' {
			if value[end-1] != 'e' && value[end-1] != 'E' {
				return 0, "", false // a date or a span
			}
		}
		end++
	}
	text := strings.TrimRight(value[from:end], ".,eE")
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	number, err := strconv.ParseFloat(text, 64)
	rest := strings.TrimSpace(value[end:])
	if i := strings.IndexAny(rest, " ;,\t"); i > 0 {
		rest = rest[:i]
	}
	return number, rest, err == nil
}

// writtenRate finds the sampling rate among the notes, and says which note it is. A note that names sampling comes
// before one that says rate or frequency alone; other rates and frequencies (of a filter, of force development) are not
// taken.
func writtenRate(notes []Entry) (rateHz float64, where string) {
	const lowest, highest = 10, 1e5 // Hz; anything else is no rate of plates
	for _, of := range []func(key string) bool{namesSampling, namesRateAlone} {
		for _, e := range notes {
			number, word, ok := numberIn(e.Value)
			key := e.bareKey()
			if !ok || number <= 0 || !of(key) {
				continue
			}
			full := strings.ToLower(e.Key + " " + word)
			switch {
			case namesInterval(key):
				number = 1 / secondsOf(number, full)
			case strings.Contains(full, "khz") || number < 10 && hasThousand(e.Value):
				number *= 1000
			}
			if number >= lowest && number <= highest {
				return number, `the line "` + e.Key + `"`
			}
		}
	}
	return 0, ""
}

// namesSampling reports whether a key speaks of the rate or the interval of samples.
func namesSampling(key string) bool {
	for _, stem := range []string{
		"sampl", "abtast", "messrate", "messfrequenz", "messintervall", "aufnahme", "acquisition", "échantillon", "echantillon",
		"muestreo", "campionamento", "bemonster", "amostragem", "próbkowania", "näytteenotto", "mintavétel", "vzorkov", "дискретизации",
	} {
		if strings.Contains(key, stem) {
			return namesInterval(key) || saysAny(" "+key+" ", "rate", "frequency", "freq", "frequenz", "frequenza", "frecuencia",
				"frequência", "frequentie", "fréquence", "hz", "fs", "samplerate", "samplingrate", "samplingfrequency") ||
				strings.HasSuffix(key, "rate") || strings.Contains(key, "freq")
		}
	}
	return false
}

// namesRateAlone reports whether a key is nothing but a word for rate, frequency or interval.
func namesRateAlone(key string) bool {
	return slices.Contains([]string{
		"rate", "rate hz", "frequency", "frequency hz", "freq", "frequenz", "frequenza", "frecuencia", "frequência", "frequentie",
		"fréquence", "hz", "fs", "sps", "data rate", "dt", "delta t", "interval", "time step", "timestep", "time interval", "x interval",
		"force rate", "force plate rate", "plate rate", "analog rate", "analog frequency",
	}, key)
}

// namesInterval reports whether a key speaks of the time between samples.
func namesInterval(key string) bool {
	return key == "dt" || key == "delta t" || strings.Contains(key, "interval") || strings.Contains(key, "period") ||
		strings.Contains(key, "step") || strings.Contains(key, "période") || strings.Contains(key, "abtastzeit")
}

// hasThousand reports whether a value reads like 1,000 or 1.000, which no rate of plates has as decimals.
func hasThousand(value string) bool {
	at := strings.IndexAny(value, ".,")
	return at == 1 && len(value) >= 5 && strings.Trim(value[2:5], "0123456789") == "" &&
		(len(value) == 5 || !isDigit(value[5]))
}

// secondsOf reads a sampling interval; one of at least 0.05 without a unit is in milliseconds.
func secondsOf(number float64, text string) float64 {
	switch {
	case strings.Contains(text, "ms"), strings.Contains(text, "milli"):
		return number / 1000
	case strings.Contains(text, "µs"), strings.Contains(text, "us"), strings.Contains(text, "micro"):
		return number / 1e6
	case number >= 0.05:
		return number / 1000
	}
	return number
}

// saysAny reports whether a key of words between blanks holds one of words.
func saysAny(key string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(key, " "+w+" ") {
			return true
		}
	}
	return false
}

// massOf finds the athlete's mass in kilograms among the notes; 0 when there is none.
func massOf(notes []Entry) float64 {
	for _, e := range notes {
		number, word, ok := numberIn(e.Value)
		key := " " + e.bareKey() + " "
		if !ok || number <= 0 || !saysAny(key, "mass", "bodymass", "weight", "bodyweight", "gewicht", "körpergewicht",
			"körpermasse", "masse", "poids", "peso", "masa", "massa", "gewichtskraft", "lichaamsgewicht", "bw") {
			continue
		}
		full := strings.ToLower(e.Key + " " + word)
		switch {
		case strings.Contains(full, "lb"):
			number *= newtonsPerLbf / newtonsPerKgf
		case strings.Contains(full, "kg"):
		case strings.Contains(full, "(n)"), strings.Contains(full, "[n]"), strings.HasSuffix(full, " n"), number > 250:
			number /= newtonsPerKgf
		}
		if number >= 10 && number <= 250 {
			return number
		}
	}
	return 0
}

// athleteIn finds the athlete's name among the notes.
func athleteIn(notes []Entry) string {
	first, last := "", ""
	for _, e := range notes {
		switch {
		case e.says("athlete", "athlete name", "name", "subject", "subject name", "participant", "player", "athlet", "athletin",
			"sportler", "sportlerin", "proband", "probandin", "person", "nom", "joueur", "sujet", "sportif", "atleta", "jugador",
			"sujeto", "nombre", "nome", "giocatore", "soggetto", "atleet", "naam", "speler", "utøver", "spiller", "zawodnik",
			"idrottare", "urheilija", "athlete id", "subject id", "participant id", "player name", "full name"):
			return e.Value
		case e.says("first name", "firstname", "vorname", "prénom", "given name"):
			first = e.Value
		case e.says("last name", "lastname", "surname", "nachname", "family name", "nom de famille"):
			last = e.Value
		}
	}
	return strings.TrimSpace(first + " " + last)
}

// nameAthlete finds out who jumped: from the settings, the notes in the file, the sub-folder, or the pattern of names.
func (u *Understanding) nameAthlete(o Options) {
	base := baseName(u.Name)
	folder, _, inFolder := strings.Cut(u.Name, "/")
	for _, key := range []string{u.Name, base, path.Dir(u.Name), folder} {
		if athlete := o.Athletes[key]; athlete != "" && (key != folder || inFolder) {
			u.Athlete, u.AthleteFrom = athlete, "plateside.toml"
			return
		}
	}
	if athlete := athleteIn(u.Metadata); athlete != "" {
		u.Athlete, u.AthleteFrom = athlete, "a line in the file"
		return
	}
	if inFolder {
		u.Athlete, u.AthleteFrom = folder, "the sub-folder"
		return
	}
	if athlete := athleteByPattern(base, o.NamePattern); athlete != "" {
		u.Athlete, u.AthleteFrom = athlete, "the file's name"
	}
}

// athleteByPattern reads the athlete out of a file's name by a pattern such as "{athlete}_{rep}" or "*-{athlete}": a word
// in braces stands for any text, * for text that is not looked at. Endings are not part of the name. It is empty when
// the name does not fit.
func athleteByPattern(base, pattern string) string {
	if pattern == "" {
		return ""
	}
	for {
		ending := strings.ToLower(path.Ext(base))
		if ending == "" || ending != ".gz" && !slices.Contains(endings(), ending[1:]) {
			break
		}
		base = base[:len(base)-len(ending)]
	}
	var form strings.Builder
	form.WriteString("(?i)^")
	for pattern != "" {
		open := strings.IndexAny(pattern, "{*")
		if open < 0 {
			open = len(pattern)
		}
		form.WriteString(regexp.QuoteMeta(pattern[:open]))
		pattern = pattern[open:]
		switch {
		case strings.HasPrefix(pattern, "{athlete}"):
			form.WriteString("(?P<athlete>.+?)")
			pattern = pattern[len("{athlete}"):]
		case strings.HasPrefix(pattern, "{") && strings.Contains(pattern, "}"):
			form.WriteString(".+?")
			pattern = pattern[strings.Index(pattern, "}")+1:]
		case pattern != "":
			form.WriteString(".*?")
			pattern = pattern[1:]
		}
	}
	form.WriteString("$")
	expression, err := regexp.Compile(form.String())
	if err != nil || expression.SubexpIndex("athlete") < 0 {
		return ""
	}
	found := expression.FindStringSubmatch(base)
	if found == nil {
		return ""
	}
	return strings.TrimSpace(found[expression.SubexpIndex("athlete")])
}
