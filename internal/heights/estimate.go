package heights

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// Estimate is what the readings say of a neck's crowns.
type Estimate struct {
	Lanes        []Lane // ascending; only those with three or more determined crowns
	Misreads     []Misread
	Dents        []Dent
	Undetermined []Undetermined
	Frets        []Fret      // ascending; what is believed of each fret as a whole
	Passes       []PassFault // passes that are wrong as a whole
	TauMM        float64     // scatter of the slope change from lane to lane; 0 where no three lanes were read
	Warnings     []string

	sys *system
	obs []observation
}

// Lane is one lane's determined crowns, in order of fret.
type Lane struct {
	Lane  float64
	Frets []int
	X     []float64 // along the lane from its nut line, mm
	Z     []float64 // height in the free datum: zero mean, zero slope, mm
	// Cov is the covariance of Z's errors in the free datum, mm².
	Cov *mat.SymDense
	// Read tells the crowns that a reading touches which was not set aside; the
	// others stand on their neighbours across the fret alone.
	Read []bool
	// Aside tells the crowns all of whose readings were set aside.
	Aside []bool
	// Groove and Burr are the chances that a crown stands in a groove worn or
	// dented into its fret, or on a burr; nil where nothing tells.
	Groove, Burr []float64
	// Curve is the height of the fret's own curve there, free of grooves and
	// burrs, in the datum of Z, mm; nil where it is Z.
	Curve []float64
	// Parts are each crown's explanations; nil where there is only one, Z with
	// the variance of Cov.
	Parts [][]Part
	from  int
}

// Misread is a reading that does not agree with the others. It has no part in
// the estimate.
type Misread struct {
	Reading             int // place in Input.Readings
	Fret                int
	Lane                float64
	ValueMM, ExpectedMM float64 // as read; as the others say
	Why                 string
}

// Dent is a crown that truly stands off its fret's curve.
type Dent struct {
	Fret   int
	Lane   float64
	OffMM  float64 // from the curve, a burr positive
	UMM    float64
	Agreed int // readings that say so
}

// mostRestarts bounds how often readings that cannot be told apart are left
// out and the whole is begun again.
const mostRestarts = 12

// From estimates every crown from the readings. It never guesses: what is not
// determined is listed. The error is of the arithmetic alone.
//
// Cost: of the order of the cube of the number of crowns.
func From(in Input) (*Estimate, error) {
	obs, few, bad := observations(in)
	e := &Estimate{Misreads: bad}
	leftOut := map[int]bool{}
	scale := map[reading.Method]float64{}
	for range mostRestarts {
		c, kept, undetermined := determined(in, obs, leftOut)
		e.Undetermined = mergeUndetermined(few, undetermined, unread(in.Layout, c))
		e.obs = kept
		if len(c.list) == 0 {
			return e, nil
		}
		s, err := e.adjust(c, kept, scale, 0)
		if err != nil {
			return nil, err
		}
		s, v, err := e.search(s, c, kept, scale)
		if err != nil {
			return nil, err
		}
		if s.scatter(scale) {
			continue // what is left scatters more than it states: begin again
		}
		if len(v.contrary) > 0 {
			e.leaveOut(in, s, v.contrary, leftOut)
			continue
		}
		e.report(in, s, v)
		e.warnScatter(scale)
		return e, nil
	}
	return nil, fmt.Errorf("the readings contradict each other in more than %d places", mostRestarts)
}

// search finds what is wrong; where τ comes out otherwise without it, the
// whole is solved again and searched once more.
func (e *Estimate) search(s *system, c *crowns, obs []observation, scale map[reading.Method]float64) (*system, verdicts, error) {
	v := s.snoop()
	if len(s.bends) == 0 || len(v.found) == 0 || len(v.contrary) > 0 {
		return s, v, nil
	}
	tau, err := s.relearn(v.found)
	if err != nil {
		return nil, v, err
	}
	if ratio := tau / s.tau; ratio < tauChanged && ratio > 1/tauChanged {
		return s, v, nil
	}
	if s, err = e.adjust(c, obs, scale, tau); err != nil {
		return nil, v, err
	}
	return s, s.snoop(), nil
}

// determined gathers the crowns that the readings determine and the
// observations that bear on them alone.
func determined(in Input, obs []observation, leftOut map[int]bool) (*crowns, []observation, []Undetermined) {
	kept := make([]observation, 0, len(obs))
	for _, o := range obs {
		if !leftOut[o.reading] {
			kept = append(kept, o)
		}
	}
	c := collect(in, obs)
	ok, undetermined := sortLanes(c, kept)
	aside := map[place]bool{}
	for _, o := range obs {
		for _, f := range o.frets {
			if leftOut[o.reading] {
				aside[place{f, o.lane}] = true
			}
		}
	}
	for i, u := range undetermined {
		if aside[place{u.Fret, u.Lane}] {
			undetermined[i].Why = whySetAside
		}
	}
	c.keep(ok)
	for _, u := range undetermined { // they are named here, not as unread
		c.index[place{u.Fret, u.Lane}] = -1
	}
	out := kept[:0]
	for _, o := range kept {
		if bears(c, o) {
			out = append(out, o)
		}
	}
	return c, dropBare(out), undetermined
}

