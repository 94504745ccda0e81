package board

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Which arch readings are taken for wrong, or for a place where the board is no
// cone.
const (
	ringSigmas   = 4.0  // off the others
	priorMM      = 30.0 // how far, about, radii stray on boards: only says which of few readings is odd
	priorCrownMM = 0.2  // the same of a flat board, as the height of its middle
	unclearChi2  = 6.0  // two readings whose leaving out explains as well as this differ too little to tell which is wrong
)

// judgeRadius joins all that was read across the board to one cone and holds it
// against the wanted one.
func (j *job) judgeRadius() {
	w := ways{rings: j.rings()}
	w.tops, w.passes = j.tops()
	for _, r := range j.readings {
		if r.Method == reading.Sticks {
			w.sticks = append(w.sticks, r)
		}
	}
	j.oddRings(w)
	j.nameRings(w.rings)
	j.fitCone(w)
	j.twist(w)
	j.archVerdicts(w)
}

func taken(k ring) bool { return k.state == inCone }

// stray is the prior of a board's radii, or curvatures.
func (j *job) stray() float64 {
	if !j.flat() {
		return priorMM
	}
	half := j.l.Width(0) / 2
	return priorCrownMM * 2 / (half * half)
}

// oddRings finds the arch readings that the others do not bear out.
func (j *job) oddRings(w ways) {
	if len(w.rings) < 3 {
		return // two that differ do not say which is wrong
	}
	for range len(w.rings) {
		worst := j.leaveRingsOut(w)
		if worst < 0 {
			return
		}
		odd := &w.rings[worst]
		if odd.shownByLanes() {
			odd.state = real
			continue
		}
		if mate := j.mateOf(w, worst); mate >= 0 {
			odd.state, w.rings[mate].state = real, real
			continue
		}
		odd.state = aside
		without := j.misfit(w, taken)
		for k := range w.rings {
			if w.rings[k].state != inCone || math.Abs(w.rings[k].e) < ringSigmas*w.rings[k].sd {
				continue
			}
			one := func(r ring) bool { return r.reading != w.rings[k].reading && (taken(r) || r.reading == odd.reading) }
			if j.misfit(w, one)-without < unclearChi2 {
				w.rings[k].state, odd.state = unclear, unclear
			}
		}
	}
}

// shownByLanes reports whether the lanes there stand off their lines as the arch
// reading stands off the others.
func (k ring) shownByLanes() bool {
	const sigmas = 2.5
	return k.uLocal > 0 && k.local*k.e > 0 && math.Abs(k.local) >= math.Max(bornPart*math.Abs(k.e), sigmas*k.uLocal)
}

// misfit is what a cone about the wanted one leaves of the readings in use.
func (j *job) misfit(w ways, use func(ring) bool) float64 {
	if _, f, ok := j.settled(w, j.stray(), use); ok {
		return f.chi2
	}
	return math.Inf(1)
}

// leaveRingsOut says of each arch reading how far it is off what the others say,
// and which is the farthest, −1 where none is far. The others' own scatter widens
// what they say.
func (j *job) leaveRingsOut(w ways) int {
	b, _, ok := j.settled(w, j.stray(), taken)
	if !ok {
		b = about{}
	}
	worst, most := -1, ringSigmas
	for i := range w.rings {
		k := &w.rings[i]
		if k.state != inCone {
			continue
		}
		f, ok := j.fit(w, b, j.stray(), func(r ring) bool { return taken(r) && r.reading != k.reading })
		if !ok {
			return -1
		}
		f.widen()
		k.e, k.sd = j.offCone(*k, b, f)
		if f.spare >= 1 {
			k.sd *= math.Max(1, math.Sqrt(f.chi2/f.spare))
		}
		if math.Abs(k.e)/k.sd > most {
			worst, most = i, math.Abs(k.e)/k.sd
		}
	}
	return worst
}

// offCone is how far a reading is off a fit about a cone, and its standard
// deviation.
func (j *job) offCone(k ring, b about, f coneFit) (e, sd float64) {
	s, slope := j.effect(b, k.x, k.half)
	v, u := f.at(k.x)
	return k.value - s - slope*v, math.Hypot(k.u, slope*u)
}

// mateOf is another arch reading at the same slot, or at the next slot read, that
// is off the cone the same way without the odd one; −1 where there is none.
func (j *job) mateOf(w ways, odd int) int {
	o := w.rings[odd]
	b, _, ok := j.settled(w, j.stray(), func(r ring) bool { return taken(r) && r.reading != o.reading })
	if !ok {
		return -1
	}
	best, at := 0.0, -1
	for i, k := range w.rings {
		if i == odd || k.state != inCone || between(w.rings, o.fret, k.fret) {
			continue
		}
		both, ok := j.fit(w, b, j.stray(), func(r ring) bool { return taken(r) && r.reading != o.reading && r.reading != k.reading })
		if !ok {
			continue
		}
		eo, _ := j.offCone(o, b, both)
		e, sd := j.offCone(k, b, both)
		if e*eo > 0 && math.Abs(e) >= math.Max(bornPart*math.Abs(eo), bornSigmas*sd) && math.Abs(e)/sd > best {
			best, at = math.Abs(e)/sd, i
		}
	}
	return at
}

// between reports whether some slot read across lies between two.
func between(rings []ring, a, b int) bool {
	return slices.ContainsFunc(rings, func(k ring) bool { return k.fret > min(a, b) && k.fret < max(a, b) })
}

