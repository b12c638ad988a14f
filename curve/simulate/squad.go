package simulate

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"plateside/curve"
)

// A File is a recording as text.
type File struct {
	Name string
	Text []byte
}

// SquadTitle is the name of the invented session.
const SquadTitle = "Northmoor Canoe Club, week 3"

// An athlete is a person who does not exist.
type athlete struct {
	name string
	file string
	body Jump // what does not change from rep to rep
	reps []Jump
}

// Squad returns the recordings of one morning of testing at an invented canoe club: steady jumpers, single and double
// humps, a slow one, one who favours the left and one the right leg after an old sprain, and every kind of spoilt rep
// where a tester meets it. The same files every time.
func Squad() []File {
	var files []File
	for i, a := range athletes() {
		for k, j := range a.reps {
			rec, _ := Record(a.jump(j, uint64(100*i+k+1)))
			files = append(files, File{fmt.Sprintf("%s-%d.csv", a.file, k+1), commaText(a.name, rec)})
		}
	}
	files = append(files, File{"sanna-1to3.txt", semicolonText("Sanna Virtala", continuous())})
	one, _ := Record(Jump{MassKg: 71, HeightM: 0.31, DipG: 0.5, DipS: 0.34, BrakeG: 1.1, Humps: 1, LeftShare: 0.5, StandLeft: 0.5,
		StanceS: 2.2, AfterS: 3, RateHz: 500, NoiseN: 1.1, SwayPct: 0.2, Seed: 77})
	files = append(files, File{"idris-oneplate.csv", totalText("Idris Calloway", one)})
	files = append(files, File{"desk-note.txt", []byte("Left plate was moved before the second group.\nCheck cable of plate 2 at lunch.\n")})
	return files
}

// jump lays a rep over an athlete's body.
func (a athlete) jump(j Jump, seed uint64) Jump {
	out := a.body
	out.HeightM += j.HeightM
	out.DipG += j.DipG
	out.StanceS += j.StanceS
	out.Fault, out.Size, out.Seed = j.Fault, j.Size, seed
	return out
}

func athletes() []athlete {
	body := func(mass, height float64, humps int, left float64) Jump {
		return Jump{MassKg: mass, HeightM: height, DipG: 0.52, DipS: 0.35, BrakeG: 1.15, Humps: humps, LeftShare: left,
			StandLeft: 0.5 + (left-0.5)/3, StanceS: 2.2, AfterS: 3, RateHz: 1000, NoiseN: 1, SwayPct: 0.2}
	}
	slow := body(83.4, 0.27, 1, 0.49)
	slow.DipS, slow.DipG, slow.BrakeG = 0.47, 0.36, 0.78
	deep := body(91.2, 0.41, 2, 0.508)
	deep.DipG, deep.DipS = 0.62, 0.39
	heel := body(64.8, 0.29, 1, 0.447)
	return []athlete{
		{"Maren Holt", "maren", body(67.5, 0.318, 1, 0.505), []Jump{
			{}, {HeightM: 0.006}, {Fault: StanceSway, Size: 3.2}, {HeightM: 0.002, StanceS: 0.4}}},
		{"Tobias Renner", "tobias", deep, []Jump{
			{}, {Fault: StanceShift, Size: 13}, {HeightM: -0.008}, {HeightM: 0.004, Fault: ExtraHop}, {HeightM: 0.003}}},
		{"Wilhelmina Osei", "wilhelmina", heel, []Jump{
			{}, {Fault: EarlyLoad, Size: 9}, {HeightM: 0.005, Fault: Fidget, StanceS: 1.8}, {HeightM: -0.004}}},
		{"Jorun Vik", "jorun", slow, []Jump{
			{}, {HeightM: 0.004, Fault: StanceShort, Size: 0.34}, {HeightM: 0.003}, {HeightM: -0.09, DipG: -0.06}}},
		{"Caspian Doyle", "caspian", body(76.1, 0.362, 2, 0.553), []Jump{
			{}, {HeightM: 0.005, Fault: OffPlate}, {HeightM: -0.003, Fault: Tuck}, {HeightM: 0.001}, {Fault: StanceSway, Size: 1.25}}},
		{"Lupe Arana", "lupe", body(58.3, 0.254, 1, 0.497), []Jump{
			{Fault: NoFlight}, {}, {HeightM: 0.003, Fault: Gap, Size: 0.06}, {HeightM: -0.002, Fault: Saturated}, {Fault: ZeroOffset}, {HeightM: 0.004}, {HeightM: 0.001}}},
	}
}

// continuous is one long recording: steps on, jumps three times, steps off.
func continuous() *curve.Recording {
	rec := &curve.Recording{RateHz: 1000}
	add := func(part *curve.Recording) {
		rec.Left, rec.Right, rec.Total = append(rec.Left, part.Left...), append(rec.Right, part.Right...), append(rec.Total, part.Total...)
	}
	base := Jump{MassKg: 62, HeightM: 0.292, DipG: 0.5, DipS: 0.34, BrakeG: 1.2, Humps: 2, LeftShare: 0.492, StandLeft: 0.497,
		StanceS: 2.4, AfterS: 3, RateHz: 1000, NoiseN: 0.9, SwayPct: 0.18}
	add(step(base, 1.2, true))
	for i, change := range []Jump{{}, {HeightM: 0.006}, {HeightM: -0.003, Fault: StanceShift, Size: 9}} {
		part, _ := Record(athlete{body: base}.jump(change, uint64(900+i)))
		add(part)
	}
	add(step(base, 1.2, false))
	return rec
}

// step is the stretch in which somebody steps on the plates, or off them.
func step(j Jump, seconds float64, on bool) *curve.Recording {
	n := int(seconds * j.RateHz)
	rec := &curve.Recording{RateHz: j.RateHz}
	for i := range n {
		x := float64(i) / float64(n)
		if !on {
			x = 1 - x
		}
		foot := func(from float64) float64 {
			s := math.Max(0, math.Min(1, (x-from)/0.25))
			return s * s * (3 - 2*s)
		}
		first, second := foot(0.35), foot(0.62)
		w := j.MassKg * gravityMS2
		l := w * (first*(1-second) + second*j.StandLeft)
		r := w * second * (1 - j.StandLeft)
		rec.Left, rec.Right, rec.Total = append(rec.Left, round2(l)), append(rec.Right, round2(r)), append(rec.Total, round2(l)+round2(r))
	}
	return rec
}

func commaText(name string, rec *curve.Recording) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Athlete: %s\nSession: %s\nRate: %g Hz\n\ntime_s,left_n,right_n\n", name, SquadTitle, rec.RateHz)
	for i := range rec.Left {
		fmt.Fprintf(&b, "%.4f,%s,%s\n", float64(i)/rec.RateHz, cell(rec.Left[i]), cell(rec.Right[i]))
	}
	return []byte(b.String())
}

func semicolonText(name string, rec *curve.Recording) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Athlete: %s\nRate: %g Hz\n\nRight (N);Left (N);Time (s)\n", name, rec.RateHz)
	for i := range rec.Left {
		row := fmt.Sprintf("%s;%s;%.4f\n", cell(rec.Right[i]), cell(rec.Left[i]), float64(i)/rec.RateHz)
		b.WriteString(strings.ReplaceAll(row, ".", ","))
	}
	return []byte(b.String())
}

func totalText(name string, rec *curve.Recording) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Athlete: %s\nRate: %g Hz\n\nForce (N)\n", name, rec.RateHz)
	for _, v := range rec.Total {
		b.WriteString(cell(v) + "\n")
	}
	return []byte(b.String())
}

func cell(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}
