package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// seed makes the draws of the lane verdicts repeatable.
const seed = 412

// Lane is one lane's straightness.
type Lane struct {
	Lane            float64
	Verdict         Verdict
	ZoneMM, UZoneMM float64
	RangeMM         *[2]float64 // least and most that feeler gaps allow; nil without
	OffChance       float64     // that the zone is over board.flat, at most
	BowMM           float64     // depth of the parabola that fits best, hollow positive
	Frets           []int
	OffMM, UMM      []float64 // from the lane's reference line, less the wanted board's own shape
	SandMM          []float64 // what to take off now; nil where nothing

	aside   bool // all readings of one of its slots were set aside
	knocked bool // a gauge moved in one of its passes
	lone    int  // the place of the one reading that not straight rests on; −1
}

// source is what one kind of readings says of a lane: all exact ones together,
// or one pass of feelers.
type source struct {
	at      []int // places, ascending
	x, z    []float64
	cov     *mat.SymDense
	count   []int // readings of each place
	gaps    *feelers
	zone, u float64
	limits  *[2]float64
	chance  float64 // that the zone is over the limit
	surely  bool    // it is, all lanes together
	whole   bool    // no part of the lane is unread
}

// notStraightChance is what is left for an error where a lane is called not
// straight: 1 % of one lane, which holds 95 % where noise has chosen the slots, and
// of several lanes each its share.
const notStraightChance = 0.01

// judgeLanes judges the straightness of each lane that was read.
func (j *job) judgeLanes() error {
	byLane := map[float64][]*row{}
	for i := range j.rows {
		if r := &j.rows[i]; !r.aside {
			byLane[r.lane] = append(byLane[r.lane], r)
		}
	}
	exact, err := j.adjust(byLane)
	if err != nil {
		return err
	}
	for _, s := range j.places.lanes {
		sources, err := j.sourcesOf(s.lane, exact[s.lane])
		if err != nil {
			return fmt.Errorf("lane %g: %w", s.lane, err)
		}
		j.openPlaces(s, sources)
		if len(sources) == 0 {
			continue
		}
		l, best, err := j.lane(s, sources)
		if err != nil {
			return fmt.Errorf("lane %g: %w", s.lane, err)
		}
		j.a.Lanes, j.sources = append(j.a.Lanes, l), append(j.sources, best)
	}
	j.openRockers()
	return j.support()
}

// openRockers names the slots that a rocker alone told of, by a limit only.
func (j *job) openRockers() {
	seen := map[spot]bool{}
	for _, p := range j.places.list {
		seen[spot{p.fret, p.lane}] = true
	}
	for _, s := range j.oneSided {
		if !seen[s] {
			seen[s] = true
			j.a.Open = append(j.a.Open, Open{s.fret, s.lane, WhyOneSided})
		}
	}
}

