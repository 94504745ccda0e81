package heights

import (
	"errors"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// touch is a probe's touch beside the crown it belongs to.
type touch struct {
	reading int
	t, z, u float64 // along the lane from the fret's line, height at the lane, uncertainty
}

type topKey struct {
	pass string
	place
}

// Errors of a crown's top.
var (
	errFewTouches = errors.New("fewer than three touches across the crown")
	errNoTop      = errors.New("the touches do not lie on one crown")
)

// outlierTouch is how many standard uncertainties a touch may stand off the
// crown fitted through the others; a false alarm in 15,000 touches.
const outlierTouch = 4.0

// probeTops gives each probed crown's top as an observation of the pass's
// frame, which has an offset and a tilt of its own in every lane.
func probeTops(in Input) (out []observation, few []Undetermined, bad []Misread) {
	groups, order := groupTouches(in)
	for _, k := range order {
		touches := groups[k]
		top, u, wrong, agreed, err := crownTop(touches, in.CrownRadiusMM)
		if wrong >= 0 {
			bad = append(bad, misreadTouch(in, k.place, touches, wrong))
		}
		if err != nil {
			few = append(few, Undetermined{Fret: k.fret, Lane: k.lane, Why: err.Error()})
			continue
		}
		out = append(out, observation{
			reading: touches[0].reading, method: reading.Probe, lane: k.lane, frets: []int{k.fret},
			weights: []float64{1}, pass: passKey{method: reading.Probe, lane: k.lane, pass: k.pass},
			sign: 1, value: top, u: u, agreed: agreed,
		})
	}
	return out, few, bad
}

// groupTouches gives each touch to the nearest fret and lane. Its height is
// moved along the intended board to the lane, so that a touch beside the lane
// does not read the board's own curve as a fault.
func groupTouches(in Input) (map[topKey][]touch, []topKey) {
	groups := map[topKey][]touch{}
	var order []topKey
	for i, r := range in.Readings {
		if r.Method != reading.Probe {
			continue
		}
		p := nearest(in.Layout, r.X, r.Y)
		at := in.Layout.At(p.fret, p.lane)
		k := topKey{r.Pass, p}
		if _, known := groups[k]; !known {
			order = append(order, k)
		}
		here := geometry.Point{X: at.X, Y: r.Y}
		t := (r.X - in.Layout.FretXAt(p.fret, r.Y)) * in.Layout.Squareness(p.fret)
		z := r.Z + in.Layout.Surface(at) - in.Layout.Surface(here)
		groups[k] = append(groups[k], touch{i, t, z, r.U})
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := order[i], order[j]
		if a.pass != b.pass {
			return a.pass < b.pass
		}
		if a.lane != b.lane {
			return a.lane < b.lane
		}
		return a.fret < b.fret
	})
	return groups, order
}

// nearest is the fret and the whole lane closest to a touch.
func nearest(l *geometry.Layout, x, y float64) place {
	best, dist := place{l.FirstFret(), 1}, math.Inf(1)
	for lane := 1; lane <= l.Strings(); lane++ {
		for f := l.FirstFret(); f <= l.LastFret(); f++ {
			p := l.At(f, float64(lane))
			if d := math.Hypot(p.X-x, p.Y-y); d < dist {
				best, dist = place{f, float64(lane)}, d
			}
		}
	}
	return best
}

// crownTop fits the top of a crown through three or more touches: a circle of
// the stated radius, else one of its own. wrong is the place of a touch that
// does not belong, −1 where all do; agreed says that the touches check each other
// and lie on one crown.
func crownTop(touches []touch, radius float64) (top, u float64, wrong int, agreed bool, err error) {
	wrong = -1
	if !spread(touches) {
		return 0, 0, wrong, false, errFewTouches
	}
	fit, err := fitCircle(touches, radius)
	if err != nil {
		return 0, 0, wrong, false, err
	}
	if k, w := fit.worst(touches); w > outlierTouch {
		rest := append(append([]touch{}, touches[:k]...), touches[k+1:]...)
		if again, errAgain := fitCircle(rest, radius); errAgain == nil && spread(rest) {
			return again.top, again.uTop, k, again.agreed(rest), nil
		}
	}
	return fit.top, fit.uTop, wrong, fit.agreed(touches), nil
}

// agreeingTouch is how far, in its standard uncertainty, every touch may lie off
// the crown for the touches to agree.
const agreeingTouch = 3.0

