package straight

import (
	"fmt"
	"math"
)

// Brackets are the gaps under a straight edge that lay once along a lane, as
// feelers give them: each gap lies between the thickest leaf that entered and
// the thinnest that did not. All lengths are in mm, all slices of one length.
//
// A crown is the edge's line less its gap, so the line drops out of all that is
// said here. Brackets are sets: nothing is taken for likelier within them, as
// all of them may err alike (a hollow that no leaf enters).
type Brackets struct {
	X      []float64 // of the crowns, strictly ascending
	Lo, Hi []float64 // the gap at each; 0 ≤ Lo ≤ Hi
	U      []float64 // how surely it is felt that a leaf enters; nil for 0
	Shape  []float64 // the target shape at each crown, which the zone is taken without; nil for 0
	// Rests says that the edge lay on these crowns and on nothing else: then two
	// of them carried it, one on each side of its middle.
	Rests bool
}

// middleShare is the part of the lane's length by which the edge's middle, its
// centre of gravity, may lie off the lane's.
const middleShare = 0.05

// check refuses what no brackets can be.
func (b Brackets) check() error {
	if err := check(b.X, b.Lo, 3); err != nil {
		return err
	}
	for _, v := range [][]float64{b.Hi, b.U, b.Shape} {
		if v == nil && len(b.Hi) > 0 {
			continue
		}
		if err := check(b.X, v, 3); err != nil {
			return err
		}
	}
	for i := range b.X {
		if b.Lo[i] < 0 || b.Hi[i] < b.Lo[i] || b.u(i) < 0 {
			return fmt.Errorf("%w: bracket %d from %g to %g", ErrBracket, i+1, b.Lo[i], b.Hi[i])
		}
	}
	return nil
}

func (b Brackets) u(i int) float64 {
	if b.U == nil {
		return 0
	}
	return b.U[i]
}

func (b Brackets) shape(i int) float64 {
	if b.Shape == nil {
		return 0
	}
	return b.Shape[i]
}

// carriers are the crowns that may carry the edge on either side of its middle:
// those under which no leaf entered, but for z times the hand's uncertainty.
// Both are empty where nothing is known of what carries it.
func (b Brackets) carriers(z float64) (left, right []int) {
	if !b.Rests {
		return nil, nil
	}
	n := len(b.X)
	middle, slack := (b.X[0]+b.X[n-1])/2, middleShare*(b.X[n-1]-b.X[0])
	for i, x := range b.X {
		if b.Lo[i] > z*b.u(i) {
			continue
		}
		if x <= middle+slack {
			left = append(left, i)
		}
		if x >= middle-slack {
			right = append(right, i)
		}
	}
	if len(left) == 0 || len(right) == 0 || len(left) == 1 && len(right) == 1 && left[0] == right[0] {
		return nil, nil
	}
	return left, right
}

// eachPair calls do for every pair of crowns that may carry the edge, once with
// −1 and −1 where nothing is known of them.
func (b Brackets) eachPair(z float64, do func(p, q int)) {
	left, right := b.carriers(z)
	if left == nil {
		do(-1, -1)
		return
	}
	for _, p := range left {
		for _, q := range right {
			if p != q {
				do(p, q)
			}
		}
	}
}

// least is the least zone that the brackets allow when each of them is widened
// by z times its uncertainty: the width W is made least under
// lo ≤ a + b·x + W/2 and hi ≥ a + b·x − W/2 at every crown. Three unknowns, so
// by duality three crowns decide, and the width is the greatest height of the
// upper hull of lo over the lower hull of hi.
func (b Brackets) least(z float64) float64 {
	n := len(b.X)
	lo, hi := make([]float64, n), make([]float64, n)
	up, down := make([]int, n), make([]int, n)
	least := math.Inf(1)
	b.eachPair(z, func(p, q int) {
		for i := range n {
			lo[i] = b.shape(i) + math.Max(0, b.Lo[i]-z*b.u(i)) // no gap is below 0
			hi[i] = b.shape(i) + b.Hi[i] + z*b.u(i)
		}
		if p >= 0 {
			lo[p], hi[p], lo[q], hi[q] = b.shape(p), b.shape(p), b.shape(q), b.shape(q)
		}
		least = math.Min(least, hullsApart(b.X, lo, hi, up, down))
	})
	return least
}

// Range is the least and the largest zone that the brackets allow, in mm,
// without the hand's uncertainty.
//
// Cost: order n³. Errors: as Zone; ErrBracket.
func (b Brackets) Range() (Range, error) {
	if err := b.check(); err != nil {
		return Range{}, err
	}
	largest := 0.0
	for _, v := range b.intervals(0, b.X, everyCrown(len(b.X))) {
		largest = math.Max(largest, math.Max(v.hi, -v.lo))
	}
	return Range{b.least(0), largest}, nil
}

// Offs are the middle and half the width of the range, in mm, of every crown's
// distance from the lane's least-squares line, above it positive. That distance
// is linear in the gaps, r = S·g with S = H − I and H the hat matrix of the
// line, so the ranges are exact. half/√3 is their standard uncertainty
// (JCGM 100:2008, 4.3.7); noise is that of the hand alone.
//
// Cost: order n³. Errors: as Zone; ErrBracket.
func (b Brackets) Offs() (middle, half, noise []float64, err error) {
	if err := b.check(); err != nil {
		return nil, nil, nil, err
	}
	n := len(b.X)
	middle, half, noise = make([]float64, n), make([]float64, n), make([]float64, n)
	var pairs [][2]int
	b.eachPair(boundFactor(n), func(p, q int) {
		if p >= 0 {
			pairs = append(pairs, [2]int{p, q})
		}
	})
	for k, s := range residualRows(b.X) {
		low, high, square := 0.0, 0.0, 0.0
		// What a crown's bracket adds to the range; 0 where it carries the edge.
		lows, highs := make([]float64, n), make([]float64, n)
		for f, v := range s {
			low += v * b.shape(f)
			high += v * b.shape(f)
			lows[f], highs[f] = v*b.Lo[f], v*b.Hi[f]
			if v < 0 {
				lows[f], highs[f] = highs[f], lows[f]
			}
			low, high = low+lows[f], high+highs[f]
			square += v * v * b.u(f) * b.u(f)
		}
		low, high = lessCarried(pairs, lows, highs, low, high)
		middle[k], half[k], noise[k] = (low+high)/2, math.Max(0, high-low)/2, math.Sqrt(square)
	}
	return middle, half, noise, nil
}

// residualRows are the rows of S = H − I, H the hat matrix of a straight line.
func residualRows(x []float64) [][]float64 {
	n := float64(len(x))
	mean, sxx := 0.0, 0.0
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		sxx += (v - mean) * (v - mean)
	}
	rows := make([][]float64, len(x))
	for k, xk := range x {
		rows[k] = make([]float64, len(x))
		for f, xf := range x {
			rows[k][f] = 1/n + (xk-mean)*(xf-mean)/sxx
		}
		rows[k][k]--
	}
	return rows
}

// lessCarried is the range low to high without what the two crowns that carry the
// edge add to it, whichever they are.
func lessCarried(pairs [][2]int, lows, highs []float64, low, high float64) (least, largest float64) {
	if len(pairs) == 0 {
		return low, high
	}
	least, largest = math.Inf(1), math.Inf(-1)
	for _, p := range pairs {
		least = math.Min(least, low-lows[p[0]]-lows[p[1]])
		largest = math.Max(largest, high-highs[p[0]]-highs[p[1]])
	}
	return least, largest
}
