package heights

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// The surface's share is 1 ± 2, and nothing else of theta has a prior; a ridge
// keeps what no kept reading tells from being singular (0 ± 10 m).
const (
	kappaWeight = coneRidge
	thetaRidge  = 1e-14
)

// parting is one explanation taken apart at the set-ups as they stand: the weight
// matrix of a fret's readings and what it does to its crowns.
type parting struct {
	alpha []float64 // S⁻¹(m − μ) by lane
	inv   []float64 // S⁻¹, lanes × lanes, 0 where no reading is kept
	mean  []float64 // kept readings' mean by lane
	v     []float64 // its variance, +Inf where none is kept
}

// part works out the matrices of an explanation: S = K + v + σ² over the lanes
// that keep a reading.
func (n *net) part(f *fretNode, e *explanation, room *partRoom) parting {
	m := len(f.crowns)
	p := room.clear(m)
	d := depths()
	lanes := room.lanes[:0]
	for l := range m {
		c := f.comps[l][e.at[l]]
		p.v[l] = c.variance
		if !math.IsInf(c.variance, 1) {
			lanes = append(lanes, l)
		}
	}
	k := len(lanes)
	s, inv, y := room.s[:k*k], room.small[:k*k], room.y[:k]
	prior := n.walkers[f.prior][0].prior[e.kind]
	for i, a := range lanes {
		c := f.comps[a][e.at[a]]
		for j, b := range lanes {
			s[i*k+j] = prior[a*m+b]
		}
		s[i*k+i] += c.variance + d[c.dent].sd*d[c.dent].sd
		sum := 0.0
		for r, row := range f.rows[a] {
			if c.kept>>r&1 == 1 {
				sum += n.residual(row) / (n.rows[row].u * n.rows[row].u)
			}
		}
		p.mean[a] = sum * c.variance
		y[i] = p.mean[a] - d[c.dent].mean
	}
	if _, ok := factor(s, k); !ok {
		return p
	}
	inverse(s, k, inv)
	for i, a := range lanes {
		for j, b := range lanes {
			p.inv[a*m+b] = inv[i*k+j]
			p.alpha[a] += inv[i*k+j] * y[j]
		}
	}
	return p
}

// partRoom is what taking an explanation apart takes, used again for the next.
type partRoom struct {
	parting
	lanes       []int
	s, small, y []float64
}

// clear makes room for m lanes, all zero.
func (r *partRoom) clear(m int) parting {
	if len(r.v) != m {
		r.parting = parting{alpha: make([]float64, m), inv: make([]float64, m*m), mean: make([]float64, m), v: make([]float64, m)}
		r.lanes, r.s, r.small, r.y = make([]int, 0, m), make([]float64, m*m), make([]float64, m*m), make([]float64, m)
		return r.parting
	}
	clear(r.alpha)
	clear(r.inv)
	clear(r.mean)
	return r.parting
}

// score adds factor times an explanation's gradient of ln likelihood in theta.
func (n *net) score(f *fretNode, e *explanation, p *parting, factor float64, g []float64) {
	for l, rows := range f.rows {
		kept := f.comps[l][e.at[l]].kept
		for r, i := range rows {
			if kept>>r&1 == 0 {
				continue
			}
			row := &n.rows[i]
			w := factor * (p.alpha[l]*p.v[l] + n.residual(i) - p.mean[l]) / (row.u * row.u)
			for k, at := range row.at {
				g[at] += w * row.w[k]
			}
		}
	}
}

// fretRow is a reading of a fret: its row, its lane and its place in the crown.
type fretRow struct{ row, lane, bit int }

// listed are a fret's readings.
func (f *fretNode) listed() []fretRow {
	if f.list == nil {
		for l, rows := range f.rows {
			for r, i := range rows {
				f.list = append(f.list, fretRow{i, l, r})
			}
		}
	}
	return f.list
}

