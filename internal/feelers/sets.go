package feelers

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/heights"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// sets are all that bounds the contrasts of one lane.
type sets struct {
	frets     []int
	x         []float64
	z, shape  []float64
	passes    []laid
	threes    []threeAt
	bracketed bool // a rocker's bracket is among threes
	unlike    bool // passes hold a shape of the edge's own that is not known here
	estimates []straight.Estimate
}

// laid is a pass with the places of its crowns: for each crown of the lane its
// place in the brackets, or −1.
type laid struct {
	straight.Brackets
	at []int
}

type threeAt struct {
	i, k, j   int
	lo, hi, u float64
}

// newSets gathers what was read in a lane.
func newSets(in Input, h heights.Lane, s sorted) *sets {
	t := &sets{frets: h.Frets, x: h.X, z: h.Z, shape: make([]float64, len(h.Frets))}
	if !in.Straight {
		t.shape = in.Layout.Shape(h.Lane, h.Frets)
	}
	var plain, turned []pass
	for _, p := range s.passes {
		switch {
		case p.setup.Lane != h.Lane:
		case p.setup.Turned:
			turned = append(turned, p)
		default:
			plain = append(plain, p)
		}
	}
	var mine []pass
	switch {
	case len(plain) > 0 && len(turned) > 0:
		for i := range min(len(plain), len(turned)) {
			mine = append(mine, average(plain[i], turned[i]))
		}
	default:
		mine = append(plain, turned...)
		t.unlike = s.turned
	}
	for _, p := range mine {
		if b := t.lay(p); len(b.X) >= 3 {
			t.passes = append(t.passes, b)
		}
	}
	t.unlike = t.unlike && len(t.passes) > 0
	for _, r := range s.threes {
		i, k, j := slices.Index(h.Frets, r.frets[0]), slices.Index(h.Frets, r.frets[1]), slices.Index(h.Frets, r.frets[2])
		if r.lane == h.Lane && i >= 0 && k >= 0 && j >= 0 {
			// A rocker is laid on the crowns, not on the shape.
			w := (h.X[j] - h.X[k]) / (h.X[j] - h.X[i])
			c := t.shape[k] - w*t.shape[i] - (1-w)*t.shape[j]
			t.threes = append(t.threes, threeAt{i, k, j, r.lo - c, r.hi - c, r.u})
			t.bracketed = t.bracketed || r.bracket
		}
	}
	return t
}

// any reports whether a bracket was read in the lane.
func (s *sets) any() bool { return len(s.passes) > 0 || s.bracketed }

// lay is a pass on the crowns of the lane.
func (s *sets) lay(p pass) laid {
	b := laid{at: make([]int, len(s.frets))}
	b.Rests = p.rests
	for i, f := range s.frets {
		b.at[i] = -1
		for _, g := range p.gaps {
			if g.fret == f {
				b.at[i] = len(b.X)
				b.X, b.Lo, b.Hi = append(b.X, s.x[i]), append(b.Lo, g.lo), append(b.Hi, g.hi)
				b.U, b.Shape = append(b.U, g.u), append(b.Shape, s.shape[i])
			}
		}
	}
	b.Rests = b.Rests && len(b.X) == len(s.x)
	return b
}

// whole is a pass that read every crown of the lane, −1 where there is none.
func (s *sets) whole() int {
	for k, p := range s.passes {
		if len(p.X) == len(s.x) {
			return k
		}
	}
	return -1
}

// less is the heights less the shape.
func (s *sets) less(z []float64) []float64 {
	d := make([]float64, len(z))
	for i, v := range z {
		d[i] = v - s.shape[i]
	}
	return d
}

// beside is another estimate of the lane, on the crowns of this one.
func (s *sets) beside(o heights.Lane) straight.Estimate {
	n := len(s.frets)
	e := straight.Estimate{Z: make([]float64, n)}
	cov := mat.NewSymDense(n, nil)
	at := make([]int, n)
	for i, f := range s.frets {
		if at[i] = slices.Index(o.Frets, f); at[i] < 0 {
			e.Z[i] = math.NaN()
			continue
		}
		e.Z[i] = o.Z[at[i]] - s.shape[i]
		for j := range i + 1 {
			if at[j] >= 0 {
				cov.SetSym(i, j, o.Cov.At(at[i], at[j]))
			}
		}
	}
	e.Cov = cov
	return e
}

