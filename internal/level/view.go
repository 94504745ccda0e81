package level

import (
	"math/bits"

	"ringtrue/internal/num"
)

// bitLane is a lane with its crowns at their frets' bits.
type bitLane struct {
	*Lane
	first int
	all   set
	x, d  [most]float64
}

func newBitLane(l *Lane, first int) *bitLane {
	b := &bitLane{Lane: l, first: first}
	for i, f := range l.Frets {
		bit := f - first
		b.all |= 1 << uint(bit)
		b.x[bit], b.d[bit] = l.X[i], l.D[i]
	}
	return b
}

// view is a lane solved without some frets, kept so that the cost without more
// of them can be bounded in a few steps.
//
// The dual of the lane's program: multipliers λ in [0, 1] at the crowns, and μ ≥ 0
// at the same crowns one zone up, with Σλ = Σμ and Σλx = Σμx; value
// Σλd − Σμ(d + zone). Multipliers that do not touch a refitted fret bound the
// cost without it. Given λ, the best μ stand at the two ends of the lower hull's
// edge over the mean x of λ; any two crowns around it will do.
type view struct {
	lane       *bitLane
	total, max float64
	support    set // refits elsewhere leave the solution as it is
	filed      set // λ = 1
	on         set // one crown with λ = part
	part       float64
	count      float64 // Σλ
	x, d       float64 // Σλx, Σλd
	zone       float64
	hull       [most]uint8 // bits of the lower hull
	corners    int
	pivot      int // place in hull
}

// solve solves the view's lane without the frets of refit.
func (r *room) solve(v *view, refit set, zone float64) {
	*v = view{lane: v.lane, zone: zone}
	l := v.lane
	r.keep(l, refit)
	if len(r.x) < 3 {
		return
	}
	t := r.w.solve(r.x, r.d, zone)
	r.hull = num.LowerHull(r.x, r.d, r.hull)
	for k, i := range r.hull {
		v.hull[k] = r.index[i]
		if i <= t.pivot {
			v.pivot = k
		}
	}
	v.corners = len(r.hull)
	xv, level := r.x[t.pivot], r.d[t.pivot]+zone
	pull := 0.0
	for k, x := range r.x {
		h := r.d[k] - level - t.b*(x-xv)
		bit := set(1) << r.index[k]
		if h > nothingMM {
			v.total += h
			v.max = max(v.max, h)
			v.filed |= bit
			v.count++
			v.x += x
			v.d += r.d[k]
			pull += x - xv
		}
		if h > -nothingMM || h < nothingMM-zone {
			v.support |= bit
		}
	}
	if t.on >= 0 && v.filed>>r.index[t.on]&1 == 0 {
		v.on = 1 << r.index[t.on]
		v.part = min(1, max(0, -pull/(r.x[t.on]-xv)))
		v.count += v.part
		v.x += v.part * r.x[t.on]
		v.d += v.part * r.d[t.on]
	}
}

// cost is what comes off a lane without the frets of refit, in all and at most.
func (r *room) cost(l *bitLane, refit set, zone float64) (total, highest float64) {
	r.keep(l, refit)
	if len(r.x) < 3 {
		return 0, 0
	}
	t := r.w.solve(r.x, r.d, zone)
	xv, level := r.x[t.pivot], r.d[t.pivot]+zone
	for k, x := range r.x {
		if h := r.d[k] - level - t.b*(x-xv); h > nothingMM {
			total += h
			highest = max(highest, h)
		}
	}
	return total, highest
}

// keep puts the crowns that are not refitted into the room.
func (r *room) keep(l *bitLane, refit set) {
	r.x, r.d, r.index = r.x[:0], r.d[:0], r.index[:0]
	for rest := l.all &^ refit; rest != 0; rest &= rest - 1 {
		bit := bits.TrailingZeros64(uint64(rest)) & (most - 1)
		r.x, r.d, r.index = append(r.x, l.x[bit]), append(r.d, l.d[bit]), append(r.index, uint8(bit))
	}
}

// bound is no more than the lane's cost without the frets of refit, of which
// the view's own are part. It is exact where refit does not touch the support.
func (v *view) bound(refit set) float64 {
	if refit&v.support == 0 {
		return v.total
	}
	l := v.lane
	count, x, d := v.count, v.x, v.d
	for rest := refit & v.filed; rest != 0; rest &= rest - 1 {
		bit := bits.TrailingZeros64(uint64(rest)) & (most - 1)
		count--
		x -= l.x[bit]
		d -= l.d[bit]
	}
	if refit&v.on != 0 {
		bit := bits.TrailingZeros64(uint64(v.on)) & (most - 1)
		count -= v.part
		x -= v.part * l.x[bit]
		d -= v.part * l.d[bit]
	}
	if count <= 0 {
		return 0
	}
	height, ok := v.under(refit, count, x)
	if !ok {
		return 0
	}
	return max(0, d-height-v.zone*count)
}

// under is count times the height at x/count of a chord of kept crowns: the
// nearest kept corners of the hull on either side; false where a side has none.
func (v *view) under(refit set, count, x float64) (float64, bool) {
	l := v.lane
	left := func(k int) bool {
		bit := v.hull[k] & (most - 1)
		return l.x[bit]*count <= x && refit>>bit&1 == 0
	}
	right := func(k int) bool {
		bit := v.hull[k] & (most - 1)
		return l.x[bit]*count >= x && refit>>bit&1 == 0
	}
	q := v.pivot
	for q < v.corners-1 && !right(q) {
		q++
	}
	p := q
	for p > 0 && !left(p) {
		p--
	}
	q = p
	for q < v.corners-1 && !right(q) {
		q++
	}
	if !left(p) || !right(q) {
		return 0, false
	}
	pb, qb := v.hull[p]&(most-1), v.hull[q]&(most-1)
	height := l.d[pb] * count
	if p < q {
		height += (l.d[qb] - l.d[pb]) / (l.x[qb] - l.x[pb]) * (x - l.x[pb]*count)
	}
	return height, true
}
