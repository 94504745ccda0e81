package board

import (
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// archVerdicts says of each place read across whether the board is round there:
// by the cone, or, where the board is no cone, by the readings there alone. Two
// ends of one cone are held against the limit, so not round takes half of 5 %.
func (j *job) archVerdicts(w ways) {
	all, rest := j.limitsOf(w, taken), j.restLimits(w)
	clear := j.clearly(w)
	for i := range w.rings {
		k, a := w.rings[i], &j.a.Arches[i]
		switch {
		case k.state == real:
			j.localVerdict(w, k, a, all.scale())
			continue
		case k.state != inCone:
			continue
		}
		if j.cone == nil { // one place alone
			over, under, _ := j.offMean(w, 1, func(r ring) bool { return r.fret == k.fret && taken(r) })
			if over+under <= doubtful {
				a.Verdict = Round
			}
			continue
		}
		over, under := all.at(k.x)
		j.coneAt(a, k.x)
		switch {
		case over+under <= doubtful:
			a.Verdict = Round
		case math.Max(over, under) >= 1-doubtful/2 && clear && borneByOthers(rest, k.x, over > under):
			a.Verdict = NotRound
		}
	}
}

// minClear is how many readings must agree for not round to be said where some
// do not.
const minClear = 4

// clearly reports whether the readings in the cone are enough to say not round
// beside those that were set aside.
func (j *job) clearly(w ways) bool {
	n, odd := 0, 0
	for _, k := range w.rings {
		switch k.state {
		case inCone:
			n++
		case aside, unclear:
			odd++
		}
	}
	return odd == 0 || n >= minClear || len(w.tops) > 0
}

// coneAt gives an arch the cone's radius at its place.
func (j *job) coneAt(a *Arch, x float64) {
	c := j.a.Cone
	if c == nil {
		return
	}
	r := j.linear(x, c.NutMM, c.LastMM)
	a.ConeMM = num.Some(r)
	x0, x1 := j.l.CentreX(c.FromFret), j.l.CentreX(c.ToFret)
	// A line's variance is a parabola along it; three of its places give it.
	a.UConeMM = math.Sqrt(math.Max(0, parabola(x,
		[3]float64{0, x0, x1}, [3]float64{c.UNutMM * c.UNutMM, c.UFromMM * c.UFromMM, c.UToMM * c.UToMM})))
	half := j.l.Width(x) / 2
	a.MiddleMM = sag(r, half) - sag(a.WantedMM.Or(math.Inf(1)), half)
	a.uMiddleMM = math.Abs(sagSlope(r, half)) * a.UConeMM
}

// parabola is Lagrange's through three places.
func parabola(x float64, at, v [3]float64) (sum float64) {
	for i := range at {
		w := v[i]
		for k := range at {
			if k != i {
				w *= (x - at[k]) / (at[i] - at[k])
			}
		}
		sum += w
	}
	return sum
}

// offMean are the chances that the mean radius of some readings is off the wanted
// one by more than is allowed; their uncertainty is taken scale times as large.
func (j *job) offMean(w ways, scale float64, use func(ring) bool) (over, under float64, ok bool) {
	mean := func(shift float64) (v, u float64) {
		sum, weight := 0.0, 0.0
		for _, k := range w.rings {
			if !use(k) {
				continue
			}
			s, slope := j.effect(about{shift, shift}, k.x, k.half)
			wk := slope * slope / (k.u * k.u)
			sum, weight = sum+wk*(k.value-s)/slope, weight+wk
		}
		return sum / weight, scale / math.Sqrt(weight)
	}
	half := widest(w.rings, use)
	if half == 0 {
		return 0, 0, false
	}
	if j.flat() {
		v, u := mean(0)
		limit := j.m.Board.Flat / (half * half)
		return straight.Beyond(limit-v, u), straight.Beyond(limit+v, u), true
	}
	within := j.m.Board.RadiusWithin
	v, u := mean(within)
	over = straight.Beyond(-v, u)
	if j.sane(about{-within, -within}) {
		v, u = mean(-within)
		under = straight.Beyond(v, u)
	}
	return over, under, true
}

// widest is half the widest span of the readings in use, mm; 0 of none.
func widest(rings []ring, use func(ring) bool) (half float64) {
	for _, k := range rings {
		if use(k) {
			half = math.Max(half, k.half)
		}
	}
	return half
}

// restLimits are the cone's limits without each of the readings in turn.
func (j *job) restLimits(w ways) []limits {
	var out []limits
	for _, k := range w.rings {
		if !taken(k) {
			continue
		}
		rest := func(r ring) bool { return taken(r) && r.reading != k.reading }
		if slots(w.rings, rest) >= 2 || len(w.tops) > 0 {
			out = append(out, j.limitsOf(w, rest))
			continue
		}
		over, under, ok := j.offMean(w, 1, rest)
		out = append(out, limits{same: true, fixed: ok, all: [2]float64{over, under}})
	}
	return out
}

// borneByOthers reports whether the radius at x is off the same way without any
// single reading: likely, by one standard deviation.
func borneByOthers(rest []limits, x float64, flatter bool) bool {
	const likely = 0.84
	for _, f := range rest {
		over, under := f.at(x)
		if flatter && over < likely || !flatter && under < likely {
			return false
		}
	}
	return len(rest) >= 2
}

// slots counts the slots at which readings in use were taken.
func slots(rings []ring, use func(ring) bool) int {
	seen := map[int]bool{}
	for _, k := range rings {
		if use(k) {
			seen[k.fret] = true
		}
	}
	return len(seen)
}

// localVerdict judges a place where the board stands off its own cone, by the
// readings that agree there.
func (j *job) localVerdict(w ways, k ring, a *Arch, scale float64) {
	over, under, ok := j.offMean(w, scale, func(r ring) bool { return r.state == real && r.fret == k.fret })
	if !ok {
		return
	}
	switch off := over + under; {
	case off <= doubtful:
		a.Verdict = Round
		if c := j.cone; c != nil {
			c.offChance = math.Max(c.offChance, off)
		}
	case math.Max(over, under) >= 1-doubtful/float64(2*len(w.rings)): // picked from so many
		a.Verdict = NotRound
	default:
		a.open = true
	}
}
