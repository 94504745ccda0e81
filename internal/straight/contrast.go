package straight

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// interval is what a source says of a contrast z_K − w·z_I − (1−w)·z_J of three
// crowns I < K < J of a lane, in mm: it lies between lo and hi but for a normal
// error u. lo and hi are infinite where the source says nothing.
type interval struct{ lo, hi, u float64 }

func unknown() interval { return interval{math.Inf(-1), math.Inf(1), 0} }

func (v interval) bounded() bool { return !math.IsInf(v.lo, -1) || !math.IsInf(v.hi, 1) }

// Contrasts is what several sources say of every three crowns of a lane:
// brackets, rockers, and estimates from readings with normal noise. Each three
// crowns are held to the sharpest of them.
type Contrasts struct {
	x         []float64
	passes    []placed
	threes    [][]interval // readings of three crowns, laid one over the other
	readings  int          // how many these are
	estimates [][]interval
	least     float64
}

// placed are brackets with their crowns' places in the lane.
type placed struct {
	Brackets
	at []int // for each crown of the lane its place in the brackets, or −1
}

// NewContrasts is for the lane with crowns at x, in mm. Errors: as Zone.
func NewContrasts(x []float64) (*Contrasts, error) {
	if err := check(x, x, 3); err != nil {
		return nil, err
	}
	return &Contrasts{x: x}, nil
}

// AddBrackets adds one pass of an edge. at holds, for each crown of the lane,
// its place in b, or −1 where it was not read; nil where b holds them all. Errors:
// as Zone; ErrBracket.
func (c *Contrasts) AddBrackets(b Brackets, at []int) error {
	if at == nil {
		at = everyCrown(len(b.X))
	}
	if err := b.check(); err != nil {
		return err
	}
	if len(at) != len(c.x) {
		return fmt.Errorf("%w: %d and %d", ErrLength, len(c.x), len(at))
	}
	c.passes = append(c.passes, placed{b, at})
	return nil
}

// AddThree adds a reading of three crowns, i < k < j in the lane: their contrast
// lies between lo and hi, of which one may be infinite, but for the standard
// uncertainty u.
func (c *Contrasts) AddThree(i, k, j int, lo, hi, u float64) {
	t := tripleAt(len(c.x), i, k, j)
	c.readings++
	for _, s := range c.threes {
		if !s[t].bounded() {
			s[t] = interval{lo, hi, u}
			return
		}
	}
	s := nothing(len(c.x))
	s[t] = interval{lo, hi, u}
	c.threes = append(c.threes, s)
}

// nothing is a source that says nothing of a lane of n crowns.
func nothing(n int) []interval {
	s := make([]interval, triples(n))
	for t := range s {
		s[t] = unknown()
	}
	return s
}

// Estimate is a lane's crowns as estimated, with what is known of their errors.
type Estimate struct {
	Z   []float64     // mm; NaN where the crown is not determined
	Cov mat.Symmetric // of their normal errors, mm²
	// Reach is how far each crown (row) moves with each bracket (column) that
	// the estimate took for a normal reading at the bracket's middle, mm per mm;
	// nil where there is none. Half is half the width of each of these, and
	// Cov then holds Half²/3 for it, which is taken out again.
	Reach *mat.Dense
	Half  []float64
}

// AddEstimates adds estimates as one source: each three crowns are held to the
// one of them that knows more, however they came out.
func (c *Contrasts) AddEstimates(estimates ...Estimate) error {
	s := nothing(len(c.x))
	least := 0.0
	for _, e := range estimates {
		if len(e.Z) != len(c.x) || e.Cov == nil || e.Cov.SymmetricDim() != len(c.x) {
			return fmt.Errorf("%w: an estimate of %d crowns for a lane of %d", ErrLength, len(e.Z), len(c.x))
		}
		eachThree(c.x, func(t, i, k, j int, w float64) {
			v := e.contrast(i, k, j, w)
			if !(v.hi-v.lo+2*bothFactor*v.u >= s[t].hi-s[t].lo+2*bothFactor*s[t].u) {
				s[t] = v
			}
		})
		sure, err := e.least(c.x)
		if err != nil {
			return err
		}
		least = math.Max(least, sure)
	}
	c.least = math.Max(c.least, least)
	c.estimates = append(c.estimates, s)
	return nil
}

// least is the widest contrast that the estimate holds open for certain, all of
// them at once: beyond what its brackets may be wrong by, by the 95 % point of
// the largest that noise alone makes.
func (e Estimate) least(x []float64) (float64, error) {
	noise, err := newNoise(e.Cov, len(x))
	if err != nil {
		return 0, err
	}
	bound := noise.widest(x, e.Cov, estimateSeed)
	least := 0.0
	eachThree(x, func(_, i, k, j int, w float64) {
		v := e.contrast(i, k, j, w)
		if v.bounded() {
			least = math.Max(least, math.Max(v.lo, -v.hi)-bound*v.u)
		}
	})
	return least, nil
}

