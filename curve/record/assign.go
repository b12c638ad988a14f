package record

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// An assignment says which columns are what. Several columns of one side are added up.
type assignment struct {
	time, counter      *column
	left, right, total []*column
	beside             *column // a total written beside the sides
	remarks            []string
	why                map[int]string
}

func (a *assignment) explain(c *column, why string) { a.why[c.place] = why }

// assign gives the columns their roles.
func assign(columns []*column) (*assignment, error) {
	a := &assignment{why: map[int]string{}}
	if err := a.findTime(columns); err != nil {
		return nil, err
	}
	rest := make([]*column, 0, len(columns))
	named := false
	for _, c := range columns {
		if c == a.time || c == a.counter {
			continue
		}
		named = named || c.name != ""
		if c.isForce && !c.isTime && !c.isCounter && !c.empty() {
			rest = append(rest, c)
		}
	}
	if !named {
		rest = slices.DeleteFunc(slices.Clone(columns), func(c *column) bool {
			return c == a.time || c == a.counter || c.empty()
		})
		return a, a.fromNumbers(rest)
	}
	if len(rest) == 0 {
		rest = unnamedForce(columns, a)
	}
	return a, a.fromNames(rest)
}

func (c *column) empty() bool {
	return !slices.ContainsFunc(c.values, func(v float64) bool { return !math.IsNaN(v) })
}

// unnamedForce returns the columns whose names say nothing, when no name says force.
func unnamedForce(columns []*column, a *assignment) []*column {
	var rest []*column
	for _, c := range columns {
		if c != a.time && c != a.counter && !c.isTime && !c.isCounter && !c.isOther && !c.isHorizonal && c.side == Unused &&
			len(c.words) > 0 && meaningOf(c.words[0]) == saysNothing && !c.empty() {
			rest = append(rest, c)
		}
	}
	return rest
}

// findTime finds the column of time and one that counts samples.
func (a *assignment) findTime(columns []*column) error {
	for _, c := range columns {
		switch {
		case c.isTime && a.time != nil:
			return refuse(columnsHint(columns), "it has two columns of time, %s and %s", a.time.label(), c.label())
		case c.isTime:
			a.time = c
		case c.isCounter && a.counter == nil:
			a.counter = c
		}
	}
	if a.time == nil && a.counter == nil && len(columns) > 1 && !columns[0].isForce {
		a.firstRises(columns[0])
	}
	return nil
}

// firstRises takes the first column for time when it rises evenly. A step of 1 is a count or milliseconds: the rate
// decides.
func (a *assignment) firstRises(first *column) {
	step, even := first.rises()
	switch {
	case !even:
	case step > 0.99 && step < 1.01:
		a.counter = first
		a.explain(first, "it rises by 1 in every row")
	default:
		a.time = first
		a.explain(first, "it rises evenly")
	}
}

// fromNames gives roles by the sides that names say.
func (a *assignment) fromNames(force []*column) error {
	groups := map[Role][]*column{}
	for _, c := range force {
		groups[c.side] = append(groups[c.side], c)
	}
	if cornersOfOnePlate(groups) {
		a.total = force
		a.remark("the four cells of the plate were added up")
		return nil
	}
	for _, side := range []Role{Left, Right, Total, Unused} {
		reduced, err := a.reduce(groups[side], side)
		if bothSides := len(groups[Left]) > 0 && len(groups[Right]) > 0; err != nil && side == Total && bothSides {
			reduced, err = nil, nil // the sides are enough
		}
		if err != nil {
			return err
		}
		groups[side] = reduced
	}
	return a.choose(groups, force)
}

// choose takes both sides, else the total, else plates without a side.
func (a *assignment) choose(groups map[Role][]*column, force []*column) error {
	l, r, total, none := groups[Left], groups[Right], groups[Total], groups[Unused]
	if len(total) == 0 && len(none) == 1 {
		total, none = none, nil
	}
	switch {
	case len(l) > 0 && len(r) > 0:
		a.left, a.right = l, r
		if len(total) == 1 {
			a.beside = total[0]
			a.explain(a.beside, "compared with left + right")
		}
	case len(total) > 0:
		a.total = total
		if len(l)+len(r) > 0 {
			a.remark("one side alone is not used: only the total is read")
		}
	case len(l) > 0:
		return oneSide(l[0], Right, force)
	case len(r) > 0:
		return oneSide(r[0], Left, force)
	default:
		return a.fromPlates(none)
	}
	return nil
}

// oneSide refuses a file that has the force of one side alone.
func oneSide(c *column, other Role, force []*column) error {
	return refuse(fmt.Sprintf("add the %s side to the export; or, if this is the whole force, %s", other,
		settingLine(columnsSetting(force, c))), "it has %s but no %s side", c.label(), other)
}

func (a *assignment) remark(format string, args ...any) {
	a.remarks = append(a.remarks, fmt.Sprintf(format, args...))
}

// cornersOfOnePlate tells front left, front right, rear left and rear right from the plates under two feet.
func cornersOfOnePlate(groups map[Role][]*column) bool {
	if len(groups[Left]) != 2 || len(groups[Right]) != 2 || len(groups[Total])+len(groups[Unused]) > 0 {
		return false
	}
	for _, c := range append(slices.Clone(groups[Left]), groups[Right]...) {
		if !c.isCorner {
			return false
		}
	}
	return true
}

