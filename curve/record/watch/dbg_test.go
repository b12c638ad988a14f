package watch_test
import ("testing";"sort";"path/filepath")
func (d *day) dbg(t testing.TB) {
	type x struct{p string; v float64}
	var xs []x
	for path, done := range d.done { if len(d.want[path])==1 { xs = append(xs, x{path, d.l.at[path].Sub(done).Seconds()}) } }
	sort.Slice(xs, func(i,j int) bool { return xs[i].v > xs[j].v })
	for _, e := range xs[:40] { s := ""; for _, ev := range d.l.events { if ev.Source.Path == e.p { s += ev.Kind.String()+":"+ev.Text+"; " } }; t.Log(filepath.Base(e.p), e.v, s) }
	for _, e := range xs[len(xs)/10:len(xs)/10+5] { t.Log(e) }
}
