package wear

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// bowShape is one thing that a bow may do.
type bowShape struct {
	endMM   float64
	priorMM float64
	column  func(l *lane, endMM float64) []float64
}

// What a bow does at most, as standard deviations: conventions, wider than a rod
// or a season moves a neck.
const (
	bowDepthMM = 0.3
	bowLeanMM  = 0.05
	bowTurnMM  = 0.1
)

// shapesPerEnd are depth, lean and turn.
const shapesPerEnd = 3

// layBows lays out what bows may do: one to each end be deep, have its deepest
// place off the middle, and differ from the treble to the bass side.
func (n *neck) layBows(endsMM []float64) {
	for _, end := range endsMM {
		n.bows = append(n.bows,
			bowShape{end, bowDepthMM, (*lane).shape}, bowShape{end, bowLeanMM, (*lane).lean}, bowShape{end, bowTurnMM, (*lane).turn})
	}
	n.models = [][]int{{}}
	for at := 0; at < len(n.bows); at += shapesPerEnd {
		n.models = append(n.models, []int{at}, []int{at, at + 1})
		if len(n.lanes) > 1 {
			n.models = append(n.models, []int{at, at + 2}, []int{at, at + 1, at + 2})
		}
	}
	q := len(n.bows)
	for _, l := range n.lanes {
		l.bow = make([]float64, l.m()*q)
		for k, b := range n.bows {
			for i, v := range b.column(l, b.endMM) {
				l.bow[i*q+k] = v
			}
		}
	}
}

// shape is the parabola of depth 1 mm at the lane's crowns: 0 at its first crown
// and at the end, −1 half-way between, 0 beyond the end.
func (l *lane) shape(endMM float64) []float64 {
	p := make([]float64, len(l.x))
	first := l.x[0]
	for i, x := range l.x {
		if t := (x - first) / (endMM - first); endMM > first && t < 1 {
			p[i] = -4 * t * (1 - t)
		}
	}
	return p
}

// lean is the cubic that shifts the parabola's deepest place along the lane: 0
// at the first crown, half-way and at the end, 1 mm at most.
func (l *lane) lean(endMM float64) []float64 {
	q := make([]float64, len(l.x))
	first := l.x[0]
	for i, x := range l.x {
		if t := (x - first) / (endMM - first); endMM > first && t < 1 {
			q[i] = 6 * math.Sqrt(3) * t * (1 - t) * (1 - 2*t)
		}
	}
	return q
}

// turn is the parabola, deeper on the bass side by 1 mm than on the treble side.
func (l *lane) turn(endMM float64) []float64 {
	p := l.shape(endMM)
	for i := range p {
		p[i] *= l.t
	}
	return p
}

// bowFit is the bow that explains best what the lanes' information leaves.
type bowFit struct {
	columns []int
	by      []float64 // of each column, mm
	cov     []float64
	cost    []float64 // what it leaves, lane by lane
}

// fitBow is the generalised least-squares bow made of some columns; info is what
// is known of each lane's change.
func (n *neck) fitBow(info [][]float64, columns []int) bowFit {
	k, q := len(columns), len(n.bows)
	f := bowFit{columns: columns, by: make([]float64, k), cov: make([]float64, k*k), cost: make([]float64, len(n.lanes))}
	right := make([]float64, k)
	var known [][]float64 // of each lane, info·d then info·column
	for i, l := range n.lanes {
		m := l.m()
		rows := make([]float64, (k+1)*m)
		times(info[i], l.d, rows[:m])
		column := make([]float64, m)
		for a, c := range columns {
			for j := range column {
				column[j] = l.bow[j*q+c]
				right[a] += column[j] * rows[j]
			}
			times(info[i], column, rows[(a+1)*m:(a+2)*m])
			for b, c2 := range columns {
				for j := range column {
					f.cov[a*k+b] += l.bow[j*q+c2] * rows[(a+1)*m+j]
				}
			}
		}
		known = append(known, rows)
	}
	if k > 0 {
		if !invert(f.cov, k) {
			return bowFit{cost: n.fitBow(info, nil).cost}
		}
		times(f.cov, right, f.by)
	}
	for i, l := range n.lanes {
		m := l.m()
		for j, d := range l.d {
			left := known[i][j]
			for a, c := range columns {
				left -= f.by[a] * known[i][(a+1)*m+j]
				d -= f.by[a] * l.bow[j*q+c]
			}
			f.cost[i] += d * left
		}
	}
	return f
}

// worstCondition is how ill a bow may be determined before it is left alone.
const worstCondition = 1e10

// invert replaces a symmetric positive definite matrix by its inverse.
func invert(a []float64, n int) bool {
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(n, append([]float64{}, a...))) || chol.Cond() > worstCondition {
		return false
	}
	var inverse mat.SymDense
	if chol.InverseTo(&inverse) != nil {
		return false
	}
	for i := range n {
		for j := range n {
			a[i*n+j] = inverse.At(i, j)
		}
	}
	return true
}

// findBow looks for a bow common to the lanes that explains more than chance
// would, and whether it leans and turns.
func (n *neck) findBow(info [][]float64, guard float64) (bowFit, *Bow) {
	none := n.fitBow(info, nil)
	best := none
	for at := 0; at < len(n.bows); at += shapesPerEnd {
		free := []int{at, at + 1}
		if len(n.lanes) > 1 {
			free = append(free, at+2)
		}
		if f := n.fitBow(info, free); sum(none.cost)-sum(f.cost) <= guard*guard {
			continue // not even the freest bow explains anything
		}
		b := n.fitBow(info, free[:1])
		for _, more := range free[1:] {
			if f := n.fitBow(info, append(slices.Clone(b.columns), more)); explains(b.cost, f.cost, guard) {
				b = f
			}
		}
		if explains(none.cost, b.cost, guard) && sum(b.cost) < sum(best.cost) {
			best = b
		}
	}
	if len(best.columns) == 0 {
		return best, nil
	}
	b := &Bow{MM: best.by[0], UMM: math.Sqrt(best.cov[0]), EndMM: n.bows[best.columns[0]].endMM}
	turn := 0.0
	for a, c := range best.columns {
		if c%shapesPerEnd == shapesPerEnd-1 {
			turn = best.by[a]
		}
	}
	b.TrebleMM, b.BassMM = b.MM+turn*n.lanes[0].t, b.MM+turn*n.lanes[len(n.lanes)-1].t
	return best, b
}

// explains reports whether a bow that lowers the lanes' costs so is believed:
// where even the half of the lanes that it helps least are helped more than by
// chance. Wear under the plain strings looks like a bow in those lanes alone.
func explains(without, with []float64, guard float64) bool {
	gain := make([]float64, len(with))
	for i := range gain {
		gain[i] = without[i] - with[i]
	}
	slices.Sort(gain)
	half := max(1, len(gain)/2)
	return sum(gain) > guard*guard && sum(gain[:half]) > guard*guard/2
}

func sum(of []float64) (s float64) {
	for _, v := range of {
		s += v
	}
	return s
}
