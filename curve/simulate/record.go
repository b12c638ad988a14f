package simulate

import (
	"math"
	"math/rand/v2"

	"plateside/curve"
)

// Record jumps j and returns the recording and what is true of it.
func Record(j Jump) (*curve.Recording, Truth) {
	rng := rand.New(rand.NewPCG(j.Seed, 0x706c617465))
	if j.Fault == StanceShort {
		j.StanceS = orPlain(j.Size, 0.3)
	}
	p := newPush(j)
	body := p.body()
	clean := p.truth(body)
	weight := j.MassKg * gravityMS2
	unrest := newUnrest(j, rng)
	n := int(body.endS * j.RateHz)
	phase := rng.Float64() // the plates' clock is not the body's
	rec := &curve.Recording{RateHz: j.RateHz, Left: make([]float64, n), Right: make([]float64, n), Total: make([]float64, n)}
	at := func(i int) float64 { return (float64(i) + phase) / j.RateHz }
	for i := range n {
		t := at(i)
		total, loaded := body.force(t), body.loaded(t)
		left := j.StandLeft
		if loaded {
			total += unrest.total(t, j.StanceS) * weight
			left = unrest.share(t, j.StanceS, p.shareAt(t-j.StanceS))
		}
		l, r := total*left, total*(1-left)
		if j.Fault == OffPlate && t > body.landingS {
			l = 0
		}
		rec.Left[i], rec.Right[i] = l+rng.NormFloat64()*j.NoiseN, r+rng.NormFloat64()*j.NoiseN
	}
	clean.shift(phase / j.RateHz)
	spoil(rec, j, clean)
	for i := range n {
		rec.Left[i], rec.Right[i] = round2(rec.Left[i]), round2(rec.Right[i])
		rec.Total[i] = rec.Left[i] + rec.Right[i]
	}
	return rec, clean
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }

func orPlain(size, plain float64) float64 {
	if size == 0 {
		return plain
	}
	return size
}

// shareAt is the left share a time after the onset: from standing to the push's own within the dip.
func (p *push) shareAt(t float64) float64 {
	x := math.Max(0, math.Min(1, t/p.dipS))
	if t > p.lasts()+p.flightS+1 {
		x = math.Max(0, 1-(t-p.lasts()-p.flightS-1)*2)
	}
	blend := x * x * (3 - 2*x)
	return p.j.StandLeft + (p.j.LeftShare-p.j.StandLeft)*blend
}

// shift moves the truth to the recording's clock, whose first sample lies phaseS after the body's zero.
func (t *Truth) shift(phaseS float64) {
	for _, v := range []*float64{&t.OnsetS, &t.MinForceS, &t.PeakDownVelocityS, &t.LowPointS, &t.TakeoffS, &t.LandingS} {
		*v -= phaseS
	}
}

// spoil does to a recording what is done to plates rather than by the body.
func spoil(rec *curve.Recording, j Jump, t Truth) {
	switch j.Fault {
	case Gap:
		lost := orPlain(j.Size, 0.05)
		from := rec.Sample((t.LowPointS + t.TakeoffS) / 2)
		for i := from; i < from+int(lost*j.RateHz); i++ {
			rec.Left[i], rec.Right[i] = math.NaN(), math.NaN()
		}
	case Saturated:
		top := orPlain(j.Size, 0.85*(1+j.BrakeG)/2*j.MassKg*gravityMS2)
		for i := range rec.Left {
			rec.Left[i], rec.Right[i] = math.Min(rec.Left[i], top), math.Min(rec.Right[i], top)
		}
	case ZeroOffset:
		for i := range rec.Left {
			rec.Left[i] += orPlain(j.Size, 0.045*j.MassKg*gravityMS2)
		}
	}
}

// A body is the total force of a whole rep on the inner clock.
type body struct {
	fine              []float64
	air               []bool
	takeoffS          float64
	landingS, endS    float64
	minForceS, depthM float64
}

