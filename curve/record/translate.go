package record

import (
	"fmt"
	"math"
	"slices"

	"plateside/curve"
	"plateside/curve/record/table"
)

const (
	// minLengthS is how long a recording must be, in seconds: a flight alone lasts about as long.
	minLengthS = 0.5
	// standingLowN and standingHighN are between what loads people stand on plates: a child of 20 kg, a heavy athlete
	// with a loaded bar. Outside of it the unit is in doubt.
	standingLowN, standingHighN = 200, 3000
	// rateLowHz and rateHighHz are between what rates plates are sampled at.
	rateLowHz, rateHighHz = 100, 10000
	// nobodyN is the force that is never exceeded when nobody is on the plates.
	nobodyN = 50
)

// A translator gives the numbers of one table their meaning.
type translator struct {
	t       *table.Table
	o       Options
	u       *Understanding
	layout  Layout
	columns []*column
	roles   *assignment
	line    *timeline
	rec     *curve.Recording
}

// translate makes a recording of a table.
func translate(t *table.Table, o Options, u *Understanding) (*curve.Recording, error) {
	tr := &translator{t: t, o: o, u: u, layout: u.Layout, columns: describe(t), rec: &curve.Recording{}}
	steps := []func() error{tr.assign, tr.clock, tr.bring, tr.turn, tr.check}
	for _, step := range steps {
		err := step()
		tr.tell()
		if err != nil {
			return nil, err
		}
	}
	return tr.rec, nil
}

// assign gives the columns roles, by the layout or by themselves.
func (tr *translator) assign() error {
	var err error
	if len(tr.layout.Columns) > 0 {
		tr.roles, err = assignByLayout(tr.columns, tr.layout.Columns)
	} else {
		tr.roles, err = assign(tr.columns)
	}
	if err == nil {
		tr.rec.Remarks = append(tr.rec.Remarks, tr.roles.remarks...)
	}
	return err
}

// assignByLayout gives the columns the roles that a person chose.
func assignByLayout(columns []*column, roles []string) (*assignment, error) {
	a := &assignment{why: map[int]string{}}
	if len(roles) > len(columns) {
		return nil, refuse("correct the [[reader]] block of plateside.toml", "the settings name %d columns but it has %d",
			len(roles), len(columns))
	}
	for i, role := range roles {
		c := columns[i]
		switch Role(role) {
		case Time:
			a.time = c
		case Counter:
			a.counter = c
		case Left:
			a.left = append(a.left, c)
		case Right:
			a.right = append(a.right, c)
		case Total:
			a.total = append(a.total, c)
		case Unused:
			continue
		}
		a.explain(c, "by plateside.toml")
	}
	if (len(a.left) == 0) != (len(a.right) == 0) || len(a.left)+len(a.total) == 0 {
		return nil, refuse("correct the [[reader]] block of plateside.toml", "the settings name neither both sides nor a total")
	}
	if len(a.left) > 0 && len(a.total) > 0 {
		a.beside, a.total = a.total[0], nil
	}
	return a, nil
}

// bring puts the forces on the clock, in newtons.
func (tr *translator) bring() error {
	a := tr.roles
	var err error
	sum := func(columns []*column) []float64 {
		if err != nil || len(columns) == 0 {
			return nil
		}
		for _, c := range columns {
			if err = tr.newtons(c); err != nil {
				return nil
			}
		}
		return tr.line.spread(addUp(columns))
	}
	tr.rec.Left, tr.rec.Right, tr.rec.Total = sum(a.left), sum(a.right), sum(a.total)
	if a.beside != nil && err == nil {
		err = tr.newtons(a.beside)
	}
	if err != nil {
		return err
	}
	if tr.rec.HasSides() {
		tr.rec.Total = make([]float64, len(tr.rec.Left))
		if tr.line.place == nil && a.time != nil {
			tr.rec.Total = a.time.values // not needed any more, and of the right length
		}
	}
	const lowest, highest = 1, 1e6 // Hz; beyond is a damaged file
	if r := tr.rec.RateHz; !(r >= lowest && r <= highest) {
		return refuse("is the rate right?", "its sampling rate would be %.3g Hz", r)
	}
	if n := len(tr.rec.Total); n < table.MinRows {
		return refuse("", "it holds %d samples", n)
	}
	if seconds := float64(len(tr.rec.Total)) / tr.rec.RateHz; seconds < minLengthS {
		return refuse("is the rate right?", "it lasts %.2g s, shorter than the %g s of a jump", seconds, minLengthS)
	}
	return nil
}

// addUp adds columns up, into the first.
func addUp(columns []*column) []float64 {
	out := columns[0].values
	for _, c := range columns[1:] {
		for i, v := range c.values {
			out[i] += v
		}
	}
	return out
}