// reduce chooses among the columns of one side: the vertical one by name, four cells together, else the vertical one by
// physics.
func (a *assignment) reduce(group []*column, side Role) ([]*column, error) {
	if vertical := slices.DeleteFunc(slices.Clone(group), func(c *column) bool { return !c.isVertical }); len(vertical) > 0 {
		group = vertical
	}
	if known := slices.DeleteFunc(slices.Clone(group), hasOddUnit); len(known) > 0 {
		group = known
	}
	if inNewtons := slices.DeleteFunc(slices.Clone(group), func(c *column) bool { return c.unit != "N" }); len(inNewtons) == 1 {
		group = inNewtons // the same force in other units beside it
	}
	if len(group) <= 1 {
		return group, nil
	}
	if len(group) == 4 && distinctCells(group) {
		for _, c := range group {
			a.explain(c, "one of four cells, added up")
		}
		a.remark("four cells were added up: %s", labels(group))
		return group, nil
	}
	if side == Unused && len(group) != 3 {
		return group, nil // plates without a side
	}
	if up := vertical(group); up != nil {
		a.explain(up, "it alone carries the load of standing")
		a.remark("%s was taken as the vertical force: it alone carries the load of standing", up.label())
		return []*column{up}, nil
	}
	if side == Unused {
		return group, nil
	}
	return nil, refuse(columnsHint(group), "more than one column could be the %s force: %s", side, labels(group))
}

// hasOddUnit reports whether a column is in a unit that is none of force.
func hasOddUnit(c *column) bool {
	_, known := forceUnit(c.unit)
	return c.unit != "" && !known
}

func distinctCells(group []*column) bool {
	seen := map[string]bool{}
	for _, c := range group {
		words := slices.DeleteFunc(slices.Clone(c.words), func(w string) bool {
			m := meaningOf(w)
			return m != saysCorner && m != saysLeft && m != saysRight
		})
		key := strings.TrimSpace(c.number + " " + strings.Join(words, " "))
		if key == "" || seen[key] || c.number == "" && !c.isCorner {
			return false
		}
		seen[key] = true
	}
	return true
}

// vertical returns the one column of a three-component plate that carries a standing load while the others do not; nil
// when there is none.
func vertical(group []*column) *column {
	if len(group) != 3 {
		return nil
	}
	sorted := slices.Clone(group)
	slices.SortStableFunc(sorted, func(x, y *column) int {
		return compare(math.Abs(standing(y.values)), math.Abs(standing(x.values)))
	})
	if math.Abs(standing(sorted[1].values)) < 0.25*math.Abs(standing(sorted[0].values)) {
		return sorted[0]
	}
	return nil
}

func compare(x, y float64) int {
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// fromPlates gives roles to force columns whose names say no side.
func (a *assignment) fromPlates(plates []*column) error {
	switch len(plates) {
	case 0:
		return refuse("name the columns in the export (left, right, total), or put columns = [\"time\", \"left\", \"right\"] into "+
			"a [[reader]] block of plateside.toml; 'plateside inspect' prints the block", "none of its columns is known to be force")
	case 1:
		a.total = plates
		return nil
	case 4:
		if distinctCells(plates) {
			a.total = plates
			a.remark("four cells were added up: %s", labels(plates))
			return nil
		}
	}
	return sidesUnknown(plates)
}

// fromNumbers gives roles to columns without a header.
func (a *assignment) fromNumbers(rest []*column) error {
	switch len(rest) {
	case 0:
		return refuse("", "it has no column of force")
	case 1:
		a.total = rest
		a.explain(rest[0], "it is the only column of force")
		return nil
	case 3:
		if up := vertical(rest); up != nil && a.time != nil {
			a.total = []*column{up}
			a.explain(up, "it alone carries the load of standing")
			a.remark("%s was taken as the vertical force: it alone carries the load of standing", up.label())
			return nil
		}
	}
	return sidesUnknown(rest)
}

// sidesUnknown refuses columns of which nobody says which is left.
func sidesUnknown(columns []*column) error {
	first, second := columns[:1], columns[1:2]
	if a, b := twoPlates(columns); a != nil {
		first, second = a, b
	}
	return refuse(sidesHint(columns, first, second), "nothing says which column is left and which is right: %s could be left and %s "+
		"right, or the other way round", labels(first), labels(second))
}

// twoPlates parts columns into those of two plates, by the first number in their names; nil when they are not two equal
// groups of several.
func twoPlates(columns []*column) (first, second []*column) {
	for _, c := range columns {
		switch key := firstNumber(c); {
		case key == "":
			return nil, nil
		case first == nil || firstNumber(first[0]) == key:
			first = append(first, c)
		case second == nil || firstNumber(second[0]) == key:
			second = append(second, c)
		default:
			return nil, nil
		}
	}
	if len(first) != len(second) || len(first) < 2 {
		return nil, nil
	}
	return first, second
}

func firstNumber(c *column) string {
	for _, w := range c.words {
		if isShortNumber(w) {
			return w
		}
	}
	return ""
}

func labels(columns []*column) string {
	out := make([]string, 0, len(columns))
	for _, c := range columns {
		out = append(out, c.label())
	}
	return strings.Join(out, ", ")
}