// weigh adds factor times an explanation's weight matrix of the fret's readings,
// Ωᵀ·S⁻¹·Ω and the scatter within each crown, into w's upper half.
func (n *net) weigh(f *fretNode, e *explanation, p *parting, factor float64, w []float64) {
	m := len(f.crowns)
	list := f.listed()
	share := make([]float64, len(list)) // of a reading in its crown's mean; 0 where it is set aside
	for k, r := range list {
		if f.comps[r.lane][e.at[r.lane]].kept>>r.bit&1 == 1 {
			u := n.rows[r.row].u
			share[k] = p.v[r.lane] / (u * u)
		}
	}
	for i, a := range list {
		if share[i] == 0 {
			continue
		}
		base := w[i*len(list):]
		for j := i; j < len(list); j++ {
			b := list[j]
			if share[j] == 0 {
				continue
			}
			v := share[i] * share[j] * p.inv[a.lane*m+b.lane]
			if a.lane == b.lane {
				v -= share[i] * share[j] / p.v[a.lane]
				if i == j {
					v += share[i] / p.v[a.lane]
				}
			}
			base[j] += factor * v
		}
	}
}

// expand adds Xᵀ·W·X of a fret's readings to the information of theta.
func (n *net) expand(f *fretNode, w, info []float64) {
	list, size := f.listed(), len(n.theta)
	for i, a := range list {
		x := &n.rows[a.row]
		for j := i; j < len(list); j++ {
			v := w[i*len(list)+j]
			if v == 0 {
				continue
			}
			y := &n.rows[list[j].row]
			for s, p := range x.at {
				ws := v * x.w[s]
				for t, q := range y.at {
					info[p*size+q] += ws * y.w[t]
					if i != j {
						info[q*size+p] += ws * y.w[t]
					}
				}
			}
		}
	}
}

// negligible is the chance below which an explanation changes no sum.
const negligible = 1e-4

// normal gathers the information of theta, given which explanation holds, and
// the gradient.
func (n *net) normal() (info, g []float64) {
	size := len(n.theta)
	info, g = make([]float64, size*size), make([]float64, size)
	infos, gs := [workers][]float64{info}, [workers][]float64{g}
	var wait sync.WaitGroup
	for k := range workers {
		if k > 0 {
			infos[k], gs[k] = make([]float64, size*size), make([]float64, size)
		}
		wait.Go(func() {
			n.gather(n.frets[k*len(n.frets)/workers:(k+1)*len(n.frets)/workers], infos[k], gs[k])
		})
	}
	wait.Wait()
	for k := 1; k < workers; k++ {
		floats.Add(info, infos[k])
		floats.Add(g, gs[k])
	}
	n.addPrior(info, g)
	return info, g
}

// gather adds some frets' information and gradient.
func (n *net) gather(frets []*fretNode, info, g []float64) {
	var room partRoom
	var w []float64
	for _, f := range frets {
		size := len(f.listed()) * len(f.listed())
		if cap(w) < size {
			w = make([]float64, size)
		}
		w = w[:size]
		clear(w)
		for i := range f.exps {
			e := &f.exps[i]
			if e.chance < negligible {
				continue
			}
			p := n.part(f, e, &room)
			n.score(f, e, &p, e.chance, g)
			n.weigh(f, e, &p, e.chance, w)
		}
		n.expand(f, w, info)
	}
}

func (n *net) addPrior(info, g []float64) {
	size := len(n.theta)
	for i := range size {
		info[i*size+i] += thetaRidge
	}
	if k := n.kappaAt; k >= 0 {
		info[k*size+k] += kappaWeight
		g[k] += kappaWeight * (coneShare - n.theta[k])
	}
}

// step moves the set-ups to where the evidence is greatest, the explanations'
// chances staying as they are (EM with the crowns integrated out). It returns
// the largest move of a reading, µm.
func (n *net) step() (float64, error) {
	size := len(n.theta)
	if size == 0 {
		n.mark()
		return 0, nil
	}
	info, g := n.normal()
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(size, info)) {
		return 0, errSingular
	}
	var move mat.VecDense
	if err := chol.SolveVecTo(&move, mat.NewVecDense(size, g)); err != nil && math.IsNaN(move.AtVec(0)) {
		return 0, errSingular
	}
	for i := range n.theta {
		n.theta[i] += move.AtVec(i)
	}
	most := 0.0
	for i := range n.rows {
		r := &n.rows[i]
		d := 0.0
		for k, at := range r.at {
			d += r.w[k] * move.AtVec(at)
		}
		most = math.Max(most, math.Abs(d))
	}
	n.mark()
	return most, nil
}
