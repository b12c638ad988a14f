package table

import (
	"slices"
	"strings"
)

// A header is what the lines right above a block say about its columns.
type header struct {
	names, units []string
	line         string
	before       []string
	// padded tells that the header has fewer names than the rows have cells; the missing names are empty.
	padded bool
}

// headerOf looks for a line of names, and perhaps one of units below it and one of groups above it, at the end of the
// lines above a block.
func headerOf(above []string, d Dialect, e edges) header {
	h := header{before: above}
	for len(h.before) > 0 && strings.TrimSpace(h.before[len(h.before)-1]) == "" {
		h.before = h.before[:len(h.before)-1]
	}
	if len(h.before) == 0 {
		return h
	}
	rest := h.before
	var last string
	var cells []string
	padded := false
	for passed := 0; cells == nil; passed++ {
		if len(rest) == 0 || passed > 0 && !isRule(last) || passed > maxRules {
			return h
		}
		last, rest = rest[len(rest)-1], rest[:len(rest)-1]
		cells, padded = headerCells(last, d, e)
	}
	if allUnits(cells) && len(rest) > 0 {
		if names, _ := headerCells(rest[len(rest)-1], d, e); names != nil {
			h.units = cells
			cells, last, rest = names, rest[len(rest)-1], rest[:len(rest)-1]
		}
	}
	h.line, h.before, h.padded = last, rest, padded
	h.names, h.units = namesAndUnits(cells, h.units)
	if len(rest) > 0 {
		h.addGroups(rest[len(rest)-1], d)
	}
	return h
}

// maxRules is how many lines may stand between the names and the rows.
const maxRules = 4

// isRule reports whether a line that is no header may stand between the header and the rows: a comment, an empty line, a
// line of dashes.
func isRule(line string) bool {
	return isComment([]byte(line)) || strings.Trim(line, "-=_+|:;, \t") == ""
}

// edges tell what the first and the last column are, for a header that has one name less than the rows have cells.
type edges struct {
	firstCounts bool // the first column counts rows, as the row names of some programs do
	lastEmpty   bool // the last column is empty: rows end with a delimiter
}

// edgesOf looks at the first rows of a block.
func edgesOf(text []byte, d Dialect) edges {
	r := newReader(d)
	e := edges{firstCounts: d.Width > 1, lastEmpty: d.Width > 1}
	previous, rows := 0.0, 0
	for pos := 0; pos < len(text) && rows < MinRows; {
		line, next, _ := nextLine(text, pos)
		pos = next
		if isComment(line) || r.line(line) != rowLine || len(r.row) != d.Width {
			continue
		}
		e.firstCounts = e.firstCounts && (rows == 0 || r.row[0] == previous+1)
		e.lastEmpty = e.lastEmpty && r.kinds[d.Width-1] == missing
		previous = r.row[0]
		rows++
	}
	return e
}

// headerCells splits a line into as many cells as a row has, in the rows' own way or another; nil when it cannot be
// done, or when the cells are numbers.
func headerCells(line string, d Dialect, e edges) (cells []string, padded bool) {
	line = strings.TrimSpace(strings.TrimLeft(line, "#%!/"))
	for _, way := range headerSplits(line, d) {
		for len(way) > d.Width && way[len(way)-1] == "" {
			way = way[:len(way)-1]
		}
		switch {
		case len(way) != d.Width-1 || d.Width < 2:
		case e.lastEmpty:
			way, padded = append(slices.Clone(way), ""), true
		case e.firstCounts:
			way, padded = append([]string{""}, way...), true
		}
		if len(way) == d.Width && wordy(way, d) {
			return way, padded
		}
		padded = false
	}
	return nil, false
}

// headerSplits returns the ways to split a header line, the rows' own first.
func headerSplits(line string, d Dialect) [][]string {
	if d.Delimiter == Single {
		return [][]string{{strings.Trim(line, `"`)}}
	}
	ways := [][]string{Cells(line, d.Delimiter)}
	if d.Delimiter == Blanks {
		wide := strings.FieldsFunc(strings.ReplaceAll(line, "  ", "\t"), func(r rune) bool { return r == '\t' })
		ways = append(ways, trimAll(wide), afterBrackets(line))
	}
	for _, other := range []Delimiter{Tab, Semicolon, Comma, Bar} {
		if other != d.Delimiter {
			ways = append(ways, Cells(line, other))
		}
	}
	return ways
}

func trimAll(cells []string) []string {
	for i, c := range cells {
		cells[i] = strings.TrimSpace(c)
	}
	return slices.DeleteFunc(cells, func(c string) bool { return c == "" })
}

// afterBrackets splits "Time (s) Left (N)" after each closing bracket.
func afterBrackets(line string) []string {
	var out []string
	for len(line) > 0 {
		i := strings.IndexAny(line, ")]}")
		if i < 0 {
			out = append(out, strings.TrimSpace(line))
			break
		}
		out = append(out, strings.TrimSpace(line[:i+1]))
		line = strings.TrimSpace(line[i+1:])
	}
	return out
}

