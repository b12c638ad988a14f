package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plateside/curve"
	"plateside/curve/record/c3d"
	"plateside/curve/record/table"
)

// isC3D tells a C3D file by its content.
func isC3D(data []byte) bool { return c3d.Is(data) }

// decodeC3D reads the force platforms of a C3D file. A file without platforms but with named analog channels is read by
// their names, as a table is.
func decodeC3D(data []byte, o Options, u *Understanding) (*curve.Recording, error) {
	u.Format = "C3D"
	f, err := c3d.Decode(data)
	if err != nil {
		return nil, &Refusal{Reason: err.Error(), Hint: "export the recording again", Err: err}
	}
	u.Format = fmt.Sprintf("C3D (%s, %s)", f.Processor, map[bool]string{true: "float", false: "integer"}[f.Float])
	u.Metadata = c3dNotes(f)
	u.nameAthlete(o)
	plates, err := platesOf(f)
	if err != nil {
		return nil, err
	}
	u.Layout.Header = plateSignature(plates, f)
	for _, l := range o.Layouts {
		if l.fits(u.Name, u.Layout.Header) {
			u.Layout, u.FromSettings = l, true
			break
		}
	}
	tr := &translator{o: o, u: u, layout: u.Layout, rec: &curve.Recording{}}
	if err := tr.c3dClock(f); err != nil {
		return nil, err
	}
	if len(plates) == 0 {
		return tr.readChannels(f)
	}
	return tr.readPlates(f, plates)
}

// c3dNotes collects what a file says about the person.
func c3dNotes(f *c3d.File) []Entry {
	var out []Entry
	for _, place := range []struct{ group, name, key string }{
		{"SUBJECTS", "NAMES", "Subject"},
		{"SUBJECTS", "NAME", "Subject"},
		{"SUBJECT", "NAME", "Subject"},
		{"SUBJECT", "WEIGHT", "Weight"},
		{"SUBJECTS", "WEIGHT", "Weight"},
		{"SUBJECT", "MASS", "Mass"},
		{"PROCESSING", "BODYMASS", "Body mass"},
		{"SUBJECTS", "MASS", "Mass"},
		{"MANUFACTURER", "SOFTWARE", "Software"},
	} {
		if words := f.Strings(place.group, place.name); len(words) == 1 && words[0] != "" {
			out = append(out, Entry{place.key, words[0]})
		} else if v, ok := f.Number(place.group, place.name); ok && v > 0 {
			out = append(out, Entry{place.key, fmt.Sprintf("%g kg", v)})
		}
	}
	return out
}

// plateSignature stands for the header line of a text.
func plateSignature(plates []plate, f *c3d.File) string {
	if len(plates) == 0 {
		return signature(append([]string{"c3d"}, f.Strings("ANALOG", "LABELS")...))
	}
	cells := []string{"c3d"}
	for _, p := range plates {
		cells = append(cells, fmt.Sprintf("plate %d type %d", p.number, p.kind))
	}
	return signature(cells)
}

// c3dClock sets the rate.
func (tr *translator) c3dClock(f *c3d.File) error {
	rate, from := f.AnalogRateHz(), "the frame rate times the samples in a frame"
	written, _ := f.Number("ANALOG", "RATE")
	switch {
	case tr.layout.RateHz > 0:
		rate, from = tr.layout.RateHz, "plateside.toml"
	case !(rate > 0) && written > 0:
		rate, from = written, "ANALOG:RATE"
	case !(rate > 0) && tr.o.RateHz > 0:
		rate, from = tr.o.RateHz, "--rate"
	case !(rate > 0):
		return refuse("give the sampling rate with --rate HZ", "nothing in it says the sampling rate")
	case written > 0 && math.Abs(written-rate) > 1e-3*rate:
		tr.remark("ANALOG:RATE says %g Hz but frame rate and samples in a frame give %g Hz, which is used", written, rate)
	}
	tr.rec.RateHz, tr.u.RateFrom = roundRate(rate, 0), from
	tr.line = &timeline{rateHz: tr.rec.RateHz, samples: f.Samples()}
	tr.u.Rows = f.Samples()
	if f.Frames < f.Declared {
		tr.remark("the file is cut short: %d of %d frames are there", f.Frames, f.Declared)
	}
	return nil
}

// readChannels reads analog channels by their labels.
func (tr *translator) readChannels(f *c3d.File) (*curve.Recording, error) {
	labels, units := f.Strings("ANALOG", "LABELS"), f.Strings("ANALOG", "UNITS")
	t := &table.Table{}
	const most = 256
	for i := range min(f.Channels, most) {
		name, unit := "", ""
		if i < len(labels) {
			name = labels[i]
		}
		if i < len(units) {
			unit = units[i]
		}
		t.Columns = append(t.Columns, nil)
		t.Names, t.Units = append(t.Names, name), append(t.Units, unit)
	}
	t.Decimals, t.Clock = make([]int, len(t.Columns)), make([]bool, len(t.Columns))
	for i := range t.Columns {
		t.Columns[i] = []float64{0} // not empty; the samples are read for the columns that are used
	}
	tr.t, tr.columns = t, describe(t)
	used := slices.DeleteFunc(slices.Clone(tr.columns), func(c *column) bool { return !c.isForce })
	if len(used) == 0 && len(tr.layout.Columns) == 0 {
		return nil, refuse("export the force platforms with the file", "it describes no force platform and no analog channel named as force")
	}
	if len(tr.layout.Columns) > 0 {
		used = tr.columns
	}
	for _, c := range used {
		c.values, c.decimals = f.Analog(c.place), 99
		t.Columns[c.place] = c.values
	}
	return tr.finishC3D(func() error {
		if err := tr.assign(); err != nil {
			return err
		}
		tr.roles.time, tr.roles.counter = nil, nil
		return nil
	})
}