// newtons converts a column in place.
func (tr *translator) newtons(c *column) error {
	name := c.unit
	if tr.layout.Unit != "" {
		name = tr.layout.Unit
	}
	if name == "" {
		name = tr.commonUnit()
	}
	if name == "" {
		return nil // whether the numbers are newtons is checked with the sum
	}
	u, known := forceUnit(name)
	if !known {
		return refuse(settingLine(`unit = "N"`), "the unit of %s, %q, is not known as one of force", c.label(), name)
	}
	mass := tr.layout.BodyMassKg
	if mass == 0 {
		mass = massOf(tr.u.Metadata)
	}
	if u.perMass && mass == 0 {
		return refuse(settingLine("body_mass_kg = 70"), "its forces are in %s and nothing in the file says the body mass", u.name)
	}
	u.convert(c.values, c.decimals, mass)
	tr.u.Unit = u.name
	if u.name != "N" {
		text := "forces were converted from " + u.name + " to newtons"
		if u.perMass {
			text += fmt.Sprintf(" with a body mass of %g kg", mass)
		}
		if !slices.Contains(tr.rec.Remarks, text) {
			tr.rec.Remarks = append(tr.rec.Remarks, text)
		}
	}
	return nil
}

// commonUnit returns the unit that other columns, or a line above, give for force; empty when none does.
func (tr *translator) commonUnit() string {
	for _, c := range tr.columns {
		if _, known := forceUnit(c.unit); known && c.unit != "" && c.isForce {
			return c.unit
		}
	}
	for _, entry := range tr.u.Metadata {
		if entry.says("unit", "units", "force unit", "force units", "einheit", "unité", "unidad", "unità", "eenheid") {
			if _, known := forceUnit(entry.Value); known {
				return entry.Value
			}
		}
	}
	return ""
}

// turn makes upward positive, by the sides or the total, and sets the total of sides.
func (tr *translator) turn() error {
	r := tr.rec
	switch tr.layout.Up {
	case "positive":
		tr.u.Sign = "load is positive, by plateside.toml"
	case "negative":
		turnOver(r.Left)
		turnOver(r.Right)
		tr.u.Sign = "load was negative, by plateside.toml; turned"
	default:
		tr.turnByLoad()
	}
	if r.HasSides() {
		for i := range r.Total {
			r.Total[i] = r.Left[i] + r.Right[i]
		}
		return nil
	}
	if tr.layout.Up == "negative" {
		turnOver(r.Total)
	}
	return nil
}

// turnByLoad turns what carries its load negatively: feet can only push.
func (tr *translator) turnByLoad() {
	r := tr.rec
	parts := [][]float64{r.Total}
	if r.HasSides() {
		parts = [][]float64{r.Left, r.Right}
	}
	var loads []float64
	for _, p := range parts {
		loads = append(loads, direction(p))
	}
	turned := 0
	for i, p := range parts {
		load := loads[i]
		if load == 0 {
			load = loads[len(loads)-1-i] // never loaded: as the other side
		}
		if load < 0 {
			turnOver(p)
			turned++
		}
	}
	tr.u.Sign = "load is positive"
	switch {
	case turned == len(parts):
		tr.u.Sign = "load was negative; turned, since feet can only push"
		r.Remarks = append(r.Remarks, "the sign of the force was turned: load was written negative")
	case turned > 0:
		tr.u.Sign = "load of one side was negative; turned, since feet can only push"
		r.Remarks = append(r.Remarks, "the sign of one side was turned: its load was written negative")
	}
}

// direction is negative when values carry their load negatively: large values count more than long ones, so that a
// plate that is empty for long and a little off zero does not decide. It is 0 when nothing ever exceeds a tenth of nobodyN.
func direction(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		if v > nobodyN/10 || v < -nobodyN/10 { // NaN is neither
			sum += v * math.Abs(v)
		}
	}
	return sum
}

// turnOver changes the sign in place; zero stays positive.
func turnOver(values []float64) {
	for i, v := range values {
		values[i] = 0 - v
	}
}

// standing returns the force that is carried most of the time that something is carried: the median of those samples
// whose size is at least a fifth of the large ones; a few hundred samples from all over are enough.
func standing(values []float64) float64 {
	sample := sorted(values, 160)
	if len(sample) == 0 {
		return 0
	}
	tenth := len(sample) / 10
	large := math.Max(math.Abs(sample[tenth]), math.Abs(sample[len(sample)-1-tenth]))
	loaded := slices.DeleteFunc(sample, func(v float64) bool { return math.Abs(v) < large/5 || v == 0 })
	if len(loaded) == 0 {
		return 0
	}
	return loaded[len(loaded)/2]
}

// sorted returns about n of the values that are not missing, from all over, in order of size.
func sorted(values []float64, n int) []float64 {
	sample := make([]float64, 0, 2*n)
	for i := 0; i < len(values); i += max(1, len(values)/n) {
		if v := values[i]; !math.IsNaN(v) {
			sample = append(sample, v)
		}
	}
	slices.Sort(sample)
	return sample
}
