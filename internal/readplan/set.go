package readplan

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// Set is a set of readings that may be taken.
type Set struct {
	Method reading.Method // one of crowns
	Lanes  []float64      // in each of these lanes
	// Frets are the frets read, ascending; of a bridge or a rocker those that it
	// stands on or reads, of which every three at a distance of Reach are read.
	Frets  []int
	Passes int     // how often; 0 counts as 1
	Reach  int     // of a bridge or a rocker: frets from its middle to either end; 0 counts as 1
	UMM    float64 // standard uncertainty of one reading
}

// passes is at least one.
func (s Set) passes() int { return max(1, s.Passes) }

func (s Set) reach() int { return max(1, s.Reach) }

// threes reports whether one reading takes three crowns.
func (s Set) threes() bool { return s.Method.Spec().Frets == 3 }

// touched reports whether a machine touches the crowns.
func (s Set) touched() bool { return s.Method.Spec().SetUp == reading.Frame }

// Places are the frets that one pass of the set reads, one list a reading.
func (s Set) Places() [][]int {
	if s.threes() && len(s.Frets) == 3 {
		return [][]int{s.Frets}
	}
	var out [][]int
	for _, f := range s.Frets {
		if !s.threes() {
			out = append(out, []int{f})
			continue
		}
		p := []int{f, f + s.reach(), f + 2*s.reach()}
		if slices.Contains(s.Frets, p[1]) && slices.Contains(s.Frets, p[2]) {
			out = append(out, p)
		}
	}
	return out
}

// touches is how many times a probe touches a crown for one top.
const touches = 3

// Readings is how many readings the set has; of a probe, touches.
func (s Set) Readings() int {
	n := len(s.Places()) * len(s.Lanes) * s.passes()
	if s.touched() {
		n *= touches
	}
	return n
}

// Setups is how often a gauge is set up: for each lane and pass; of a probe for each
// pass; a bridge or a rocker needs none.
func (s Set) Setups() int {
	switch {
	case s.threes():
		return 0
	case s.touched():
		return s.passes()
	}
	return len(s.Lanes) * s.passes()
}

// block is what a set tells of one lane: rows of unit noise.
type block struct {
	lane int
	rows *mat.Dense
}

// blocks turns sets into rows of unit noise, free of set-ups, and counts them.
// Passes alike are one pass with √passes the weight.
func (k *Known) blocks(sets []Set) (out []block, rows int, err error) {
	for _, s := range sets {
		if !(s.UMM > 0) {
			return nil, 0, fmt.Errorf("%w: the uncertainty is %g mm", ErrReadings, s.UMM)
		}
		for _, lane := range s.Lanes {
			l := slices.IndexFunc(k.Lanes, func(x Lane) bool { return x.Lane == lane })
			if l < 0 {
				return nil, 0, fmt.Errorf("%w: no lane %g", ErrReadings, lane)
			}
			b, err := s.of(k.Lanes[l])
			if err != nil {
				return nil, 0, err
			}
			if b != nil {
				r, _ := b.Dims()
				rows += r
				out = append(out, block{l, b})
			}
		}
	}
	return out, rows, nil
}

// of are the set's rows on one lane's crowns; nil where they tell nothing.
func (s Set) of(l Lane) (*mat.Dense, error) {
	places := s.Places()
	if len(places) == 0 {
		return nil, nil
	}
	b := mat.NewDense(len(places), len(l.Frets), nil)
	weight := math.Sqrt(float64(s.passes())) / s.UMM
	var x []float64
	for i, frets := range places {
		at := make([]int, len(frets))
		for j, f := range frets {
			if at[j] = slices.Index(l.Frets, f); at[j] < 0 {
				return nil, fmt.Errorf("%w: lane %g has no fret %d", ErrReadings, l.Lane, f)
			}
		}
		if !s.threes() {
			b.Set(i, at[0], weight)
			x = append(x, l.XMM[at[0]])
			continue
		}
		for k, w := range heights.Weights(s.Method, l.XMM[at[0]], l.XMM[at[1]], l.XMM[at[2]]) {
			b.Set(i, at[k], w*weight)
		}
	}
	if s.threes() {
		return b, nil
	}
	return withoutSetup(b, x), nil
}

// withoutSetup takes an unknown offset and tilt out of a pass of rows of equal
// noise: what is left is square to both, two rows fewer. Nil where nothing is.
func withoutSetup(b *mat.Dense, x []float64) *mat.Dense {
	n, c := b.Dims()
	if n <= 2 {
		return nil
	}
	g := slopeOf(x)
	line := mat.NewDense(n, 2, nil)
	for i := range n {
		line.Set(i, 0, 1)
		line.Set(i, 1, g[i])
	}
	var qr mat.QR
	qr.Factorize(line)
	var q, all mat.Dense
	qr.QTo(&q)
	all.Mul(q.T(), b)
	return mat.DenseCopyOf(all.Slice(2, n, 0, c))
}