// nameRings lists the arch readings to take again.
func (j *job) nameRings(rings []ring) {
	for i, k := range rings {
		r := j.readings[k.reading]
		m := Misread{Reading: k.reading, Fret: k.fret, Lane: r.Lane, ValueMM: r.Value, ExpectedMM: r.Value - k.e, Why: OddAcross, OffMM: math.Abs(k.e)}
		switch k.state {
		case aside:
		case unclear:
			m.Why = OddOrOther
		default:
			continue
		}
		j.a.Arches[i].open = !slices.ContainsFunc(rings, func(o ring) bool { return o.fret == k.fret && taken(o) })
		j.a.Misreads = append(j.a.Misreads, m)
	}
}

// fitCone fits the cone and holds it against the wanted one at both its ends: a
// straight line strays farthest at an end.
func (j *job) fitCone(w ways) {
	from, to, ok := j.acrossRange(w)
	if !ok {
		return
	}
	b, f, settled := j.settled(w, math.Inf(1), taken)
	x0, x1, last := j.l.CentreX(from), j.l.CentreX(to), j.length()
	c := &Cone{FromFret: from, ToFret: to, FromWantedMM: j.l.Radius(x0), ToWantedMM: j.l.Radius(x1)}
	if !settled || j.flat() {
		j.curvature = j.curvatures(w)
	} else {
		f.widen()
		c.NutMM, c.LastMM = j.radiusAbout(b, 0), j.radiusAbout(b, last)
		c.FromMM, c.ToMM = j.radiusAbout(b, x0), j.radiusAbout(b, x1)
		_, c.UNutMM = f.at(0)
		_, c.ULastMM = f.at(last)
		_, c.UFromMM = f.at(x0)
		_, c.UToMM = f.at(x1)
		j.a.Cone = c
	}
	held := j.limitsOf(w, taken)
	c.scatter = held.scale()
	for _, x := range []float64{x0, x1} {
		over, under := held.at(x)
		c.offChance = math.Max(c.offChance, math.Min(1, over+under))
	}
	j.cone = c
}

// curvatures are those of a parabola across the board, at the nut and at the last
// slot: all that can be said of a board that is flat or hollow.
func (j *job) curvatures(w ways) [2]float64 {
	flat := *j
	flat.asFlat = true
	if f, ok := flat.fit(w, about{}, math.Inf(1), taken); ok {
		return [2]float64{f.value[0], f.value[1]}
	}
	return [2]float64{}
}

// acrossRange is the first and the last slot read across, of readings in the
// cone; ok is false where they are one.
func (j *job) acrossRange(w ways) (from, to int, ok bool) {
	from, to = j.l.LastFret(), j.l.FirstFret()
	for _, k := range w.rings {
		if taken(k) {
			from, to = min(from, k.fret), max(to, k.fret)
		}
	}
	for _, f := range j.probed() {
		from, to = min(from, f), max(to, f)
	}
	return from, to, from < to
}

// limits are the cone's fits linearised at the very limits that it is held
// against, where its chances are decided: the flattest and the roundest board
// allowed. A flat board has one fit for both.
type limits struct {
	over, under      coneFit
	fixed, roundOpen bool       // the readings fix a cone; no radius is too small to allow
	curvature        float64    // of a flat board: the limit of its curvature
	same             bool       // one place speaks for all:
	all              [2]float64 // by these chances
}

// scale is by how much the readings scatter more than they state.
func (f limits) scale() float64 { return math.Max(1, math.Max(f.over.scale, f.under.scale)) }

// limitsOf fits the cone at its limits from the readings in use.
func (j *job) limitsOf(w ways, use func(ring) bool) limits {
	at := func(off float64) (f coneFit, ok bool) {
		if f, ok = j.fit(w, about{off, off}, math.Inf(1), use); ok {
			f.widen()
		}
		return f, ok
	}
	var out limits
	if j.flat() {
		out.curvature = j.flatLimit(w.rings)
		out.over, out.fixed = at(0)
		return out
	}
	within := j.m.Board.RadiusWithin
	out.over, out.fixed = at(within)
	if out.roundOpen = !j.sane(about{-within, -within}); !out.roundOpen {
		var ok bool
		out.under, ok = at(-within)
		out.fixed = out.fixed && ok
	}
	return out
}

// flatLimit is the curvature that a flat board may have: its middle half of
// board.flat over, or under, the feet of the widest gauge.
func (j *job) flatLimit(rings []ring) float64 {
	half := widest(rings, func(ring) bool { return true })
	if half == 0 {
		half = j.l.Width(j.length()) / 2
	}
	return j.m.Board.Flat / (half * half)
}

// at are the chances that the radius at x is more than board.radius_within over,
// or under, the wanted one; a half each where the readings do not fix it.
func (f limits) at(x float64) (over, under float64) {
	if !f.fixed {
		return 0.5, 0.5
	}
	if f.same {
		return f.all[0], f.all[1]
	}
	v, u := f.over.at(x)
	if f.curvature > 0 {
		return straight.Beyond(f.curvature-v, u), straight.Beyond(f.curvature+v, u)
	}
	over = straight.Beyond(-v, u)
	if !f.roundOpen {
		v, u = f.under.at(x)
		under = straight.Beyond(v, u)
	}
	return over, under
}

// twist is what sticks or a probe say of it.
func (j *job) twist(w ways) {
	if len(w.sticks) == 0 && len(w.tops) == 0 {
		return
	}
	_, f, ok := j.settled(w, j.stray(), taken)
	if !ok {
		return
	}
	last := j.l.LastFret()
	across := j.l.At(last, 1).Y - j.l.At(last, float64(j.l.Strings())).Y
	part := (j.l.CentreX(last) - j.l.CentreX(j.l.FirstFret())) / f.last * across / twistScale
	j.a.Twist = &Twist{MM: f.value[2] * part, UMM: math.Sqrt(f.cov.At(2, 2)) * math.Abs(part), readings: len(w.sticks)}
}
