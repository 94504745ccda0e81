package findings

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// What ties the lanes to each other: a probe's frame, sticks and arches. The
// lanes' lines then differ from the intended board by a twist, and by a radius
// that is wrong on all frets alike.
//
// Model: a lane's line stands above the intended board by
//
//	p + q·x + r·y + τ·x·y + κ·y² (p, q, r: the frame's own)
//
// τ is the twist per mm, κ half the change of curvature.

// tie is one equation of τ and κ.
type tie struct{ twist, arch, value, u float64 }

// tied finds a twisted neck, or frets all off radius, where the readings can
// tell; nothing otherwise.
func (n *Neck) tied(readings []reading.Reading) []Whole {
	ties := n.ties(readings)
	var out []Whole
	if v, u, ok := solve(ties, func(t tie) float64 { return t.twist }); ok {
		if w, found := n.twist(v, u); found {
			out = append(out, w)
		}
	}
	if v, u, ok := solve(ties, func(t tie) float64 { return t.arch }); ok {
		if w, found := n.offRadius(v, u); found {
			out = append(out, w)
		}
	}
	return out
}

// solve is the weighted mean of what the ties say of one of the two unknowns;
// sticks see the twist alone, arches the radius alone, and a probe's equations
// come already separated.
func solve(ties []tie, of func(tie) float64) (v, u float64, ok bool) {
	sum, weight := 0.0, 0.0
	for _, t := range ties {
		if a := of(t); a != 0 {
			p := a * a / (t.u * t.u)
			sum += p * t.value / a
			weight += p
		}
	}
	if weight == 0 {
		return 0, 0, false
	}
	return sum / weight, 1 / math.Sqrt(weight), true
}

func (n *Neck) twist(v, u float64) (Whole, bool) {
	l := n.Layout
	length := l.CentreX(l.LastFret()) - l.CentreX(l.FirstFret())
	width := l.Width(l.CentreX(l.LastFret()))
	w := Whole{Kind: KindTwist, AmountMM: v * length * width, UMM: u * length * width}
	return w, w.beyond(n.Model.Level.Zone)
}

func (n *Neck) offRadius(v, u float64) (Whole, bool) {
	l := n.Layout
	x := l.CentreX(l.LastFret())
	half := l.Width(x) / 2
	w := Whole{Kind: KindRadius, AmountMM: -v * half * half, UMM: u * half * half} // middle above the edges
	return w, w.beyond(n.Model.Level.Zone)
}

// ties gathers the equations.
func (n *Neck) ties(readings []reading.Reading) []tie {
	var out []tie
	for _, r := range readings {
		switch r.Method {
		case reading.Sticks:
			a, b := n.Layout.CentreX(r.Frets[0]), n.Layout.CentreX(r.Frets[1])
			own := n.slope(r.Frets[1]) - n.slope(r.Frets[0])
			out = append(out, tie{twist: r.Span * (b - a), value: r.Value - own*r.Span, u: r.U})
		case reading.Arch:
			out = append(out, n.archTie(r))
		}
	}
	return append(out, n.probeTies(readings)...)
}

// slope is a fret's own tilt, treble up positive, beyond its lanes' lines.
func (n *Neck) slope(fret int) float64 {
	var s, sy, syy, sz, syz float64
	for _, l := range n.Lanes {
		if i := l.at(fret); i >= 0 {
			y := n.Layout.At(fret, l.Lane.Lane).Y
			s, sy, syy, sz, syz = s+1, sy+y, syy+y*y, sz+l.Off[i], syz+y*l.Off[i]
		}
	}
	if det := s*syy - sy*sy; s >= 2 && det > 0 {
		return (s*syz - sy*sz) / det
	}
	return 0
}

// archTie compares a gauge on two feet with the intended radius at its fret.
func (n *Neck) archTie(r reading.Reading) tie {
	lane := r.Lane
	if lane == 0 {
		lane = float64(n.Layout.Strings()+1) / 2
	}
	at := n.Layout.At(r.Frets[0], lane)
	height := func(y float64) float64 { return n.Layout.Surface(geometry.Point{X: at.X, Y: y}) }
	half := r.Span / 2
	meant := height(at.Y) - (height(at.Y-half)+height(at.Y+half))/2
	return tie{arch: -half * half, value: r.Value - meant, u: r.U}
}

