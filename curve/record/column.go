package record

import (
	"math"
	"strings"

	"plateside/curve/record/table"
)

// A Role is what a column is used as.
type Role string

// The roles; a column without one is not used.
const (
	Unused  Role = "-"
	Time    Role = "time"
	Counter Role = "counter"
	Left    Role = "left"
	Right   Role = "right"
	Total   Role = "total"
)

// A Column is one column (or channel, or plate) of a file as it was understood.
type Column struct {
	Name, Unit string
	Role       Role
	// Why is said where the role is not plain from the name.
	Why string
}

// A column is what a name and its numbers tell of a column before roles are given.
type column struct {
	place    int
	name     string
	unit     string
	words    []string
	values   []float64
	decimals int
	clock    bool

	isTime, isCounter, isOther       bool
	isForce, isVertical, isHorizonal bool
	isCorner                         bool
	side                             Role // Left, Right, Total or Unused for not said
	number                           string
}

// describe collects what the names say.
func describe(t *table.Table) []*column {
	var out []*column
	for i := range t.Columns {
		c := &column{place: i, values: t.Columns[i], decimals: t.Decimals[i], clock: t.Clock[i], side: Unused}
		if t.Names != nil {
			c.name, c.unit = t.Names[i], t.Units[i]
		}
		c.readName()
		out = append(out, c)
	}
	pairLetters(out)
	return out
}

// readName reads the words of the name.
func (c *column) readName() {
	c.words = wordsOf(c.name)
	for _, w := range c.words {
		switch meaningOf(w) {
		case saysTime:
			c.isTime = true
		case saysCounter:
			c.isCounter = true
		case saysLeft:
			c.addSide(Left)
		case saysRight:
			c.addSide(Right)
		case saysTotal:
			if c.side == Unused {
				c.side = Total
			}
		case saysForce:
			c.isForce = true
		case saysVertical:
			c.isForce, c.isVertical = true, true
		case saysHorizontal:
			c.isHorizonal = true
		case saysCorner:
			c.isCorner = true
		case saysOther:
			c.isOther = true
		case saysNothing:
			if isShortNumber(w) {
				c.number = w
			}
		}
	}
	c.settleKind()
}

// addSide takes note of a side; a name that says both is that of the total.
func (c *column) addSide(side Role) {
	if c.side == Left || c.side == Right {
		if c.side != side {
			side = Total
		}
	}
	c.side = side
}

func isShortNumber(w string) bool {
	return len(w) > 0 && len(w) <= 2 && strings.Trim(w, "0123456789") == "" || w == "a" || w == "b"
}

// settleKind weighs the words of a name against each other and against the unit.
func (c *column) settleKind() {
	_, forceUnitKnown := forceUnit(c.unit)
	_, timeUnitKnown := timeUnit(c.unit)
	switch {
	case c.isOther && (!forceUnitKnown || !c.isForce && c.side == Unused):
		c.isForce, c.isTime, c.side = false, false, Unused
		return
	case c.clock:
		c.isTime, c.isOther = true, false
	case c.isHorizonal && !c.isVertical:
		c.isForce, c.isTime = false, false
	case c.isVertical || forceUnitKnown || c.side != Unused || c.isCorner:
		c.isForce, c.isTime, c.isCounter = true, false, false
	case timeUnitKnown && !c.isForce:
		c.isTime = true
	}
	c.isOther = false
}

// pairLetters reads G and D as gauche and droite, S and D as sinistra and destra, I and D as izquierda and derecha, where
// exactly two force columns differ by them: alone a letter says nothing. The same holds for the Turkish words, of which
// one is the ground in French.
func pairLetters(columns []*column) {
	for _, pair := range []struct{ left, right string }{{"g", "d"}, {"s", "d"}, {"i", "d"}, {"sol", "sağ"}, {"sol", "sag"}} {
		l, r := withLetter(columns, pair.left), withLetter(columns, pair.right)
		if l != nil && r != nil && strings.Join(l.words[:len(l.words)-1], " ") == strings.Join(r.words[:len(r.words)-1], " ") {
			l.side, r.side, l.isForce, r.isForce = Left, Right, true, true
			l.isVertical, l.isHorizonal = r.isVertical, r.isHorizonal
			return
		}
	}
}

// withLetter returns the only column without a side whose name ends in that letter as a word.
func withLetter(columns []*column, letter string) *column {
	var found *column
	for _, c := range columns {
		if n := len(c.words); n == 0 || c.words[n-1] != letter || c.side != Unused {
			continue
		}
		if found != nil {
			return nil
		}
		found = c
	}
	return found
}

// label names a column in a sentence.
func (c *column) label() string {
	if c.name != "" {
		return `"` + c.name + `"`
	}
	return "column " + ordinal(c.place)
}

// rises reports whether the numbers rise evenly, as a clock or a counter does, and by how much a row.
func (c *column) rises() (step float64, even bool) {
	n := len(c.values)
	if n < 3 {
		return 0, false
	}
	first, last := c.values[0], c.values[n-1]
	step = (last - first) / float64(n-1)
	if math.IsNaN(step) || step <= 0 {
		return 0, false
	}
	// The middle of a clock is in the middle, and it never goes back.
	misses := 0
	for i := 1; i < n; i++ {
		if d := c.values[i] - c.values[i-1]; d < 0 {
			return 0, false
		} else if d > 3*step || d != d { // or NaN
			misses++
		}
	}
	return step, 20*misses <= n
}