// finishC3D takes the steps that follow once the columns have roles.
func (tr *translator) finishC3D(roles func() error) (*curve.Recording, error) {
	for _, step := range []func() error{roles, tr.bring, tr.turn, tr.check} {
		err := step()
		tr.tell()
		if err != nil {
			return nil, err
		}
	}
	return tr.rec, nil
}

// readPlates reads force platforms: their vertical force by geometry, the sides by labels, else by position.
func (tr *translator) readPlates(f *c3d.File, plates []plate) (*curve.Recording, error) {
	up := upOf(plates)
	tr.t = &table.Table{}
	for i := range plates {
		p := &plates[i]
		values, err := p.vertical(f, up)
		if err != nil {
			return nil, err
		}
		c := &column{place: i, name: fmt.Sprintf("plate %d", p.number), unit: p.unit, values: values, decimals: 99, isForce: true, side: Unused}
		c.words = wordsOf(p.labels)
		tr.columns = append(tr.columns, c)
		tr.t.Columns = append(tr.t.Columns, values)
	}
	tr.oddUnits()
	return tr.finishC3D(func() error {
		if len(tr.layout.Columns) > 0 {
			return tr.assign()
		}
		var err error
		tr.roles, err = sidesOfPlates(tr.columns, plates, up)
		if err == nil {
			tr.rec.Remarks = append(tr.rec.Remarks, tr.roles.remarks...)
		}
		return err
	})
}

// oddUnits drops units that are none of force where the load fits newtons: files whose samples were scaled already often
// still name the unit of the amplifier.
func (tr *translator) oddUnits() {
	for _, c := range tr.columns {
		if _, known := forceUnit(c.unit); !known && c.unit != "" {
			tr.remark("the unit of %s, %q, is not one of force and was not followed", c.name, c.unit)
			c.unit = ""
		}
	}
}

// sidesOfPlates gives the plates their sides: by the words left and right in their labels, else by where they lie.
func sidesOfPlates(columns []*column, plates []plate, up axis) (*assignment, error) {
	a := &assignment{why: map[int]string{}}
	var loaded []int
	most := 0.0
	for _, c := range columns {
		most = math.Max(most, math.Abs(standing(c.values)))
	}
	for i, c := range columns {
		if load := math.Abs(standing(c.values)); load > 0.05*most && highest(c.values) > 0 {
			loaded = append(loaded, i)
		} else {
			a.explain(c, "nobody stands on it")
		}
	}
	switch len(loaded) {
	case 0:
		return nil, refuse("", "nobody stands on any of its %d plates", len(plates))
	case 1:
		a.total = []*column{columns[loaded[0]]}
		if len(plates) > 1 {
			a.remark("only plate %d carries load", plates[loaded[0]].number)
		}
		return a, nil
	case 2:
		return a, a.twoPlates(columns, plates, loaded, up)
	}
	for _, i := range loaded {
		a.total = append(a.total, columns[i])
	}
	a.remark("%d plates carry load and were added up; the sides are not told apart", len(loaded))
	return a, nil
}

// twoPlates finds which of two plates is the left one.
func (a *assignment) twoPlates(columns []*column, plates []plate, loaded []int, up axis) error {
	first, second := columns[loaded[0]], columns[loaded[1]]
	left, right := first, second
	switch s1, s2 := sideOfWords(first.words), sideOfWords(second.words); {
	case s1 == Left && s2 == Right:
		a.explain(first, "by its labels")
		a.explain(second, "by its labels")
	case s1 == Right && s2 == Left:
		left, right = second, first
		a.explain(first, "by its labels")
		a.explain(second, "by its labels")
	default:
		side, facing := leftOf(plates[loaded[0]], plates[loaded[1]], up)
		if side == 0 {
			return refuse(settingLine(`columns = ["left", "right"]`),
				"nothing says which plate is left: plate %d could be left and plate %d right, or the other way round",
				plates[loaded[0]].number, plates[loaded[1]].number)
		}
		if side < 0 {
			left, right = second, first
		}
		a.explain(left, "by position")
		a.explain(right, "by position")
		a.remark("left and right are from the plates' positions, for an athlete who faces %s; if that is wrong, set columns in a "+
			"[[reader]] block of plateside.toml", facing)
	}
	a.left, a.right = []*column{left}, []*column{right}
	return nil
}

func sideOfWords(words []string) Role {
	side := Unused
	for _, w := range words {
		said := Unused
		switch meaningOf(w) { //nolint:exhaustive // only sides are asked for
		case saysLeft:
			said = Left
		case saysRight:
			said = Right
		}
		if said != Unused && side != Unused && side != said {
			return Unused
		}
		if said != Unused {
			side = said
		}
	}
	return side
}

// labelsOf joins the labels and descriptions of channels, for words like left and right in them.
func labelsOf(f *c3d.File, channels []int) string {
	labels, notes := f.Strings("ANALOG", "LABELS"), f.Strings("ANALOG", "DESCRIPTIONS")
	var out []string
	for _, c := range channels {
		if c < len(labels) {
			out = append(out, labels[c])
		}
		if c < len(notes) {
			out = append(out, notes[c])
		}
	}
	return strings.Join(out, " ")
}