// estimateSeed makes the draws repeatable.
const estimateSeed = 412

// bothFactor is the 97.5 % point of the normal: for two sources side by side.
const bothFactor = 1.96

func (e Estimate) contrast(i, k, j int, w float64) interval {
	off := e.Z[k] - w*e.Z[i] - (1-w)*e.Z[j]
	if math.IsNaN(off) {
		return unknown()
	}
	u := ZoneResult{I: i, K: k, J: j, Weight: w}.U(e.Cov)
	half := 0.0
	if e.Reach != nil {
		a, m, z := e.Reach.RawRowView(i), e.Reach.RawRowView(k), e.Reach.RawRowView(j)
		square := 0.0
		for b, h := range e.Half {
			r := (m[b] - w*a[b] - (1-w)*z[b]) * h
			half += math.Abs(r)
			square += r * r
		}
		u = math.Sqrt(math.Max(0, u*u-square/3))
	}
	return interval{off - half, off + half, u}
}

// Range is the least and the largest zone that the sources allow, in mm, each
// at Confidence: Level and NotLevel may be said where all of it says so.
//
// Largest: every three crowns are held to the sharpest of the m sources that
// know them, each read at 1 − 0.05/m, and the widest of them all is taken. That
// is an intersection-union test (R. L. Berger, Technometrics 24 (1982) 295, from
// memory): the lane's true zone is the contrast of three certain crowns, which
// exceeds its own bound with 5 %. +Inf where three crowns are held by nothing.
//
// Least: the widest of what the sources hold open at least, all brackets
// widened so that they hold at once; of an estimate all contrasts at once. Each
// kind of source errs in at most 5 % there.
func (c *Contrasts) Range() Range {
	n := c.readings
	for _, p := range c.passes {
		n += len(p.X)
	}
	bound := boundFactor(n)
	r := Range{LeastMM: c.least}
	var sources [][]interval
	for _, p := range c.passes {
		r.LeastMM = math.Max(r.LeastMM, p.least(bound))
		sources = append(sources, p.intervals(bound, c.x, p.at))
	}
	for _, s := range c.threes {
		r.LeastMM = math.Max(r.LeastMM, leastOf(s, bound))
	}
	sources = append(append(sources, c.threes...), c.estimates...)
	factors := make([]float64, len(sources)+1)
	for m := range factors {
		factors[m] = UpperPoint((1 - Confidence) / float64(max(m, 1)))
	}
	for t := range triples(len(c.x)) {
		r.LargestMM = math.Max(r.LargestMM, largestOf(sources, t, factors))
	}
	return r
}

// leastOf is the widest contrast that a source holds open, each widened by
// bound times its uncertainty.
func leastOf(s []interval, bound float64) float64 {
	least := 0.0
	for _, v := range s {
		least = math.Max(least, math.Max(v.lo-bound*v.u, -v.hi-bound*v.u))
	}
	return least
}

// largestOf is how wide contrast t may be by the sharpest of the sources. Where
// they contradict each other the widest of them counts.
func largestOf(sources [][]interval, t int, factors []float64) float64 {
	m := 0
	for _, s := range sources {
		if s[t].bounded() {
			m++
		}
	}
	up, down := math.Inf(1), math.Inf(1) // the contrast is at most up, at least −down
	all := 0.0
	for _, s := range sources {
		if v := s[t]; v.bounded() {
			a, b := v.hi+factors[m]*v.u, factors[m]*v.u-v.lo
			up, down = math.Min(up, a), math.Min(down, b)
			all = math.Max(all, math.Max(a, b))
		}
	}
	if up < -down {
		return all
	}
	return math.Max(up, down)
}

// triples is how many three crowns of n there are.
func triples(n int) int { return n * (n - 1) * (n - 2) / 6 }

// tripleAt is the place of three crowns in the order of eachThree.
func tripleAt(n, i, k, j int) int {
	before := triples(n) - triples(n-i) // with a first crown before i
	m := n - i - 1                      // crowns behind it
	k, j = k-i-1, j-i-1
	return before + k*(m-1) - k*(k-1)/2 + j - k - 1
}

// eachThree calls do for every three crowns of a lane, t counting them, w being
// the weight of crown i in the chord of i and j at k.
func eachThree(x []float64, do func(t, i, k, j int, w float64)) {
	t := 0
	for i := range x {
		for k := i + 1; k < len(x); k++ {
			for j := k + 1; j < len(x); j++ {
				do(t, i, k, j, (x[j]-x[k])/(x[j]-x[i]))
				t++
			}
		}
	}
}

// everyCrown is 0, 1, 2 … n−1.
func everyCrown(n int) []int {
	at := make([]int, n)
	for i := range at {
		at[i] = i
	}
	return at
}
