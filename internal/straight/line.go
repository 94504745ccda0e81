package straight

import (
	"cmp"
	"math"
	"slices"
)

// Two lines tie where their sums of distances differ by less than this part of
// the sum: far above rounding (1e-15), far below what any gauge resolves.
const tieShare = 1e-10

// line is a + b·x about the lane's middle.
type line struct{ a, b float64 }

// ReferenceLine returns the line a + b·x with the least sum of absolute
// distances from the crowns; where lines tie, the one of them with the least
// sum of squares.
//
// x and z are in mm, of one length n ≥ 2, x strictly ascending; ErrLength,
// ErrTooFew, ErrOrder and ErrNotFinite say where they are not. Some best line
// passes through two crowns, and the best line through one crown is a weighted
// median of slopes: n medians, order n² log n. The lines that tie form a convex
// set in (a, b) with such lines at its corners; the sum of squares is made
// least over that set exactly.
// Source: Bloomfield and Steiger (1983), chapter 1; ties: O9 of the tests.
func ReferenceLine(x, z []float64) (a, b float64, err error) {
	if err := check(x, z, 2); err != nil {
		return 0, 0, err
	}
	f := centred(x, z)
	best := f.leastOfTies(f.corners())
	a, b = best.a+f.base.a, best.b+f.base.b
	return a - b*f.middle, b, nil
}

// fit is a lane with its middle x and its least-squares line taken out, so that
// sums and ties are of the size of the crowns' scatter, not of the tilt.
type fit struct {
	x, z   []float64
	middle float64
	base   line // the least-squares line, about the middle
}

func centred(x, z []float64) *fit {
	f := &fit{x: slices.Clone(x), z: slices.Clone(z)}
	n := float64(len(x))
	for _, v := range x {
		f.middle += v / n
	}
	var sxx, sxz float64
	for i := range f.x {
		f.x[i] -= f.middle
		f.base.a += z[i] / n
	}
	for i, xi := range f.x {
		sxx += xi * xi
		sxz += xi * (z[i] - f.base.a)
	}
	f.base.b = sxz / sxx
	for i, xi := range f.x {
		f.z[i] -= f.base.a + f.base.b*xi
	}
	return f
}

// sum is Σ|z − a − b·x|.
func (f *fit) sum(l line) float64 {
	s := 0.0
	for i, xi := range f.x {
		s += math.Abs(f.z[i] - l.a - l.b*xi)
	}
	return s
}

// ray is one other crown seen from a pivot: the slope to it and its distance.
type ray struct{ slope, weight float64 }

// corners returns every best line that passes through two crowns.
func (f *fit) corners() []line {
	type candidate struct {
		line
		sum float64
	}
	var found []candidate
	least := math.Inf(1)
	add := func(i int, slope float64) bool {
		l := line{f.z[i] - slope*f.x[i], slope}
		s := f.sum(l)
		if s > least*(1+tieShare) {
			return false
		}
		least = math.Min(least, s)
		found = append(found, candidate{l, s})
		return true
	}
	rays := make([]ray, 0, len(f.x))
	for i := range f.x {
		rays = f.rays(i, rays[:0])
		m := median(rays)
		if !add(i, rays[m].slope) {
			continue
		}
		for k := m + 1; k < len(rays) && add(i, rays[k].slope); k++ {
		}
		for k := m - 1; k >= 0 && add(i, rays[k].slope); k-- {
		}
	}
	var ties []line
	for _, c := range found {
		if c.sum <= least*(1+tieShare) {
			ties = append(ties, c.line)
		}
	}
	return ties
}

// rays fills r with the slopes from crown i to all others, ascending.
func (f *fit) rays(i int, r []ray) []ray {
	for j, xj := range f.x {
		if j != i {
			dx := xj - f.x[i]
			r = append(r, ray{(f.z[j] - f.z[i]) / dx, math.Abs(dx)})
		}
	}
	slices.SortFunc(r, func(p, q ray) int { return cmp.Compare(p.slope, q.slope) })
	return r
}

// median is the first ray at which half the weight is reached.
func median(rays []ray) int {
	total := 0.0
	for _, r := range rays {
		total += r.weight
	}
	below := 0.0
	for k, r := range rays {
		below += r.weight
		if 2*below >= total {
			return k
		}
	}
	return len(rays) - 1
}