// bears reports whether every crown of an observation is determined.
func bears(c *crowns, o observation) bool {
	for _, f := range o.frets {
		if i, known := c.index[place{f, o.lane}]; !known || i < 0 {
			return false
		}
	}
	return true
}

// dropBare drops the passes over fewer than three crowns: they tell nothing.
func dropBare(obs []observation) []observation {
	frets := map[passKey]map[int]bool{}
	for _, o := range obs {
		if o.pass == (passKey{}) {
			continue
		}
		if frets[o.pass] == nil {
			frets[o.pass] = map[int]bool{}
		}
		frets[o.pass][o.frets[0]] = true
	}
	out := obs[:0]
	for _, o := range obs {
		if o.pass == (passKey{}) || len(frets[o.pass]) >= 3 {
			out = append(out, o)
		}
	}
	return out
}

// tauChanged is the factor by which τ must change, once what is wrong is known,
// for the whole to be solved again with it.
const tauChanged = 1.2

// adjust solves the whole, each lane first alone to learn how alike the lanes
// of a fret are; tau above 0 is taken as known.
func (e *Estimate) adjust(c *crowns, obs []observation, scale map[reading.Method]float64, tau float64) (*system, error) {
	obs = append([]observation{}, obs...)
	for i := range obs {
		if f, known := scale[obs[i].method]; known {
			obs[i].u *= f
		}
	}
	s := newSystem(c, obs)
	if len(s.bends) > 0 {
		if tau == 0 {
			var err error
			if tau, err = s.relearn(nil); err != nil {
				return nil, err
			}
		}
		s.addBends(tau)
	}
	if err := s.solve(); err != nil {
		return nil, err
	}
	s.settle()
	return s, nil
}

// relearn is τ from the lanes' own estimates, without what was found wrong.
func (s *system) relearn(found []added) (float64, error) {
	wrongRow, oddFret := map[int]bool{}, map[int]bool{}
	for _, a := range found {
		if a.kind == misread {
			wrongRow[a.rows[0]] = true
		} else {
			oddFret[a.fret] = true
		}
	}
	z, variance, err := s.ownEstimate(wrongRow)
	if err != nil {
		return 0, err
	}
	usual := make([][]bend, 0, len(s.bends))
	for _, fret := range s.bends {
		known := make([]bend, 0, len(fret))
		for _, b := range fret {
			if s.allKnown(b, variance) {
				known = append(known, b)
			}
		}
		if len(known) > 0 && !oddFret[s.c.list[known[0].crowns[1]].fret] {
			usual = append(usual, known)
		}
	}
	s.straighten(usual, z)
	return learnTau(usual, variance), nil
}

// allKnown reports whether a bend's crowns have an own estimate each.
func (s *system) allKnown(b bend, variance []float64) bool {
	for _, i := range b.crowns {
		if math.IsInf(variance[i], 1) {
			return false
		}
	}
	return true
}

// Scatter of a method's readings against what they state: with fewer readings
// than enough it is not judged; below much it is let be.
const (
	scatterEnough = 24
	scatterMuch   = 1.6
	// What was set aside first cut the tails off, so a scatter once found is
	// followed until it is met to this factor.
	scatterMore = 1.1
	// halfNormalMedian is the median of |N(0,1)|.
	halfNormalMedian = 0.6744897501960817
	checkedEnough    = 0.1
)

// scatter compares each method's residuals with the uncertainty they state and
// raises scale where they scatter far more. It reports whether any was raised.
func (s *system) scatter(scale map[reading.Method]float64) (grown bool) {
	byMethod := map[reading.Method][]float64{}
	for i := range s.rows {
		r := &s.rows[i]
		if r.obs < 0 || r.bound != exact {
			continue
		}
		if red := 1 - s.cross(r, r)/(r.u*r.u); red > checkedEnough {
			m := s.obs[r.obs].method
			byMethod[m] = append(byMethod[m], math.Abs(s.left(r))/(r.u*math.Sqrt(red)))
		}
	}
	for m, w := range byMethod {
		if len(w) < scatterEnough {
			continue
		}
		sort.Float64s(w)
		f, much := w[len(w)/2]/halfNormalMedian, scatterMuch
		if scale[m] > 0 {
			much = scatterMore
		}
		if f > much {
			scale[m] = f * max(scale[m], 1)
			grown = true
		}
	}
	return grown
}

func (e *Estimate) warnScatter(scale map[reading.Method]float64) {
	for _, m := range reading.OfCrowns() {
		if f, known := scale[m]; known {
			e.Warnings = append(e.Warnings, fmt.Sprintf(
				"the %s readings scatter %.1f times as much as they state; their uncertainty was taken that much larger", m, f))
		}
	}
}

// mergeUndetermined joins the lists, each crown once, by lane and fret.
func mergeUndetermined(lists ...[]Undetermined) []Undetermined {
	seen := map[place]bool{}
	var out []Undetermined
	for _, l := range lists {
		for _, u := range l {
			if p := (place{u.Fret, u.Lane}); !seen[p] {
				seen[p] = true
				out = append(out, u)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Lane != out[j].Lane {
			return out[i].Lane < out[j].Lane
		}
		return out[i].Fret < out[j].Fret
	})
	return out
}
