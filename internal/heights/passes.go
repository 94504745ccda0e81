package heights

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// What may be wrong with a whole pass, and how likely before it was read.
const (
	passFaultChance = 0.002
	shortPassChance = 0.2   // of a skip, where the pass ends one crown short
	stepRange       = 400.0 // µm over which a gauge may be knocked
	saidFault       = 0.0   // ln odds over separate misreads: perhaps
	sureFault       = 2.0
	minAside        = 2 // readings of a lane set aside before its passes are looked at
)

// maxPass is more readings than a pass along one lane has: a knock is looked for
// between any two of them, each time over all of them.
const maxPass = 200

// passReading is one reading of a pass beside what the other passes say of its
// crown and of the crowns beside it.
type passReading struct {
	fret     int
	value, u float64
	said     map[int]passCrown // by fret
}

// passCrown is a crown as the other passes tell it, µm, and the chance that it is
// grooved where they do not touch it.
type passCrown struct{ mean, variance, x, groove float64 }

// suspectPass is a way in which a pass may be wrong, with its ln odds.
type suspectPass struct {
	finding string
	from    int // place in the pass
	fret    int // the first fret concerned
	shift   int // of a skip: +1 where what follows belongs to the next crown
	step    float64
	odds    float64
}

// passFaults looks at the passes of lanes with several readings set aside and
// names those that are wrong as a whole.
func passFaults(in Input, c *crowns, obs []observation, all *net, a *answer) (map[passKey]suspectPass, error) {
	aside := oddInLane(obs, a)
	out := map[passKey]suspectPass{}
	var keys []passKey
	for _, o := range obs {
		if aside[o.lane] >= minAside && o.pass != (passKey{}) && !slices.Contains(keys, o.pass) {
			keys = append(keys, o.pass)
		}
	}
	for _, k := range oddest(keys, obs, a) {
		s, err := faultOf(in, c, obs, all, k)
		if err != nil {
			return nil, err
		}
		if s.odds > saidFault && better(out, k, s) {
			out[k] = s
		}
	}
	return out, nil
}

// passWork bounds how many passes are looked at, each for an estimate of all the
// other readings: this many readings in all. Five passes in each of six lanes, or
// three in each of twelve, are within it.
const passWork = 30_000

// oddest are the passes that are looked at: all, or where they are too many,
// those with the most readings set aside. A lane read so often that some are
// left out names their misreads one by one.
func oddest(keys []passKey, obs []observation, a *answer) []passKey {
	most := max(1, passWork/max(len(obs), 1))
	if len(keys) <= most {
		return keys
	}
	odd := map[passKey]int{}
	for i, o := range obs {
		if a.good[i] < saidMisread {
			odd[o.pass]++
		}
	}
	worst := slices.Clone(keys)
	slices.SortStableFunc(worst, func(a, b passKey) int { return cmp.Compare(odd[b], odd[a]) })
	worst = worst[:most]
	return slices.DeleteFunc(slices.Clone(keys), func(k passKey) bool { return !slices.Contains(worst, k) })
}

// oddInLane counts the readings set aside in each lane.
func oddInLane(obs []observation, a *answer) map[float64]int {
	odd := map[float64]int{}
	for i, o := range obs {
		if a.good[i] < saidMisread {
			odd[o.lane]++
		}
	}
	return odd
}

// better keeps one fault a lane: two passes that contradict each other each look
// wrong beside the other.
func better(found map[passKey]suspectPass, k passKey, s suspectPass) bool {
	for other, o := range found {
		if other.lane != k.lane {
			continue
		}
		if o.odds >= s.odds {
			return false
		}
		delete(found, other)
	}
	return true
}

// faultOf weighs what may be wrong with one pass against separate misreads, the
// neck being estimated without it.
func faultOf(in Input, c *crowns, obs []observation, all *net, k passKey) (suspectPass, error) {
	rest := slices.DeleteFunc(slices.Clone(obs), func(o observation) bool { return o.pass == k })
	none := suspectPass{odds: math.Inf(-1)}
	if len(rest) == 0 {
		return none, nil
	}
	n := newNet(in, c, rest)
	n.begin(beginnings()[0])
	if err := n.settleDown(narrow(), maxRounds/2); err != nil {
		return none, err
	}
	s, err := n.sums()
	if err != nil {
		return none, err
	}
	list := passReadings(n, s, c, obs, all, k)
	if len(list) < 6 || len(list) > maxPass {
		return none, nil
	}
	best := weighFaults(list, in.Layout.LastFret())
	if best.finding != "" {
		best.fret = list[best.from].fret
	}
	return best, nil
}