// ranges are how far each crown may lie off the lane's least-squares line by
// the whole passes alone, and the noise of the hand in it.
func (s *sets) ranges() (low, high, noise []float64, err error) {
	n := len(s.x)
	low, high, noise = make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		low[i], high[i] = math.Inf(-1), math.Inf(1)
	}
	for _, p := range s.passes {
		if len(p.X) < n {
			continue
		}
		middle, half, felt, err := p.Offs()
		if err != nil {
			return nil, nil, nil, err
		}
		for i := range n {
			lo, hi := math.Max(low[i], middle[i]-half[i]), math.Min(high[i], middle[i]+half[i])
			if lo > hi { // they contradict each other: somewhere between them
				lo, hi = math.Min(low[i], middle[i]-half[i]), math.Max(high[i], middle[i]+half[i])
			}
			low[i], high[i], noise[i] = lo, hi, math.Max(noise[i], felt[i])
		}
	}
	return low, high, noise, nil
}

// within is the standard uncertainty of crowns estimated at z, less the shape,
// by what the whole passes allow: the farther end of each range over √3, joined
// with the noise.
func (s *sets) within(z []float64) ([]float64, error) {
	low, high, noise, err := s.ranges()
	if err != nil {
		return nil, err
	}
	u := make([]float64, len(z))
	off := s.less(z)
	num.Detrend(s.x, off)
	for i, v := range off {
		r := straight.Range{LargestMM: 2 * math.Max(high[i]-v, v-low[i])}
		u[i] = math.Hypot(r.UMM(), noise[i])
	}
	return u, nil
}

// alter is how the bracket of crown i of a lane would change by what another
// leaf says.
type alter func(i int, lo, hi float64) (newLo, newHi float64)

// zone is the range of the lane's zone; change, where given, alters brackets
// first.
func (s *sets) zone(change alter) (straight.Range, error) {
	c, err := straight.NewContrasts(s.x)
	if err != nil {
		return straight.Range{}, err
	}
	for _, p := range s.passes {
		b := p.Brackets
		if change != nil {
			b = p.altered(change)
		}
		if err := c.AddBrackets(b, p.at); err != nil {
			return straight.Range{}, err
		}
	}
	for _, t := range s.threes {
		c.AddThree(t.i, t.k, t.j, t.lo, t.hi, t.u)
	}
	if len(s.estimates) > 0 {
		if err := c.AddEstimates(s.estimates...); err != nil {
			return straight.Range{}, err
		}
	}
	return c.Range(), nil
}

// without is the least zone of the crowns that have readings of their own left.
func (s *sets) without(read []bool) (float64, error) {
	t := *s
	t.estimates = nil
	for _, e := range s.estimates {
		e.Z = append([]float64{}, e.Z...)
		for i, ok := range read {
			if !ok {
				e.Z[i] = math.NaN()
			}
		}
		t.estimates = append(t.estimates, e)
	}
	r, err := t.zone(nil)
	return r.LeastMM, err
}

func (p laid) altered(change alter) straight.Brackets {
	b := p.Brackets
	b.Lo, b.Hi = make([]float64, len(p.Lo)), make([]float64, len(p.Hi))
	for i, at := range p.at {
		if at >= 0 {
			b.Lo[at], b.Hi[at] = change(i, p.Lo[at], p.Hi[at])
		}
	}
	return b
}

// likely are the gaps that a pass most likely lies over, by the estimate: the
// edge's line less the crowns, within their brackets. NaN where not read.
func (s *sets) likely(p laid) []float64 {
	sum := make([]float64, len(p.X)) // the edge's line but for noise
	for i, at := range p.at {
		if at >= 0 {
			sum[at] = (p.Lo[at]+p.Hi[at])/2 + s.z[i]
		}
	}
	rest := slices.Clone(sum)
	num.Detrend(p.X, rest)
	g := make([]float64, len(s.x))
	for i, at := range p.at {
		g[i] = math.NaN()
		if at >= 0 {
			g[i] = math.Min(p.Hi[at], math.Max(p.Lo[at], sum[at]-rest[at]-s.z[i]))
		}
	}
	return g
}