// sourcesOf lists what the readings of a lane say, the most complete first.
func (j *job) sourcesOf(lane float64, h *heights) ([]source, error) {
	var out []source
	if h != nil {
		s := source{at: h.at, x: h.x, z: h.z, cov: h.cov, count: make([]int, len(h.at))}
		index := map[int]int{}
		for i, p := range h.at {
			index[p] = i
		}
		for _, r := range h.rows {
			for _, p := range r.at {
				s.count[index[p]]++
				if r.agreed {
					s.count[index[p]]++
				}
			}
		}
		out = append(out, s)
	}
	for i := range j.feelers {
		f := &j.feelers[i]
		if f.setup.Lane != lane || len(f.at) < leastOfPass {
			continue
		}
		out = append(out, j.felt(f))
	}
	for i := range out {
		if err := j.weighSource(&out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// felt is a pass of feelers as a source: gaps in the middle of their steps.
func (j *job) felt(f *feelers) source {
	n := len(f.at)
	s := source{at: f.at, gaps: f, x: make([]float64, n), z: make([]float64, n), count: make([]int, n), cov: mat.NewSymDense(n, nil)}
	for i, p := range f.at {
		s.x[i], s.z[i], s.count[i] = j.places.list[p].x, -(f.lo[i]+f.hi[i])/2, 1
		half := (f.hi[i] - f.lo[i]) / 2
		s.cov.SetSym(i, i, half*half+f.u[i]*f.u[i])
	}
	return s
}

// weighSource holds a source against board.flat.
func (j *job) weighSource(s *source) error {
	limit, lanes := j.m.Board.Flat, float64(max(1, len(j.places.lanes)))
	_, s.whole = j.unreadAlong(s.at)
	if s.gaps != nil {
		g, err := s.gaps.zoneOf(s.x, limit, int(lanes))
		if err != nil {
			return err
		}
		s.limits = &[2]float64{g.LeastMM, g.LargestMM}
		s.zone, s.u = g.MiddleMM(), g.UMM()
		s.chance, s.surely = g.offChance, g.sureMM > limit
		return nil
	}
	v, err := straight.LaneVerdict(s.x, s.z, s.cov, limit, seed)
	if err != nil {
		return err
	}
	s.zone, s.u = v.Zone.WidthMM, v.UZoneMM
	mean := 0.0
	for i := range s.x {
		mean += s.cov.At(i, i) / float64(len(s.x))
	}
	s.chance = beyond(limit-s.zone, math.Max(s.u, math.Sqrt(1.5*mean))) // 1.5: a chord's middle against its ends
	if v.Verdict != straight.Level {
		s.chance = math.Max(s.chance, math.Nextafter(doubtful, 1))
	}
	bias := s.zone - v.UnbiasedMM
	s.surely = s.zone-2*bias-quantile(notStraightChance/lanes)*s.u > limit
	return nil
}

// lane is the answer for a lane, and the source it rests on.
func (j *job) lane(s span, sources []source) (Lane, source, error) {
	best := sources[0]
	chance, surely := 1.0, false
	for _, k := range sources {
		if k.whole && !best.whole || k.whole == best.whole && k.chance < best.chance {
			best = k
		}
		surely = surely || k.surely
	}
	chance = best.chance
	l := Lane{Lane: s.lane, Verdict: InDoubt, ZoneMM: best.zone, UZoneMM: best.u, RangeMM: best.limits, OffChance: chance, lone: -1}
	for p := s.from; p < s.to; p++ {
		l.aside = l.aside || j.aside[p]
	}
	for _, k := range j.a.Knocked {
		l.knocked = l.knocked || k.Lane == s.lane
	}
	switch {
	case l.knocked:
		l.OffChance = 0.5
	case surely:
		l.Verdict, l.OffChance = NotStraight, 1
		for _, k := range sources {
			if k.surely && !best.surely {
				best, l.ZoneMM, l.UZoneMM, l.RangeMM = k, k.zone, k.u, k.limits
			}
		}
	case chance <= doubtful && !l.aside:
		l.Verdict = Straight
	}
	return l, best, j.fill(&l, best)
}

// fill gives a lane its slots, how far each is off the reference line, and its bow.
func (j *job) fill(l *Lane, s source) error {
	bow, err := straight.Bow(s.x, s.z)
	if err != nil {
		return err
	}
	l.BowMM = bow.MM
	l.Frets, l.OffMM, l.UMM = make([]int, len(s.at)), make([]float64, len(s.at)), make([]float64, len(s.at))
	for i, p := range s.at {
		l.Frets[i] = j.places.list[p].fret
		l.OffMM[i] = s.z[i] - j.places.list[p].surface
		l.UMM[i] = math.Sqrt(math.Max(0, s.cov.At(i, i)))
	}
	a, b, err := straight.ReferenceLine(s.x, l.OffMM)
	if err != nil {
		return err
	}
	for i, x := range s.x {
		l.OffMM[i] -= a + b*x
	}
	return nil
}

// openPlaces names the places of a lane that were read, and not in vain set
// aside, but that no source holds.
func (j *job) openPlaces(s span, sources []source) {
	held := map[int]bool{}
	for _, k := range sources {
		add(held, set(k.at))
	}
	for p := s.from; p < s.to; p++ {
		if k := j.places.list[p]; !held[p] && !j.aside[p] {
			why := WhyNotTied
			if len(sources) == 0 {
				why = WhyTooFew
			}
			j.a.Open = append(j.a.Open, Open{k.fret, k.lane, why})
		}
	}
}
