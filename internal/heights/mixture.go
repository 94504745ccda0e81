package heights

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// crownSums are the crowns as the mixture of all explanations says, in µm, with
// the set-ups where they stand.
type crownSums struct {
	z     []float64   // of each crown, with the surface's share
	curve []float64   // its fret's curve there
	block [][]float64 // of each fret, n × n: covariance with the set-ups known
	jac   []float64   // crowns × theta: how a crown moves with the set-ups
	v     *mat.SymDense
}

// maxMissing bounds, in any direction, what part of the set-ups' information
// the explanations' own doubt may take away.
const maxMissing = 0.9

// sums mixes the explanations. The set-ups' covariance is the inverse of the
// observed information (Louis 1982, from memory): the information given the
// explanations less the covariance of their scores.
func (n *net) sums() (*crownSums, error) {
	size := len(n.theta)
	out := &crownSums{
		z: make([]float64, len(n.c.list)), curve: make([]float64, len(n.c.list)),
		block: make([][]float64, len(n.frets)), jac: make([]float64, len(n.c.list)*size),
	}
	info, missing := make([]float64, size*size), make([]float64, size*size)
	for k, f := range n.frets {
		n.mix(k, f, out, info, missing)
	}
	n.addKappa(out)
	if size == 0 {
		return out, nil
	}
	n.addPrior(info, make([]float64, size))
	var err error
	out.v, err = observed(info, missing, size)
	return out, err
}

// mix adds one fret.
func (n *net) mix(k int, f *fretNode, out *crownSums, info, missing []float64) {
	m, size := len(f.crowns), len(n.theta)
	parts := make([]parting, len(f.exps))
	scores := make([][]float64, len(f.exps))
	mean := make([]float64, size)
	h := make([]float64, m)
	for i := range f.exps {
		e := &f.exps[i]
		for l := range m {
			h[l] += e.chance * e.h[l]
			out.curve[f.crowns[l]] += e.chance * f.curveAt(e, l)
		}
		if e.chance < negligible {
			continue
		}
		parts[i] = n.part(f, e, &partRoom{})
		scores[i] = make([]float64, size)
		n.score(f, e, &parts[i], 1, scores[i])
		for j, g := range scores[i] {
			mean[j] += e.chance * g
		}
	}
	cov, w := make([]float64, m*m), make([]float64, len(f.listed())*len(f.listed()))
	for i := range f.exps {
		e := &f.exps[i]
		if e.chance < negligible {
			continue
		}
		for a := range m {
			for b := range m {
				cov[a*m+b] += e.chance * (e.cov[a*m+b] + (e.h[a]-h[a])*(e.h[b]-h[b]))
			}
		}
		n.weigh(f, e, &parts[i], e.chance, w)
		n.gains(f, e, &parts[i], out.jac)
		g := blas64.Vector{N: size, Data: scores[i], Inc: 1}
		for j := range scores[i] {
			scores[i][j] -= mean[j]
		}
		for a, crown := range f.crowns { // the explanations' weights move with the set-ups too
			blas64.Axpy(e.chance*(e.h[a]-h[a]), g, blas64.Vector{N: size, Data: out.jac[crown*size : (crown+1)*size], Inc: 1})
		}
		if size > 0 {
			blas64.Syr(e.chance, g, blas64.Symmetric{Uplo: blas.Upper, N: size, Data: missing, Stride: size})
		}
	}
	n.expand(f, w, info)
	for l, crown := range f.crowns {
		out.z[crown] = h[l]
	}
	out.block[k] = cov
}

// gains adds an explanation's −G·Ω·X to the Jacobian: how its crowns follow the
// set-ups.
func (n *net) gains(f *fretNode, e *explanation, p *parting, jac []float64) {
	m, size := len(f.crowns), len(n.theta)
	d := depths()
	prior := n.walkers[f.prior][0].prior[e.kind]
	for a := range m {
		if math.IsInf(p.v[a], 1) {
			continue
		}
		for l := range m {
			gain := 0.0
			for b := range m {
				gain += prior[l*m+b] * p.inv[b*m+a]
			}
			if c := f.comps[l][e.at[l]]; c.dent != noDent {
				own := d[c.dent].sd * d[c.dent].sd
				g := own / (own + c.variance)
				gain *= 1 - g
				if a == l {
					gain += g
				}
			}
			row := jac[f.crowns[l]*size : (f.crowns[l]+1)*size]
			kept := f.comps[a][e.at[a]].kept
			for r, i := range f.rows[a] {
				if kept>>r&1 == 0 {
					continue
				}
				w := -e.chance * gain * p.v[a] / (n.rows[i].u * n.rows[i].u)
				for k, at := range n.rows[i].at {
					row[at] += w * n.rows[i].w[k]
				}
			}
		}
	}
}

// addKappa puts the surface's share into the crowns.
func (n *net) addKappa(out *crownSums) {
	if n.kappaAt < 0 {
		return
	}
	size := len(n.theta)
	for i, s := range n.bareSurface() {
		out.z[i] += n.theta[n.kappaAt] * s
		out.curve[i] += n.theta[n.kappaAt] * s
		out.jac[i*size+n.kappaAt] += s
	}
}

// observed inverts the information less what is missing, the latter held to a
// part of it in every direction.
func observed(info, missing []float64, size int) (*mat.SymDense, error) {
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(size, info)) {
		return nil, errSingular
	}
	var l mat.TriDense
	chol.LTo(&l)
	var half, m mat.Dense
	if err := half.Solve(&l, mat.NewSymDense(size, missing)); err != nil {
		return nil, errSingular
	}
	if err := m.Solve(&l, half.T()); err != nil {
		return nil, errSingular
	}
	sym := mat.NewSymDense(size, nil)
	for i := range size {
		for j := i; j < size; j++ {
			sym.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, true) {
		return nil, errSingular
	}
	var q, back mat.Dense
	eig.VectorsTo(&q)
	for k, v := range eig.Values(nil) {
		scale := 1 / math.Sqrt(1-math.Min(math.Max(v, 0), maxMissing))
		for i := range size {
			q.Set(i, k, q.At(i, k)*scale)
		}
	}
	if err := back.Solve(l.T(), &q); err != nil {
		return nil, errSingular
	}
	v := mat.NewSymDense(size, nil)
	v.SymOuterK(1, &back)
	return v, nil
}
