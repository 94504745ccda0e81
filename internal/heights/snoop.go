package heights

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// suspicion is what may be wrong where the equations do not agree.
type suspicion int

const (
	misread suspicion = iota // one reading is wrong
	dent                     // a crown truly stands off its fret's curve
	arched                   // a fret curves more than the others
	twisted                  // and its two ends curve differently
)

// suspect is an unknown that might be added: its column in the equations.
type suspect struct {
	kind  suspicion
	rows  []int
	col   []float64
	fret  int
	crown int // of a dent
}

// added is a suspect that has become an unknown of the state.
type added struct {
	suspect
	at int // in the state
}

// falseAlarm is the chance that a faultless set of readings has any reading set
// aside or any crown called dented.
const falseAlarm = 0.01

// Weights of one kind of suspect against another, in units of twice the log
// likelihood: a reading is blamed before a crown where both explain alike; a
// fret that curves more than the others is commoner than either, one whose two
// ends curve differently is rare (it takes all that a reading at one end tells).
const (
	dentPenalty  = 1.0
	archBonus    = 2.0
	twistPenalty = 8.0
)

// leastRedundancy is the part of a reading that the others must check before it
// can be found wrong (Baarda's r).
const leastRedundancy = 0.01

// roundingShare is the part of a column's weight below which its information is
// rounding.
const roundingShare = 1e-7

// critical is the square of the normalised residual above which one of n
// readings is called wrong, so that a faultless set has one with the chance
// alarm (Šidák).
func critical(n int, alarm float64) float64 {
	p := 1 - math.Pow(1-alarm, 1/float64(max(n, 1)))
	w := distuv.UnitNormal.Quantile(1 - p/2)
	return w * w
}

// penalty is what a suspect must explain to be worth believing.
func (k suspect) penalty(crit float64) float64 {
	switch k.kind {
	case dent:
		return crit + dentPenalty
	case arched:
		return crit - archBonus
	case twisted:
		return crit + twistPenalty
	}
	return crit
}

// suspects lists everything that may be wrong, fret by fret.
func (s *system) suspects() map[int][]suspect {
	out := map[int][]suspect{}
	touching := make([]int, len(s.c.list))
	bendsAt := make([][]int, len(s.c.list))
	byFret := map[int][]int{}
	for i, r := range s.rows {
		if r.obs >= 0 {
			out[r.fret] = append(out[r.fret], suspect{misread, []int{i}, []float64{1}, r.fret, -1})
			o := s.obs[r.obs]
			for _, f := range o.frets {
				if o.bound == exact {
					touching[s.c.index[place{f, o.lane}]]++
				}
			}
			continue
		}
		byFret[r.fret] = append(byFret[r.fret], i)
		for _, c := range r.bend.crowns {
			bendsAt[c] = append(bendsAt[c], i)
		}
	}
	for c, rows := range bendsAt {
		if len(rows) == 0 || touching[c] < 2 {
			continue
		}
		k := suspect{kind: dent, rows: rows, fret: s.c.list[c].fret, crown: c}
		for _, i := range rows {
			for j, m := range s.rows[i].bend.crowns {
				if m == c { // the bend is of the crown without its dent
					k.col = append(k.col, s.rows[i].bend.weights[j])
				}
			}
		}
		for j := range k.col {
			k.col[j] = -k.col[j]
		}
		out[k.fret] = append(out[k.fret], k)
	}
	for f, rows := range byFret {
		out[f] = append(out[f], s.curves(f, rows)...)
	}
	return out
}

// curves are a fret's free parabola and free cubic across the board, as columns
// of its bends.
func (s *system) curves(fret int, rows []int) []suspect {
	arch := suspect{kind: arched, rows: rows, fret: fret, crown: -1}
	twist := suspect{kind: twisted, rows: rows, fret: fret, crown: -1}
	for _, i := range rows {
		b := s.rows[i].bend
		var quadratic, cubic float64
		for k, c := range b.crowns {
			t := s.c.list[c].t - 2.5
			quadratic += b.weights[k] * t * t
			cubic += b.weights[k] * t * t * t
		}
		arch.col = append(arch.col, -quadratic)
		twist.col = append(twist.col, -cubic)
	}
	if len(rows) < 3 {
		return []suspect{arch}
	}
	return []suspect{arch, twist}
}

// The sign of a column: a row reads y = a·state + column·unknown, so a bend of
// the crowns less their dent is 0 = bend·state − weight·dent.