func (b *body) force(t float64) float64 {
	x := t * fineHz
	i := int(x)
	if i >= len(b.fine)-1 {
		return b.fine[len(b.fine)-1]
	}
	return b.fine[i] + (b.fine[i+1]-b.fine[i])*(x-float64(i))
}

func (b *body) loaded(t float64) bool { return !b.air[min(len(b.air)-1, int(t*fineHz))] }

// body steps through the rep: stance, push, flight, landing.
func (p *push) body() *body {
	weight := p.j.MassKg * gravityMS2
	b := &body{takeoffS: p.j.StanceS + p.lasts()}
	if p.j.Fault == NoFlight {
		return p.rise(weight)
	}
	b.landingS = b.takeoffS + p.flightS
	b.endS = b.landingS + p.j.AfterS
	lowest := math.Inf(1)
	v, y := 0.0, 0.0
	land := newLander(p.j.MassKg, p.j.Fault == ExtraHop)
	for i := 0; i <= int(b.endS*fineHz)+1; i++ {
		t := float64(i) / fineHz
		f, air := 0.0, false
		switch {
		case t < b.takeoffS:
			f = weight * (1 + p.net(t-p.j.StanceS))
			if s := t - p.j.StanceS; s > 0 && s < p.dipS && f < lowest {
				lowest, b.minForceS = f, t
			}
		case t < b.landingS:
			air = true
		default:
			f, air = land.force(t-b.landingS, y, v)
		}
		b.fine, b.air = append(b.fine, f), append(b.air, air)
		if t < p.j.StanceS {
			continue
		}
		a := f/p.j.MassKg - gravityMS2
		v, y = v+a/fineHz, y+(v+a/2/fineHz)/fineHz
		if t < b.takeoffS {
			b.depthM = math.Max(b.depthM, -y)
		}
	}
	return b
}

// rise is a body that dips and rises on its toes without leaving the plates.
func (p *push) rise(weight float64) *body {
	nan := math.NaN()
	b := &body{takeoffS: nan, landingS: nan, minForceS: nan, depthM: nan}
	const lastsS = 1.6
	b.endS = p.j.StanceS + lastsS + p.j.AfterS
	for i := 0; i <= int(b.endS*fineHz)+1; i++ {
		x := (float64(i)/fineHz - p.j.StanceS) / lastsS
		f := weight
		if x > 0 && x < 1 { // the fourth derivative of a smooth bump: at rest at both ends
			f -= 0.28 * weight * math.Sin(4*math.Pi*x) * math.Sin(math.Pi*x)
		}
		b.fine, b.air = append(b.fine, f), append(b.air, false)
	}
	return b
}

func (p *push) truth(b *body) Truth {
	on := p.j.StanceS
	nan := math.NaN()
	t := Truth{BodyWeightN: p.j.MassKg * gravityMS2, OnsetS: on, Fault: p.j.Fault, Humps: p.j.Humps,
		MinForceS: nan, PeakDownVelocityS: nan, LowPointS: nan, TakeoffS: nan, LandingS: nan,
		TakeoffVelocityMS: nan, JumpHeightM: nan, FlightHeightM: nan, DepthM: nan, PropulsionAsymmetryPct: nan}
	if p.j.Fault == NoFlight {
		return t
	}
	t.MinForceS, t.PeakDownVelocityS, t.LowPointS = b.minForceS, on+p.dipS, on+p.dipS+p.brakeS
	t.TakeoffS, t.LandingS = b.takeoffS, b.landingS
	t.TakeoffVelocityMS, t.JumpHeightM, t.DepthM = p.takeoffMS, p.j.HeightM, b.depthM
	t.FlightHeightM = gravityMS2 * p.flightS * p.flightS / 8
	t.PropulsionAsymmetryPct = (2*p.j.LeftShare - 1) * 100
	return t
}