// passReadings puts a pass's readings beside what the others say.
func passReadings(n *net, s *crownSums, c *crowns, obs []observation, all *net, k passKey) []passReading {
	said := map[int]passCrown{}
	joint := n.joint(s)
	for i, p := range c.list {
		if p.lane == k.lane {
			f, l := n.frets[n.fretOf[i]], n.laneOf[i]
			groove := 0.0
			if len(f.rows[l]) == 0 {
				groove = all.frets[n.fretOf[i]].pi[l]
			}
			said[p.fret] = passCrown{s.z[i], n.lineFree(joint, i), n.scaledX(i), groove}
		}
	}
	var out []passReading
	for _, o := range obs {
		if o.pass != k {
			continue
		}
		crown := c.index[place{o.frets[0], o.lane}]
		out = append(out, passReading{
			fret: o.frets[0], value: micro*o.weights[0]*o.value - n.shape[crown], u: micro * o.u, said: said,
		})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].fret < out[j].fret })
	return out
}

// lineFree is a crown's variance in its lane's free datum.
func (n *net) lineFree(cov interface{ At(i, j int) float64 }, crown int) float64 {
	for k, span := range n.c.lanes {
		if crown >= span.to {
			continue
		}
		q := n.lines()[k]
		m := span.to - span.from
		w := make([]float64, m)
		w[crown-span.from] = 1
		project(w, q)
		v := 0.0
		for i, a := range w {
			for j, b := range w {
				v += a * b * cov.At(span.from+i, span.from+j)
			}
		}
		return v
	}
	return 0
}

// weighFaults tries every fault at every place of a pass.
func weighFaults(list []passReading, last int) suspectPass {
	frets := float64(len(list))
	plain, _ := passLikelihood(list, nil, -1)
	best := suspectPass{odds: math.Inf(-1)}
	try := func(s suspectPass, log, chance float64) {
		if s.odds = log - plain + math.Log(chance); s.odds > best.odds {
			best = s
		}
	}
	short := list[len(list)-1].fret == last-1
	for n := 1; n < len(list); n++ {
		if n >= 2 && n <= len(list)-2 {
			log, step := passLikelihood(list, nil, n)
			try(suspectPass{finding: Knocked, from: n, step: step}, log, passFaultChance/frets)
		}
		for _, shift := range []int{1, -1} {
			chance := passFaultChance / (2 * frets)
			if short && shift == 1 {
				chance = shortPassChance / (2 * frets)
			}
			if log, _ := passLikelihood(list, shifted(list, n, shift), -1); !math.IsNaN(log) {
				try(suspectPass{finding: Skipped, from: n, shift: shift}, log, chance)
			}
		}
		log, _ := passLikelihood(list, swapped(list, n), -1)
		try(suspectPass{finding: Swapped, from: n - 1}, log, passFaultChance/frets)
	}
	return best
}

// shifted are the frets that a pass's readings belong to where from place n on
// each stands one crown off.
func shifted(list []passReading, n, shift int) []int {
	frets := make([]int, len(list))
	for i, r := range list {
		frets[i] = r.fret
		if i >= n {
			frets[i] += shift
		}
	}
	return frets
}

func swapped(list []passReading, n int) []int {
	frets := make([]int, len(list))
	for i, r := range list {
		frets[i] = r.fret
	}
	frets[n], frets[n-1] = frets[n-1], frets[n]
	return frets
}

