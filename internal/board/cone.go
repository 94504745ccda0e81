package board

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Cone is the straight line through the radii along the board, by all readings
// across: its radius at the nut, at the last slot, and at the first and the last
// slot read.
type Cone struct {
	NutMM        float64 `json:"nut_mm"`
	UNutMM       float64 `json:"u_nut_mm"`
	LastMM       float64 `json:"last_fret_mm"`
	ULastMM      float64 `json:"u_last_fret_mm"`
	FromFret     int     `json:"from_fret"`
	FromMM       float64 `json:"from_mm"`
	UFromMM      float64 `json:"u_from_mm"`
	ToFret       int     `json:"to_fret"`
	ToMM         float64 `json:"to_mm"`
	UToMM        float64 `json:"u_to_mm"`
	FromWantedMM float64 `json:"from_wanted_mm"`
	ToWantedMM   float64 `json:"to_wanted_mm"`

	scatter   float64 // by how much the readings scatter more than they state, 1 or more
	offChance float64 // that it strays beyond board.radius_within between them, at most
}

// Twist is how far the last slot is turned against the first, treble side up
// positive, over the spread of the outer lanes.
type Twist struct {
	MM  float64 `json:"twist_mm"`
	UMM float64 `json:"u_mm"`

	readings int // of sticks; 0: by a probe
}

// top is a probe's height of one place in its pass's frame.
type top struct {
	pass string
	at   geometry.Point
	z, u float64
}

// boardRoughMM is how far a place may stand off the cone where a probe reads the
// board as a whole; it keeps many touches from claiming more than a board holds.
const boardRoughMM = 0.003

// ways across the board: everything that bears on the cone.
type ways struct {
	rings  []ring
	tops   []top
	sticks []reading.Reading
	passes map[string]int
}

// tops lists what a probe says across.
func (j *job) tops() (tops []top, passes map[string]int) {
	passes = map[string]int{}
	for i := range j.rows {
		r := &j.rows[i]
		if r.method != reading.Probe || r.aside {
			continue
		}
		if _, known := passes[r.setup.Pass]; !known {
			passes[r.setup.Pass] = len(passes)
		}
		tops = append(tops, top{r.setup.Pass, j.places.list[r.at[0]].at, r.value, math.Hypot(r.u, boardRoughMM)})
	}
	return tops, passes
}

// coneFit is a board linearised about a cone: how its radius (its curvature, on
// a flat board) differs from that cone's along it, with its covariance.
type coneFit struct {
	value []float64 // at the nut and at the last slot, then the twist
	cov   *mat.SymDense
	chi2  float64
	spare float64
	last  float64
	scale float64 // by which the uncertainty was widened
}

// at is the difference at x and its standard uncertainty.
func (f coneFit) at(x float64) (v, u float64) {
	t := x / f.last
	a, b := 1-t, t
	s := a*a*f.cov.At(0, 0) + 2*a*b*f.cov.At(0, 1) + b*b*f.cov.At(1, 1)
	return a*f.value[0] + b*f.value[1], math.Sqrt(math.Max(0, s))
}

// flat reports whether the board shall be flat, or is to be taken as a flat one.
func (j *job) flat() bool { return j.asFlat || j.l.Radius(0) <= 0 }

// about is the cone that a fit is linearised about: the wanted radius at x plus
// a line from nut to the last slot. 0: the flat board.
type about struct{ nut, last float64 }

func (j *job) radiusAbout(b about, x float64) float64 {
	t := x / j.length()
	return j.l.Radius(x) + (1-t)*b.nut + t*b.last
}

// length is the board's from the nut to the last slot, mm.
func (j *job) length() float64 { return j.l.CentreX(j.l.LastFret()) }

// linear is a line's value at x from those at the nut and at the last slot.
func (j *job) linear(x, nut, last float64) float64 {
	t := x / j.length()
	return (1-t)*nut + t*last
}

// effect is a gauge's height on the board that the fit is linearised about, and
// how it grows with the radius there (the curvature, of a flat board).
func (j *job) effect(b about, x, half float64) (s, slope float64) {
	if j.flat() {
		return 0, half * half / 2
	}
	r := j.radiusAbout(b, x)
	return sag(r, half), sagSlope(r, half)
}