// agreed reports whether the touches check each other and none stands off.
func (c circle) agreed(touches []touch) bool {
	_, w := c.worst(touches)
	return c.checked && w < agreeingTouch
}

// spread reports whether the touches stand at three or more places.
func spread(touches []touch) bool {
	const apart = 1e-3 // mm: closer touches are one place
	places := 0
	t := make([]float64, len(touches))
	for i, k := range touches {
		t[i] = k.t
	}
	sort.Float64s(t)
	for i := range t {
		if i == 0 || t[i]-t[i-1] > apart {
			places++
		}
	}
	return places >= 3
}

// circle is a fitted crown: its top, where it stands, and what is left.
type circle struct {
	top, uTop float64
	at        []float64 // top, place, radius
	residual  []float64 // in units of its own standard deviation; 0 where it has none
	checked   bool      // more touches than unknowns
}

func (c circle) worst(touches []touch) (int, float64) {
	at, most := -1, 0.0
	for i := range touches {
		if w := math.Abs(c.residual[i]); w > most {
			at, most = i, w
		}
	}
	return at, most
}

// fitCircle fits height = top − R + √(R² − (t−t0)²) by Gauss–Newton from the
// parabola through the touches. radius 0: R is fitted too.
func fitCircle(touches []touch, radius float64) (circle, error) {
	p, err := parabola(touches)
	if err != nil {
		return circle{}, err
	}
	free := 2
	if radius > 0 {
		p[2] = radius
	} else {
		free = 3
	}
	n := len(touches)
	a, b := mat.NewDense(n, free, nil), mat.NewVecDense(n, nil)
	var qr mat.QR
	for range 60 {
		if !linearise(touches, p, a, b) {
			return circle{}, errNoTop
		}
		qr.Factorize(a)
		var step mat.VecDense
		if err := qr.SolveVecTo(&step, false, b); err != nil {
			return circle{}, errNoTop
		}
		size := 0.0
		for k := range free {
			p[k] += step.AtVec(k)
			size = math.Max(size, math.Abs(step.AtVec(k)))
		}
		if size < 1e-12 {
			break
		}
	}
	if !linearise(touches, p, a, b) {
		return circle{}, errNoTop
	}
	return judgeCircle(p, a, b, free)
}

// linearise fills the weighted design and what is left at p = (top, t0, R).
func linearise(touches []touch, p []float64, a *mat.Dense, b *mat.VecDense) bool {
	_, free := a.Dims()
	for i, k := range touches {
		d := k.t - p[1]
		under := p[2]*p[2] - d*d
		if !(under > 0) || !(p[2] > 0) {
			return false
		}
		root := math.Sqrt(under)
		a.Set(i, 0, 1/k.u)
		a.Set(i, 1, d/root/k.u)
		if free == 3 {
			a.Set(i, 2, (p[2]/root-1)/k.u)
		}
		b.SetVec(i, (k.z-(p[0]-p[2]+root))/k.u)
	}
	return true
}

func judgeCircle(p []float64, a *mat.Dense, b *mat.VecDense, free int) (circle, error) {
	var n mat.SymDense
	n.SymOuterK(1, a.T())
	var chol mat.Cholesky
	if !chol.Factorize(&n) {
		return circle{}, errNoTop
	}
	var cov mat.SymDense
	if err := chol.InverseTo(&cov); err != nil {
		return circle{}, errNoTop
	}
	rows, _ := a.Dims()
	c := circle{at: p, top: p[0], uTop: math.Sqrt(cov.At(0, 0)), residual: make([]float64, rows), checked: rows > free}
	for i := range rows {
		r := a.RowView(i)
		if left := 1 - mat.Inner(r, &cov, r); left > 1e-6 {
			c.residual[i] = b.AtVec(i) / math.Sqrt(left)
		}
	}
	return c, nil
}

// parabola is the least-squares start: top, its place, and its radius.
func parabola(touches []touch) ([]float64, error) {
	n := len(touches)
	a, b := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
	for i, k := range touches {
		a.SetRow(i, []float64{1, k.t, k.t * k.t})
		b.SetVec(i, k.z)
	}
	var c mat.VecDense
	if err := c.SolveVec(a, b); err != nil {
		return nil, errFewTouches
	}
	if c.AtVec(2) >= 0 {
		return nil, errNoTop
	}
	r := -1 / (2 * c.AtVec(2))
	t0 := c.AtVec(1) * r
	return []float64{c.AtVec(0) + c.AtVec(1)*t0/2, t0, r}, nil
}
