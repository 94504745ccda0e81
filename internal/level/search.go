package level

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"
)

const (
	// tieMM is the difference below which two totals, or two maxima, are equal.
	tieMM = 1e-10
	// most is how many different frets a search can hold, one a bit.
	most = 64
	// manyLeft is how many sets that differ in one fret must stay in question
	// before solving all lanes without the frets they share pays.
	manyLeft = 3
)

// set is a set of frets, fret `first + i` being bit i.
type set uint64

// search looks for the best set of refits, size after size.
type search struct {
	ctx     context.Context
	lanes   []Lane
	zone    float64
	first   int
	order   []uint   // the frets' bits, those whose refit gains most first
	none    []view   // every lane with no fret refitted
	singles [][]view // every lane with one fret refitted, in the order above
	shared  []view   // room: every lane without the frets that a row of sets shares
	left    []set    // room: the sets of a row still in question
	lead    found    // the best set of this size so far
	room
}

// room is what solving one lane takes.
type room struct {
	w     work
	x, d  []float64
	index []uint8
	hull  []int
}

// found is a set of refits with what it costs.
type found struct {
	refit      set
	total, max float64
}

// newSearch solves every lane as it is and without each single fret.
func newSearch(ctx context.Context, lanes []Lane, zoneMM float64) (*search, error) {
	s := &search{ctx: ctx, lanes: lanes, zone: zoneMM}
	if len(lanes) == 0 {
		return s, nil
	}
	s.first = math.MaxInt
	last := math.MinInt
	for _, l := range lanes {
		s.first, last = min(s.first, l.Frets[0]), max(last, l.Frets[len(l.Frets)-1])
	}
	if last-s.first >= most {
		return nil, fmt.Errorf("%w: %d to %d", ErrFrets, s.first, last)
	}
	s.none, s.shared = make([]view, len(lanes)), make([]view, len(lanes))
	var all set
	for i := range lanes {
		s.none[i].lane = newBitLane(&lanes[i], s.first)
		s.room.solve(&s.none[i], 0, zoneMM)
		all |= s.none[i].lane.all
	}
	for ; all != 0; all &= all - 1 {
		s.order = append(s.order, uint(bits.TrailingZeros64(uint64(all))))
	}
	return s, nil
}

// solveSingles refits each fret alone, and puts those that gain most first: a
// set is then judged from the solution without its weightiest fret.
func (s *search) solveSingles() {
	type single struct {
		bit   uint
		views []view
		total float64
	}
	list := make([]single, len(s.order))
	all := make([]view, len(s.order)*len(s.lanes))
	for k, bit := range s.order {
		views := all[k*len(s.lanes):][:len(s.lanes)]
		s.without(1<<bit, s.none, views)
		list[k] = single{bit, views, 0}
		for i := range views {
			list[k].total += views[i].total
		}
	}
	slices.SortStableFunc(list, func(p, q single) int { return cmp.Compare(p.total, q.total) })
	s.singles = make([][]view, len(list))
	for k, one := range list {
		s.order[k], s.singles[k] = one.bit, one.views
	}
}

// without fills views with every lane's solution without the frets of refit;
// from holds solutions without some of them.
func (s *search) without(refit set, from, views []view) {
	for i := range from {
		views[i] = from[i]
		if refit&from[i].support != 0 {
			s.room.solve(&views[i], refit, s.zone)
		}
	}
}

// best is the best set of one size. Sizes come in rising order.
func (s *search) best(size int) (set, error) {
	before := s.lead.refit
	s.lead = found{total: math.Inf(1), max: math.Inf(1)}
	if size == 0 {
		s.try(0, s.none)
		return 0, nil
	}
	if size == 1 {
		s.solveSingles()
		for k, bit := range s.order {
			s.try(1<<bit, s.singles[k])
		}
		return s.lead.refit, nil
	}
	s.without(before, s.none, s.shared) // a good lead: the last best and one more
	for _, bit := range s.order {
		if before>>bit&1 == 0 {
			s.try(before|1<<bit, s.shared)
		}
	}
	return s.lead.refit, s.choose(0, nil, 0, size)
}

// choose tries every set that adds `left` frets from place `from` of the order
// on; views are solutions without some of refit.
func (s *search) choose(refit set, views []view, from, left int) error {
	if left == 1 {
		s.row(refit, views, from)
		return s.ctx.Err()
	}
	for k := from; k+left <= len(s.order); k++ {
		v := views
		if refit == 0 {
			v = s.singles[k]
		}
		if err := s.choose(refit|1<<s.order[k], v, k+1, left-1); err != nil {
			return err
		}
	}
	return nil
}

// row tries refit with each one more fret.
func (s *search) row(refit set, views []view, from int) {
	s.left = s.left[:0]
	for _, bit := range s.order[from:] {
		if r := refit | 1<<bit; s.open(r, views) {
			s.left = append(s.left, r)
		}
	}
	if len(s.left) > manyLeft && bits.OnesCount64(uint64(refit)) > 1 {
		s.without(refit, views, s.shared)
		views = s.shared
	}
	for _, r := range s.left {
		s.try(r, views)
	}
}

// open tells whether a set may still be the best by the bounds alone.
func (s *search) open(refit set, views []view) bool {
	sum := 0.0
	for i := range views {
		if sum += views[i].bound(refit); !s.worth(refit, sum) {
			return false
		}
	}
	return true
}

// try solves a set's lanes one by one, as long as it can still be the best.
// views are solutions without some of its frets.
func (s *search) try(refit set, views []view) {
	bound := 0.0
	for i := range views {
		bound += views[i].bound(refit)
	}
	f := found{refit: refit}
	for i := range views {
		if !s.worth(refit, bound) {
			return
		}
		v := &views[i]
		total, highest := v.total, v.max
		if refit&v.support != 0 {
			known := v.bound(refit)
			total, highest = s.room.cost(v.lane, refit, s.zone)
			bound += total - known
		}
		f.total += total
		f.max = max(f.max, highest)
	}
	if f.before(s.lead) {
		s.lead = f
	}
}

// worth tells whether a set whose total is at least bound can still win.
func (s *search) worth(refit set, bound float64) bool {
	if bound > s.lead.total+tieMM {
		return false
	}
	return s.lead.total > 0 || lower(refit, s.lead.refit)
}

// before is the order of options: total, then maximum, then the lower frets.
func (f found) before(g found) bool {
	if math.Abs(f.total-g.total) > tieMM || math.IsInf(g.total, 1) {
		return f.total < g.total
	}
	if math.Abs(f.max-g.max) > tieMM {
		return f.max < g.max
	}
	return lower(f.refit, g.refit)
}

// lower tells whether one set comes before another of its size, fret by fret:
// the lowest fret that only one of them has is its own.
func lower(a, b set) bool {
	d := a ^ b
	return d&-d&a != 0
}

// frets lists a set's fret numbers, ascending.
func (s *search) frets(refit set) []int {
	list := []int{}
	for ; refit != 0; refit &= refit - 1 {
		list = append(list, s.first+bits.TrailingZeros64(uint64(refit)))
	}
	return list
}