// fit solves for the cone by weighted least squares; prior is the standard
// deviation of its two numbers about the wanted ones, +Inf for none. ok is false
// where the readings do not fix it.
func (j *job) fit(w ways, b about, prior float64, use func(k ring) bool) (f coneFit, ok bool) {
	size := 3 + 3*len(w.passes)
	n, rhs := mat.NewSymDense(size, nil), mat.NewVecDense(size, nil)
	last := j.length()
	f = coneFit{last: last, spare: -2}
	type equation struct {
		at   []int
		coef []float64
		y, u float64
	}
	var all []equation
	put := func(y, u float64, at []int, coef []float64) { all = append(all, equation{at, coef, y, u}) }
	for _, k := range w.rings {
		if use(k) {
			s, slope := j.effect(b, k.x, k.half)
			t := k.x / last
			put(k.value-s, k.u, []int{0, 1}, []float64{slope * (1 - t), slope * t})
			f.spare++
		}
	}
	for _, k := range w.tops {
		p := 3 + 3*w.passes[k.pass]
		t, y := k.at.X/last, k.at.Y/twistScale
		drop, slope := j.effect(b, k.at.X, math.Abs(k.at.Y)) // the height falls by what a chord this wide rises
		put(k.z+drop, k.u, []int{0, 1, 2, p, p + 1, p + 2}, []float64{-slope * (1 - t), -slope * t, t * y, 1, t, y})
		f.spare++
	}
	for _, r := range w.sticks {
		d := (j.l.CentreX(r.Frets[1]) - j.l.CentreX(r.Frets[0])) / last
		put(r.Value, r.U, []int{2}, []float64{d * r.Span / twistScale})
	}
	f.spare -= float64(3 * len(w.passes))
	if len(w.tops)+len(w.sticks) == 0 {
		put(0, 1, []int{2}, []float64{1})
	} else if len(w.tops) > 0 {
		f.spare--
	}
	if !math.IsInf(prior, 1) {
		put(-b.nut, prior, []int{0}, []float64{1})
		put(-b.last, prior, []int{1}, []float64{1})
	}
	for _, e := range all {
		addTo(n, rhs, e.at, e.coef, e.y, e.u)
	}
	var chol mat.Cholesky
	if !chol.Factorize(n) || chol.Cond() > maxCond {
		return f, false
	}
	var x mat.VecDense
	f.cov = &mat.SymDense{}
	if chol.SolveVecTo(&x, rhs) != nil || chol.InverseTo(f.cov) != nil {
		return f, false
	}
	for _, e := range all {
		residual := e.y
		for k, a := range e.at {
			residual -= e.coef[k] * x.AtVec(a)
		}
		f.chi2 += residual * residual / (e.u * e.u)
	}
	f.value = []float64{x.AtVec(0), x.AtVec(1), x.AtVec(2)}
	return f, true
}

const (
	twistScale = 20.0 // mm across, to keep the numbers of one size
	maxCond    = 1e13
)

// widen takes the uncertainty that much larger as the readings scatter more than
// they state, where enough are to spare to tell.
func (f *coneFit) widen() {
	f.scale = 1
	if f.spare >= 1 && f.chi2 > maxChi2(f.spare) {
		f.scale = math.Sqrt(f.chi2/f.spare) * studentOver(f.spare)
		f.cov.ScaleSym(f.scale*f.scale, f.cov)
	}
}

// maxChi2 is the 99 % point of chi-squared, by Wilson and Hilferty's cube (1931,
// from memory): 6.6 for 1 (6.63 exactly), 15.1 for 5 (15.09).
func maxChi2(spare float64) float64 {
	c := 2 / (9 * spare)
	v := 1 - c + straight.UpperPoint(0.01)*math.Sqrt(c)
	return spare * v * v * v
}

// studentOver is how much larger the 95 % point of Student's t is than the
// normal's: a scatter judged from few readings is itself uncertain. Cornish and
// Fisher's expansion (Abramowitz and Stegun 26.7.5, from memory), within 3 % from 3
// to spare on; for 1 and 2 the exact 6.314 and 2.920.
func studentOver(spare float64) float64 {
	z := straight.UpperPoint(doubtful)
	switch {
	case spare < 1.5:
		return 6.314 / z
	case spare < 2.5:
		return 2.920 / z
	}
	z2 := z * z
	return 1 + (z2+1)/(4*spare) + ((5*z2+16)*z2+3)/(96*spare*spare)
}

// settled is the cone that the fit, linearised about its own result, comes to;
// ok is false where it runs off to a flat board or a hollow one.
func (j *job) settled(w ways, prior float64, use func(k ring) bool) (b about, f coneFit, ok bool) {
	if j.flat() {
		f, ok = j.fit(w, b, prior, use)
		return b, f, ok
	}
	for range 30 {
		if f, ok = j.fit(w, b, prior, use); !ok {
			return b, f, false
		}
		b = about{b.nut + f.value[0], b.last + f.value[1]}
		if !j.sane(b) {
			return b, f, false
		}
		if math.Abs(f.value[0])+math.Abs(f.value[1]) < 1e-9 {
			return b, f, true
		}
	}
	return b, f, false
}

// sane reports whether a cone's radii are those of a board: more than half its
// width and not many times what is wanted.
func (j *job) sane(b about) bool {
	const most = 6 // times the wanted radius
	for _, x := range []float64{0, j.length()} {
		if r := j.radiusAbout(b, x); !(r > j.l.Width(x)/2) || r > most*j.l.Radius(x) {
			return false
		}
	}
	return true
}
