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
	Lane        float64     `json:"lane"`
	ZoneMM      float64     `json:"zone_mm"`
	UZoneMM     float64     `json:"u_zone_mm"`
	ZoneRangeMM *[2]float64 `json:"zone_range_mm,omitempty"` // least and most that feeler gaps allow; nil without
	Verdict     Verdict     `json:"verdict"`
	BowMM       float64     `json:"bow_mm"` // depth of the parabola that fits best, hollow positive
	Sand        []Sand      `json:"sand"`   // what to take off now

	offChance float64 // that the zone is over board.flat, at most
	frets     []int
	offMM     []float64 // from the lane's reference line, less the wanted board's own shape
	uMM       []float64
	aside     bool // all readings of one of its slots were set aside
	knocked   bool // a gauge moved in one of its passes
	lone      int  // the place of the one reading that not straight rests on; −1
}

// source is what one kind of readings says of a lane: all exact ones together,
// or one pass of feelers.
type source struct {
	at      []int // places, ascending
	x, z    []float64
	cov     *mat.SymDense
	count   []int // readings of each place
	gaps    []gap // of feelers
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
			j.a.Open = append(j.a.Open, Open{s.fret, s.lane, OneSided})
		}
	}
}

// sourcesOf lists what the readings of a lane say, the most complete first.
func (j *job) sourcesOf(lane float64, h *laneHeights) ([]source, error) {
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
	for _, f := range j.feelers {
		if f.setup.Lane == lane && len(f.gaps) >= minOfPass {
			out = append(out, j.felt(f))
		}
	}
	for i := range out {
		if err := j.weighSource(&out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// felt is a pass of feelers as a source: gaps in the middle of their steps.
func (j *job) felt(f laidEdge) source {
	s := source{gaps: f.gaps, cov: mat.NewSymDense(len(f.gaps), nil)}
	for i, g := range f.gaps {
		s.at, s.count = append(s.at, g.at), append(s.count, 1)
		s.x, s.z = append(s.x, j.places.list[g.at].x), append(s.z, -g.middle())
		half := (g.hi - g.lo) / 2
		s.cov.SetSym(i, i, half*half+g.u*g.u)
	}
	return s
}

// weighSource holds a source against board.flat.
func (j *job) weighSource(s *source) error {
	limit, lanes := j.m.Board.Flat, float64(max(1, len(j.places.lanes)))
	s.whole = len(j.unreadAlong(s.at)) == 0
	if s.gaps != nil {
		g, err := zoneOf(s.x, s.gaps, limit, int(lanes))
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
	s.chance = straight.Beyond(limit-s.zone, math.Max(s.u, math.Sqrt(1.5*mean))) // 1.5: a chord's middle against its ends
	if v.Verdict != straight.Level {
		s.chance = math.Max(s.chance, math.Nextafter(doubtful, 1))
	}
	bias := s.zone - v.UnbiasedMM
	s.surely = s.zone-2*bias-straight.UpperPoint(notStraightChance/lanes)*s.u > limit
	return nil
}

// lane is the answer for a lane, and the source it rests on.
func (j *job) lane(s span, sources []source) (Lane, source, error) {
	best, surely := sources[0], false
	for _, k := range sources {
		if k.whole && !best.whole || k.whole == best.whole && k.chance < best.chance {
			best = k
		}
		surely = surely || k.surely
	}
	l := Lane{Lane: s.lane, Verdict: InDoubt, Sand: []Sand{}, ZoneMM: best.zone, UZoneMM: best.u, ZoneRangeMM: best.limits, offChance: best.chance, lone: -1}
	for p := s.from; p < s.to; p++ {
		l.aside = l.aside || j.aside[p]
	}
	for _, k := range j.a.Knocked {
		l.knocked = l.knocked || k.Lane == s.lane
	}
	switch {
	case l.knocked:
		l.offChance = 0.5
	case surely:
		l.Verdict, l.offChance = NotStraight, 1
		for _, k := range sources {
			if k.surely && !best.surely {
				best, l.ZoneMM, l.UZoneMM, l.ZoneRangeMM = k, k.zone, k.u, k.limits
			}
		}
	case best.chance <= doubtful && !l.aside:
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
	for i, p := range s.at {
		l.frets = append(l.frets, j.places.list[p].fret)
		l.offMM = append(l.offMM, s.z[i]-j.places.list[p].surface)
		l.uMM = append(l.uMM, math.Sqrt(math.Max(0, s.cov.At(i, i))))
	}
	a, b, err := straight.ReferenceLine(s.x, l.offMM)
	if err != nil {
		return err
	}
	for i, x := range s.x {
		l.offMM[i] -= a + b*x
	}
	return nil
}

// openPlaces names the places of a lane that were read, and not in vain set
// aside, but that no source holds.
func (j *job) openPlaces(s span, sources []source) {
	held := map[int]bool{}
	for _, k := range sources {
		for _, p := range k.at {
			held[p] = true
		}
	}
	for p := s.from; p < s.to; p++ {
		if k := j.places.list[p]; !held[p] && !j.aside[p] {
			why := NotTied
			if len(sources) == 0 {
				why = TooFew
			}
			j.a.Open = append(j.a.Open, Open{k.fret, k.lane, why})
		}
	}
}