// A lander is a pair of legs: a damped spring to standing that takes hold over a few hundredths of a second, and on
// request hops once.
type lander struct {
	mass   float64
	hops   bool
	hopAt  float64
	hopY   float64
	landed float64
}

func newLander(mass float64, hops bool) *lander { return &lander{mass: mass, hops: hops, hopAt: 0.75} }

const (
	legHz        = 1.35 // of the landing leg spring
	legDamping   = 0.85
	gripS        = 0.045 // in which the legs take hold
	hopPushS     = 0.16
	hopPushG     = 1.1
	hopLandGripS = 0.03
)

// force returns the force at time t after landing for height y and velocity v, and whether the body is in the air.
func (l *lander) force(t, y, v float64) (float64, bool) {
	if l.hops && t >= l.hopAt {
		switch {
		case t < l.hopAt+hopPushS:
			l.hopY = y
			x := (t - l.hopAt) / hopPushS
			return l.mass * gravityMS2 * (1 + hopPushG*math.Sin(math.Pi*x)) * math.Min(1, (1-x)*4), false
		case l.landed == 0 && (v > 0 || y > l.hopY):
			return 0, true
		case l.landed == 0:
			l.landed = t
		}
		return l.spring(t-l.landed, y, v, hopLandGripS), false
	}
	return l.spring(t, y, v, gripS), false
}

func (l *lander) spring(t, y, v, grip float64) float64 {
	omega := 2 * math.Pi * legHz
	f := l.mass * (gravityMS2 - omega*omega*y - 2*legDamping*omega*v)
	x := math.Min(1, t/grip)
	return math.Max(0, f*x*x*(3-2*x))
}

// unrest is how a stance is not still.
type unrest struct {
	j           Jump
	sway, drift waver
}

func newUnrest(j Jump, rng *rand.Rand) unrest {
	return unrest{j: j, sway: newWaver(rng, 0.25, 1.6), drift: newWaver(rng, 0.1, 0.6)}
}

// total is the unrest of the total force as a share of body weight at time t, for an onset at on.
func (u unrest) total(t, on float64) float64 {
	before := on - t
	s := u.j.SwayPct / 100 * u.sway.at(t) * standing(before)
	switch {
	case u.j.Fault == StanceSway && before > 0:
		s += orPlain(u.j.Size, 3) / 100 * math.Sin(2*math.Pi*1.3*before) * math.Min(1, before/0.15)
	case u.j.Fault == Fidget && before > 1.5:
		s += 0.07 * math.Sin(2*math.Pi*1.6*(before-1.5)) * math.Min(1, (before-1.5)/0.2)
	case u.j.Fault == EarlyLoad && before > 0.1 && before < 0.5:
		x := (0.5 - before) / 0.4
		s += orPlain(u.j.Size, 9) / 100 * math.Sin(2*math.Pi*x) * math.Sin(math.Pi*x) * 1.3
	}
	return s
}

// standing is how much of the sway there is a time before the onset: all of it in standing, none under the jump, where
// every force is the jump's own. It dies down over the last moments, since a jump begins from rest.
func standing(before float64) float64 {
	const settlesS = 0.3
	x := before / settlesS
	if before < 0 {
		x = (-before - unrestAgainS) / settlesS
	}
	x = math.Max(0, math.Min(1, x))
	return x * x * (3 - 2*x)
}

// unrestAgainS is how long after the onset weight begins to wander between the feet again, in seconds.
const unrestAgainS = 2.0

// share is the left side's share of the force at time t.
func (u unrest) share(t, on, base float64) float64 {
	s := base
	if t < on || t > on+unrestAgainS { // the push has the share that it is given
		s += 0.003 * u.drift.at(t) * math.Min(1, math.Max(on-t, t-on-unrestAgainS)/0.1)
	}
	if before := on - t; u.j.Fault == StanceShift && before > 0 {
		s += orPlain(u.j.Size, 12) / 100 * math.Sin(2*math.Pi*0.7*before) * math.Min(1, before/0.15)
	}
	return s
}
