package trial

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
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
func (n *Neck) plain(lane int) (fit laneFit, ok bool) {
	eqs, setups := n.equations(lane)
	x := n.Truth.X[lane]
	place := fit.lay(eqs, len(x))
	if len(fit.at) < 4 {
		return fit, false
	}
	middle, half := (x[0]+x[len(x)-1])/2, (x[len(x)-1]-x[0])/2
	scaled := func(i int) float64 { return (x[i] - middle) / half }
	m := len(fit.at)
	normal, rhs := normals(eqs, place, m+2*setups, m, scaled)
	fixLine(normal, fit.at, scaled)
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return fit, false
	}
	var solved mat.VecDense
	var inverse mat.SymDense
	if chol.SolveVecTo(&solved, rhs) != nil || chol.InverseTo(&inverse) != nil {
		return fit, false
	}
	xs := make([]float64, m)
	for i, at := range fit.at {
		fit.z, xs[i] = append(fit.z, solved.AtVec(i)), x[at]
	}
	num.Detrend(xs, fit.z)
	fit.cov = freed(xs, inverse.SliceSym(0, m))
	return fit, true
}

// lay notes the crowns that equations touch and returns each crown's place
// among them, −1 where it has none.
func (fit *laneFit) lay(eqs []equation, crowns int) []int {
	place := make([]int, crowns)
	for i := range place {
		place[i] = -1
	}
	for _, e := range eqs {
		for _, c := range e.crowns {
			place[c] = 0
		}
	}
	for i := range place {
		if place[i] == 0 {
			place[i] = len(fit.at)
			fit.at = append(fit.at, i)
		}
	}
	return place
}

// normals are the normal equations: the crowns, then two unknowns a set-up.
func normals(eqs []equation, place []int, size, crowns int, scaled func(int) float64) (*mat.SymDense, *mat.VecDense) {
	normal, rhs := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	row := make([]float64, size)
	for _, e := range eqs {
		clear(row)
		for j, c := range e.crowns {
			row[place[c]] += e.w[j]
		}
		if e.setup >= 0 {
			row[crowns+2*e.setup], row[crowns+2*e.setup+1] = 1, scaled(e.crowns[0])
		}
		v := mat.NewVecDense(size, row)
		normal.SymRankOne(normal, 1/(e.u*e.u), v)
		rhs.AddScaledVec(rhs, e.value/(e.u*e.u), v)
	}
	return normal, rhs
}

// fixLine holds the line through a lane's crowns at zero, which no reading sees;
// what it adds to the covariance is projected out after.
func fixLine(normal *mat.SymDense, at []int, scaled func(int) float64) {
	const weight = 1e7 // far over 1/u², far under where digits are lost
	size := normal.SymmetricDim()
	constant, slope := mat.NewVecDense(size, nil), mat.NewVecDense(size, nil)
	for i, c := range at {
		constant.SetVec(i, 1)
		slope.SetVec(i, scaled(c))
	}
	normal.SymRankOne(normal, weight, constant)
	normal.SymRankOne(normal, weight, slope)
}

// freed is a covariance in the free datum of the crowns at x.
func freed(x []float64, cov mat.Symmetric) *mat.SymDense {
	n := len(x)
	p := mat.NewDense(n, n, nil)
	e := make([]float64, n)
	for j := range n {
		clear(e)
		e[j] = 1
		num.Detrend(x, e)
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

// top is a probed crown's top in the frame of its pass.
type top struct {
	pass string
	e    equation
}

// tops are a probed lane's crown tops, each that of the best circle through its
// touches.
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

// topOf fits top and place of a circle to touches by Gauss and Newton; its radius
// too where the neck file does not tell it, as averaging would know no more than
// the program.
func (n *Neck) topOf(touches []int, fret int, lane float64) (v, u float64, ok bool) {
	at := n.Layout.At(fret, lane)
	t, h := make([]float64, len(touches)), make([]float64, len(touches))
	for j, i := range touches {
		r := n.Readings[i]
		t[j] = (r.X - n.Layout.FretXAt(fret, r.Y)) * n.Layout.Squareness(fret)
		h[j] = r.Z + n.Layout.Surface(at) - n.Layout.Surface(geometry.Point{X: at.X, Y: r.Y})
	}
	free := 3
	if n.Model.Wire.CrownRadius > 0 {
		free = 2
	}
	if len(t) < free {
		return 0, 0, false
	}
	p := [3]float64{slices.Max(h), 0, crownRadiusMM} // top, place, radius
	design, left := mat.NewDense(len(t), free, nil), mat.NewVecDense(len(t), nil)
	for range 40 {
		for j := range t {
			d := t[j] - p[1]
			under := p[2]*p[2] - d*d
			if under <= 0 {
				return 0, 0, false
			}
			root := math.Sqrt(under)
			design.SetRow(j, []float64{1, d / root, p[2]/root - 1}[:free])
			left.SetVec(j, h[j]-(p[0]+root-p[2]))
		}
		var step mat.VecDense
		if err := step.SolveVec(design, left); err != nil {
			return 0, 0, false
		}
		for k := range free {
			p[k] += step.AtVec(k)
		}
		if mat.Norm(&step, 1) < 1e-12 {
			break
		}
	}
	var normal mat.SymDense
	var chol mat.Cholesky
	var cov mat.SymDense
	normal.SymOuterK(1, design.T())
	if !chol.Factorize(&normal) || chol.InverseTo(&cov) != nil {
		return 0, 0, false
	}
	return p[0], probeU * math.Sqrt(cov.At(0, 0)), true
}
