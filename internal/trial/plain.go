package trial

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// laneFit is one lane's crowns from its own readings alone.
type laneFit struct {
	at  []int // places in Truth.Frets
	z   []float64
	cov *mat.SymDense // in the free datum of these crowns, mm²
}

// equation is Σ w·crown + sign·(offset + tilt·x) = value ± u.
type equation struct {
	crowns []int
	w      []float64
	setup  int // −1: none
	value  float64
	u      float64
}

// plain averages: each lane by itself, its passes joined by least squares,
// every reading believed. Of full passes alike that is their mean, each less
// its own least-squares line. ok is false where the lane's readings do not
// determine it.
func (n *Neck) plain(lane int) (laneFit, bool) {
	eqs, setups := n.equations(lane)
	x := n.Truth.X[lane]
	place := make([]int, len(x))
	for i := range place {
		place[i] = -1
	}
	var fit laneFit
	for _, e := range eqs {
		for _, c := range e.crowns {
			if place[c] < 0 {
				place[c] = 0
			}
		}
	}
	for i := range place {
		if place[i] == 0 {
			place[i] = len(fit.at)
			fit.at = append(fit.at, i)
		}
	}
	m := len(fit.at)
	if m < 4 {
		return fit, false
	}
	size := m + 2*setups
	normal, rhs := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	middle, half := (x[0]+x[len(x)-1])/2, (x[len(x)-1]-x[0])/2
	row := make([]float64, size)
	for _, e := range eqs {
		clear(row)
		for j, c := range e.crowns {
			row[place[c]] += e.w[j]
		}
		if e.setup >= 0 {
			row[m+2*e.setup], row[m+2*e.setup+1] = 1, (x[e.crowns[0]]-middle)/half
		}
		v := mat.NewVecDense(size, row)
		normal.SymRankOne(normal, 1/(e.u*e.u), v)
		rhs.AddScaledVec(rhs, e.value/(e.u*e.u), v)
	}
	// The lane's line is held at zero; its own share is projected out below.
	const datum = 1e7
	for _, line := range []func(i int) float64{func(int) float64 { return 1 }, func(i int) float64 { return (x[fit.at[i]] - middle) / half }} {
		clear(row)
		for i := range m {
			row[i] = line(i)
		}
		normal.SymRankOne(normal, datum, mat.NewVecDense(size, row))
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return fit, false
	}
	var sol mat.VecDense
	var inv mat.SymDense
	if chol.SolveVecTo(&sol, rhs) != nil || chol.InverseTo(&inv) != nil {
		return fit, false
	}
	fit.z = make([]float64, m)
	cov := mat.NewSymDense(m, nil)
	xs := make([]float64, m)
	for i := range m {
		fit.z[i], xs[i] = sol.AtVec(i), x[fit.at[i]]
		for j := i; j < m; j++ {
			cov.SetSym(i, j, inv.At(i, j))
		}
	}
	free(xs, fit.z)
	fit.cov = freed(xs, cov)
	return fit, true
}

// freed is a covariance in the free datum of the crowns at x.
func freed(x []float64, cov mat.Symmetric) *mat.SymDense {
	n := len(x)
	p := mat.NewDense(n, n, nil)
	e := make([]float64, n)
	for j := range n {
		clear(e)
		e[j] = 1
		free(x, e)
		p.SetCol(j, e)
	}
	var half, whole mat.Dense
	half.Mul(p, cov)
	whole.Mul(&half, p.T())
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (whole.At(i, j)+whole.At(j, i))/2)
		}
	}
	return out
}

// rootTwelve turns the width of an even distribution into its standard deviation.
const rootTwelve = 3.4641016151377544