// probeTies fits the frame, the twist and the radius to a probe's tops; crowns
// that may be dented or lost their readings are left out.
func (n *Neck) probeTies(readings []reading.Reading) []tie {
	var out []tie
	for _, pass := range n.Estimate.ProbeTops() {
		var f frameFit
		for _, t := range pass {
			l := n.lane(t.Lane)
			i := l.at(t.Fret)
			if i < 0 || l.dented(i) || l.Aside[i] {
				continue
			}
			p := n.Layout.At(t.Fret, t.Lane)
			shape := n.Layout.Shape(t.Lane, []int{t.Fret})[0]
			f.rows = append(f.rows, []float64{1, p.X, p.Y, p.X * p.Y, p.Y * p.Y})
			f.values = append(f.values, t.TopMM-n.Layout.Surface(p)-shape)
			f.frets = append(f.frets, t.Fret)
		}
		if len(f.rows) >= 8 {
			out = append(out, f.ties()...)
		}
	}
	return out
}

// frameFit is a probe's tops as equations of its frame, the twist and the
// curvature.
type frameFit struct {
	rows   [][]float64
	values []float64
	frets  []int
}

// ties are twist and curvature by least absolute deviations (reweighted), so that
// odd frets do not turn the frame, and their uncertainty from what the frets leave:
// crowns of one fret err together.
func (f *frameFit) ties() []tie {
	const (
		rounds  = 25
		floorMM = 1e-4 // deviations below it weigh alike
		least   = 1e-12
	)
	m := len(f.rows)
	weights := make([]float64, m)
	for i := range weights {
		weights[i] = 1
	}
	var inv mat.SymDense
	left := make([]float64, m)
	var x mat.VecDense
	for range rounds {
		normal, right := mat.NewSymDense(5, nil), mat.NewVecDense(5, nil)
		for i, r := range f.rows {
			v := mat.NewVecDense(5, r)
			normal.SymRankOne(normal, weights[i], v)
			right.AddScaledVec(right, weights[i]*f.values[i], v)
		}
		var chol mat.Cholesky
		if !chol.Factorize(normal) || chol.SolveVecTo(&x, right) != nil || chol.InverseTo(&inv) != nil {
			return nil
		}
		for i, r := range f.rows {
			left[i] = f.values[i] - mat.Dot(mat.NewVecDense(5, r), &x)
			weights[i] = 1 / math.Max(math.Abs(left[i]), floorMM)
		}
	}
	cov := f.spread(&inv, weights, left)
	u := func(k int) float64 { return math.Max(math.Sqrt(cov.At(k, k)), least) }
	return []tie{{twist: 1, value: x.AtVec(3), u: u(3)}, {arch: 1, value: x.AtVec(4), u: u(4)}}
}

// spread is the covariance of the five terms, the scores of each fret taken
// together (clustered, Liang and Zeger 1986, from memory).
func (f *frameFit) spread(inv *mat.SymDense, weights, left []float64) *mat.SymDense {
	scores := map[int]*mat.VecDense{}
	var order []int
	for i, r := range f.rows {
		s := scores[f.frets[i]]
		if s == nil {
			s = mat.NewVecDense(5, nil)
			scores[f.frets[i]] = s
			order = append(order, f.frets[i])
		}
		s.AddScaledVec(s, weights[i]*left[i], mat.NewVecDense(5, r))
	}
	meat := mat.NewSymDense(5, nil)
	for _, k := range order {
		meat.SymRankOne(meat, 1, scores[k])
	}
	clusters := float64(len(order))
	var half, full mat.Dense
	half.Mul(inv, meat)
	full.Mul(&half, inv)
	out := mat.NewSymDense(5, nil)
	for i := range 5 {
		for j := i; j < 5; j++ {
			out.SetSym(i, j, full.At(i, j)*clusters/math.Max(1, clusters-2))
		}
	}
	return out
}