// wordy reports whether cells are names rather than numbers or notes: none is a number, most are there and short.
func wordy(cells []string, d Dialect) bool {
	scan := newScanner(d.Decimal)
	named := 0
	for _, c := range cells {
		if len(c) > 120 {
			return false
		}
		if c == "" {
			continue
		}
		if _, kind := scan.cell([]byte(c)); kind != notNumber {
			return false
		}
		named++
	}
	if len(cells) == 1 && strings.ContainsAny(cells[0], ":=") {
		return false // a note such as "Rate: 1000"
	}
	return 2*named >= len(cells) && named > 0
}

// allUnits reports whether every cell that is not empty looks like a unit.
func allUnits(cells []string) bool {
	for _, c := range cells {
		if c != "" && !IsUnit(c) {
			return false
		}
	}
	return true
}

// IsUnit reports whether a word is a unit of something that a plate records, in brackets or bare.
func IsUnit(word string) bool {
	switch strings.ToLower(strings.Trim(word, "[](){}<> ")) {
	case "s", "sec", "secs", "second", "seconds", "ms", "msec", "millisecond", "milliseconds", "us", "µs", "μs", "usec",
		"min", "hh:mm:ss", "hh:mm:ss.fff", "hh:mm:ss,fff", "hh:mm:ss.sss", "n", "newton", "newtons", "kn", "kilonewton",
		"kilonewtons", "mn", "dan", "kg", "kgf", "kp", "lb", "lbs", "lbf", "bw", "xbw", "%bw", "% bw", "n/kg", "g", "v",
		"mv", "nm", "n.m", "n·m", "nmm", "n.mm", "mm", "cm", "m", "m/s", "m/s2", "m/s^2", "m/s²", "w", "w/kg", "hz", "deg",
		"°", "%", "-", "#", "a.u.", "body weight", "body weights", "bodyweight", "bodyweights", "1", "frame", "samples":
		return true
	}
	return false
}

// namesAndUnits takes the units out of names such as "Left (N)", "Left [N]" and "Left / N"; a row of units comes first.
func namesAndUnits(cells, unitRow []string) (names, units []string) {
	for i, c := range cells {
		name, unit := cutUnit(c)
		if unitRow != nil && i < len(unitRow) && unitRow[i] != "" {
			unit = strings.Trim(unitRow[i], "[](){}<> ")
		}
		names, units = append(names, name), append(units, unit)
	}
	return names, units
}

// cutUnit parts a name from the unit written with it.
func cutUnit(cell string) (name, unit string) {
	for _, pair := range []string{"[]", "()", "{}", "<>"} {
		open := strings.LastIndexByte(cell, pair[0])
		if open < 0 {
			continue
		}
		shut := strings.IndexByte(cell[open:], pair[1])
		if shut < 0 {
			continue
		}
		inside := strings.TrimSpace(cell[open+1 : open+shut])
		if IsUnit(inside) {
			return strings.TrimSpace(cell[:open] + cell[open+shut+1:]), inside
		}
	}
	for _, mark := range []string{" / ", "/", ", ", " in ", "_", " "} {
		if at := strings.LastIndex(cell, mark); at > 0 {
			if unit := strings.TrimSpace(cell[at+len(mark):]); isBareUnit(unit) {
				return strings.TrimSpace(cell[:at]), unit
			}
		}
	}
	return cell, ""
}

// isBareUnit reports whether a word at the end of a name is a unit even without brackets; single letters other than N
// and s are more often names of sides, axes or plates.
func isBareUnit(word string) bool {
	switch strings.ToLower(word) {
	case "-", "#", "1", "g", "v", "w", "m", "%", "frame", "samples", "mn":
		return false
	}
	return IsUnit(word)
}

// addGroups puts the names of a line of groups ("Left plate,,,Right plate,,") before the names below it, when those
// repeat.
func (h *header) addGroups(line string, d Dialect) {
	if d.Delimiter == Single || d.Delimiter == Blanks || d.Width < 3 || !repeated(h.names) {
		return
	}
	groups := Cells(strings.TrimLeft(line, "#%!/"), d.Delimiter)
	for len(groups) > d.Width && groups[len(groups)-1] == "" {
		groups = groups[:len(groups)-1]
	}
	if len(groups) < 3 || len(groups) > d.Width {
		return
	}
	current := ""
	for i, g := range padTo(groups, d.Width) {
		if g != "" {
			current = g
		}
		if current != "" {
			h.names[i] = strings.TrimSpace(current + " " + h.names[i])
		}
	}
	h.before = h.before[:len(h.before)-1]
}

func padTo(cells []string, n int) []string {
	out := slices.Clone(cells)
	for len(out) < n {
		out = append(out, "")
	}
	return out
}

func repeated(names []string) bool {
	seen := map[string]bool{}
	for _, n := range names {
		if seen[n] && n != "" {
			return true
		}
		seen[n] = true
	}
	return false
}