// equations are a lane's readings as equations of its crowns, and how many
// set-ups they have.
func (n *Neck) equations(lane int) (out []equation, setups int) {
	known := map[reading.Setup]int{}
	setup := func(k reading.Setup) int {
		i, seen := known[k]
		if !seen {
			i = len(known)
			known[k] = i
		}
		return i
	}
	for i, r := range n.Readings {
		if n.Truth.At[i].Lane != n.Truth.Lanes[lane] {
			continue
		}
		e := equation{crowns: []int{n.Truth.place(n.Truth.At[i].Fret)}, w: []float64{1}, setup: -1, value: r.Value, u: r.U}
		switch r.Method {
		case reading.Beam:
			e.setup = setup(r.Setup())
		case reading.Edge:
			e.setup, e.w[0] = setup(r.Setup()), -1
			if r.NoGo != nil {
				step := *r.NoGo - r.Value
				e.value, e.u = r.Value+step/2, math.Hypot(r.U, step/rootTwelve)
			}
		case reading.Bridge:
			e.crowns, e.w = n.chord(lane, r.Frets)
		default:
			continue
		}
		out = append(out, e)
	}
	for _, t := range n.tops(lane) {
		t.e.setup = setup(reading.Setup{Method: reading.Probe, Pass: t.pass})
		out = append(out, t.e)
	}
	return out, len(known)
}

// chord is a bridge's equation: the middle crown less the line of the others.
func (n *Neck) chord(lane int, frets []int) (crowns []int, w []float64) {
	for _, f := range frets {
		crowns = append(crowns, n.Truth.place(f))
	}
	x := n.Truth.X[lane]
	l := (x[crowns[2]] - x[crowns[1]]) / (x[crowns[2]] - x[crowns[0]])
	return crowns, []float64{-l, 1, l - 1}
}

type top struct {
	pass string
	e    equation
}

// tops are a probed lane's crown tops, each the best circle of the true radius
// through its touches; two of its unknowns are its own, so its uncertainty is
// that of a level fit in t and t².
func (n *Neck) tops(lane int) []top {
	type key struct {
		pass string
		fret int
	}
	groups := map[key][]int{}
	var order []key
	for i, r := range n.Readings {
		if r.Method != reading.Probe || n.Truth.At[i].Lane != n.Truth.Lanes[lane] {
			continue
		}
		k := key{r.Pass, n.Truth.At[i].Fret}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], i)
	}
	var out []top
	for _, k := range order {
		if v, u, ok := n.topOf(groups[k], k.fret, n.Truth.Lanes[lane]); ok {
			out = append(out, top{k.pass, equation{crowns: []int{n.Truth.place(k.fret)}, w: []float64{1}, value: v, u: u}})
		}
	}
	return out
}

// topOf fits top and place of a circle to touches by Gauss and Newton.
func (n *Neck) topOf(touches []int, fret int, lane float64) (v, u float64, ok bool) {
	at := n.Layout.At(fret, lane)
	z0, t0 := 0.0, 0.0
	for round := range 20 {
		var s [3]float64 // Σ1, Σd, Σd²
		var r0, r1 float64
		for _, i := range touches {
			r := n.Readings[i]
			t := (r.X-n.Layout.FretXAt(fret, r.Y))*n.Layout.Squareness(fret) - t0
			under := crownRadiusMM*crownRadiusMM - t*t
			if under <= 0 {
				return 0, 0, false
			}
			root := math.Sqrt(under)
			h := r.Z + n.Layout.Surface(at) - n.Layout.Surface(pointAt(at.X, r.Y))
			if round == 0 && z0 == 0 {
				z0 = h
			}
			left, d := h-(z0+root-crownRadiusMM), t/root
			s[0], s[1], s[2] = s[0]+1, s[1]+d, s[2]+d*d
			r0, r1 = r0+left, r1+d*left
		}
		det := s[0]*s[2] - s[1]*s[1]
		if det <= 0 {
			return 0, 0, false
		}
		dz, dt := (s[2]*r0-s[1]*r1)/det, (s[0]*r1-s[1]*r0)/det
		z0, t0 = z0+dz, t0+dt
		u = probeU * math.Sqrt(s[2]/det)
		if math.Abs(dz)+math.Abs(dt) < 1e-12 {
			break
		}
	}
	return z0, u, true
}