// passLikelihood is the ln likelihood of a pass with a line of its own, and a step
// from place stepAt on where that is not −1, each reading being a misread with a
// small chance. frets are what the readings belong to; nil: as they say. The line
// is found by reweighting; its own doubt is much alike in all cases and left out.
func passLikelihood(list []passReading, frets []int, stepAt int) (log, step float64) {
	type point struct{ x, y, v, groove float64 }
	points := make([]point, 0, len(list))
	at := make([]int, 0, len(list))
	lost := 0
	for i, r := range list {
		f := r.fret
		if frets != nil {
			f = frets[i]
		}
		c, known := r.said[f]
		if !known { // beyond the neck's end, or a crown nobody else tells of
			lost++
			continue
		}
		points = append(points, point{c.x, r.value - c.mean, r.u*r.u + c.variance, c.groove})
		at = append(at, i)
	}
	if lost > 1 {
		return math.NaN(), 0
	}
	weights := make([]float64, len(points))
	resid := make([]float64, len(points))
	for i := range weights {
		weights[i] = 1
	}
	var info float64
	for round := range 25 {
		var s, sx, sxx, sy, sxy, t, tx, ty float64
		for i, p := range points {
			w := weights[i] / p.v
			s, sx, sxx, sy, sxy = s+w, sx+w*p.x, sxx+w*p.x*p.x, sy+w*p.y, sxy+w*p.x*p.y
			if stepAt >= 0 && at[i] >= stepAt {
				t, tx, ty = t+w, tx+w*p.x, ty+w*p.y
			}
		}
		var a, b float64
		a, b, step, info = lineAndStep(s, sx, sxx, sy, sxy, t, tx, ty, stepAt >= 0)
		log = 0
		for i, p := range points {
			r := p.y - a - b*p.x
			if stepAt >= 0 && at[i] >= stepAt {
				r -= step
			}
			resid[i] = r
			good := math.Log1p(-misreadChance) + math.Log1p(-p.groove) - r*r/(2*p.v) - 0.5*math.Log(p.v) - halfLogTwoPi
			bad := math.Log(misreadChance/misreadRange + p.groove*grooveDensity(r, p.v))
			most := math.Max(good, bad)
			log += most + math.Log(math.Exp(good-most)+math.Exp(bad-most))
			weights[i] = 1 / (1 + math.Exp(bad-good))
			if round < 8 { // begin with least absolute deviations, which no few misreads drag
				weights[i] = 1 / math.Max(math.Abs(r)/math.Sqrt(p.v), 0.3)
			}
		}
	}
	log += float64(lost) * math.Log(1/misreadRange)
	if stepAt >= 0 && info > 0 {
		log += math.Log(math.Sqrt(2*math.Pi/info) / stepRange)
	}
	return log, step
}

// grooveDensity is the density of a residual over a groove.
func grooveDensity(r, variance float64) (sum float64) {
	d := depths()
	for _, k := range []dent{shallow, deep} {
		v := variance + d[k].sd*d[k].sd
		e := r - d[k].mean
		sum += d[k].share * math.Exp(-e*e/(2*v)-halfLogTwoPi) / math.Sqrt(v)
	}
	return sum
}

// lineAndStep solves the normal equations of a line, and of a step beside it.
func lineAndStep(s, sx, sxx, sy, sxy, t, tx, ty float64, withStep bool) (a, b, step, info float64) {
	det := s*sxx - sx*sx
	if det <= 0 {
		return 0, 0, 0, 0
	}
	if withStep { // what of the step the line does not explain
		a0, b0 := (t*sxx-tx*sx)/det, (s*tx-sx*t)/det
		info = t - a0*t - b0*tx
		al, bl := (sy*sxx-sxy*sx)/det, (s*sxy-sx*sy)/det
		if info > 0 {
			step = (ty - al*t - bl*tx) / info
		}
		sy, sxy = sy-step*t, sxy-step*tx
	}
	return (sy*sxx - sxy*sx) / det, (s*sxy - sx*sy) / det, step, info
}

// mended are the observations with what is surely wrong with whole passes set
// right: a knocked pass becomes two, a skipped or swapped one belongs to other
// crowns.
func mended(in Input, obs []observation, faults map[passKey]suspectPass) []observation {
	out := slices.Clone(obs)
	for k, s := range faults {
		if s.odds < sureFault {
			continue
		}
		var places []int
		for i, o := range out {
			if o.pass == k {
				places = append(places, i)
			}
		}
		slices.SortStableFunc(places, func(a, b int) int { return out[a].frets[0] - out[b].frets[0] })
		switch s.finding {
		case Knocked:
			for _, i := range places[s.from:] {
				out[i].pass.part++
			}
		case Skipped:
			for _, i := range places[s.from:] {
				out[i].frets = []int{out[i].frets[0] + s.shift}
			}
		case Swapped:
			i, j := places[s.from], places[s.from+1]
			out[i].frets, out[j].frets = out[j].frets, out[i].frets
		}
	}
	return slices.DeleteFunc(out, func(o observation) bool {
		return o.frets[0] < in.Layout.FirstFret() || o.frets[len(o.frets)-1] > in.Layout.LastFret()
	})
}