// weighed is a suspect's information and its score: b²/S is how much twice the
// log likelihood gains if it is believed.
func (s *system) weighed(k suspect) (score, info float64) {
	b, whole := 0.0, 0.0
	for i, ri := range k.rows {
		r := &s.rows[ri]
		if !r.on {
			return 0, 0
		}
		b += k.col[i] * s.left(r) / (r.u * r.u)
		whole += k.col[i] * k.col[i] / (r.u * r.u)
	}
	info = s.shared(k, k)
	least := leastRedundancy
	if k.kind != misread { // a stiff bend weighs far more than what can check it
		least = roundingShare
	}
	if info < least*whole {
		return 0, 0
	}
	return b * b / info, info
}

// shared is aᵀP·Q·P·b of two suspects, Q the covariance of the residuals.
func (s *system) shared(a, b suspect) (v float64) {
	for i, ri := range a.rows {
		p := &s.rows[ri]
		for j, rj := range b.rows {
			q := &s.rows[rj]
			m := -s.cross(p, q)
			if ri == rj {
				m += p.u * p.u
			}
			v += a.col[i] * b.col[j] * m / (p.u * p.u * q.u * q.u)
		}
	}
	return v
}

// add makes a suspect an unknown of the state.
func (s *system) add(k suspect) (added, bool) {
	score, info := s.weighed(k)
	if info == 0 || s.n == s.stride || math.IsNaN(score) {
		return added{}, false
	}
	v := make([]float64, s.n)
	b := 0.0
	for i, ri := range k.rows {
		r := &s.rows[ri]
		weight := k.col[i] / (r.u * r.u)
		b += weight * s.left(r)
		for j, p := range r.at {
			w := weight * r.w[j]
			for m, c := range s.cov[p*s.stride : p*s.stride+s.n] {
				v[m] += w * c
			}
		}
	}
	value := b / info
	for i := range v {
		s.x[i] -= v[i] * value
	}
	s.outer(v, 1/info)
	at := s.n
	for i := range v {
		s.cov[i*s.stride+at], s.cov[at*s.stride+i] = -v[i]/info, -v[i]/info
	}
	s.cov[at*s.stride+at], s.x[at] = 1/info, value
	s.n++
	for i, ri := range k.rows {
		r := &s.rows[ri]
		r.at = append(r.at[:len(r.at):len(r.at)], at)
		r.w = append(r.w[:len(r.w):len(r.w)], k.col[i])
	}
	return added{k, at}, true
}

// score is an added unknown's square in units of its variance.
func (s *system) score(a added) float64 {
	return s.x[a.at] * s.x[a.at] / s.cov[a.at*s.stride+a.at]
}

// remove takes an added unknown back: its value is 0 after all.
func (s *system) remove(a added) {
	v := make([]float64, s.n)
	copy(v, s.cov[a.at*s.stride:a.at*s.stride+s.n])
	value, variance := s.x[a.at], v[a.at]
	for i := range v {
		s.x[i] -= v[i] * value / variance
	}
	s.outer(v, -1/variance)
	s.x[a.at] = 0
	for i := range v {
		s.cov[i*s.stride+a.at], s.cov[a.at*s.stride+i] = 0, 0
	}
}

// verdicts is what snooping found.
type verdicts struct {
	found []added
	// contrary are observations that contradict each other and cannot be told
	// apart.
	contrary []int
	full     bool // so much disagrees that the search was ended
}

// snoop finds what is wrong: the fret that disagrees most first, on it the set
// of suspects that explains most, until nothing disagrees more than chance.
func (s *system) snoop() verdicts {
	suspects := s.suspects()
	frets := make([]int, 0, len(suspects))
	checks := 0
	for f, list := range suspects {
		frets = append(frets, f)
		checks += len(list)
	}
	sort.Ints(frets)
	crit := critical(checks, falseAlarm)
	var v verdicts
	for {
		fret, worst := -1, 0.0
		for _, f := range frets {
			for _, k := range suspects[f] {
				if score, _ := s.weighed(k); score-k.penalty(crit) > worst {
					fret, worst = f, score-k.penalty(crit)
				}
			}
		}
		if fret < 0 {
			break
		}
		set := s.bestSet(suspects[fret], crit)
		if contrary := s.ambiguous(set, suspects); len(contrary) > 0 {
			v.contrary = contrary
			return v
		}
		before := len(v.found)
		for _, k := range set {
			if a, ok := s.add(k); ok {
				v.found = append(v.found, a)
			}
		}
		s.settle()
		if len(v.found) == before || s.n >= s.stride-maxSet {
			v.full = true
			break
		}
	}
	v.found = s.readmit(v.found, crit)
	return v
}

// readmit takes back what, with everything else known, no longer stands out.
func (s *system) readmit(found []added, crit float64) []added {
	kept := found[:0]
	for _, a := range found {
		if s.score(a) < a.penalty(crit) {
			s.remove(a)
			continue
		}
		kept = append(kept, a)
	}
	return kept
}
