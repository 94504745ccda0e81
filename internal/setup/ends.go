package setup

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// HeldFret is the fret that a string is held down on for the gap that hangs on
// the nut alone.
const HeldFret = 3

// Errors of what was measured.
var (
	ErrNoNut    = errors.New("neither first_gap nor held_gap was measured, so its nut height is not known")
	ErrNoAction = errors.New("its action was not measured")
	ErrZeroFret = errors.New("this neck has a zero fret, which holds the open string; leave first_gap and held_gap out")
	ErrSameSite = errors.New("first gap and action are at one fret, so they can't tell nut and saddle apart; give held_gap")
)

// The crowns that readings are taken over.
const (
	atZero = iota
	atFirst
	atHeld
	atAction
	sites
)

// Over is the lane that a string was measured over. Cov is the covariance, in mm²,
// of the crowns of two frets; nil where they are taken to be perfect.
type Over struct {
	Lane play.Lane
	Cov  func(fret, other int) float64
}

// crowns are the heights at the sites, NaN where one is not known.
func (o Over) crowns(actionFret int) (frets [sites]int, x, z [sites]float64) {
	frets = [sites]int{0, 1, HeldFret, actionFret}
	for k, f := range frets {
		x[k], z[k] = math.NaN(), math.NaN()
		for _, c := range o.Lane.Crowns {
			if c.Fret == f {
				x[k], z[k] = c.XMM, c.ZMM
			}
		}
	}
	return frets, x, z
}

// equation is one reading: nut·n + saddle·s = reading + Σ crown·z.
type equation struct {
	nut, saddle float64
	crown       [sites]float64
	reading, u  float64
}

// open is the open string's gap over the crown of a site.
func open(site int, x [sites]float64, scale, reading, u float64) equation {
	e := equation{nut: 1 - x[site]/scale, saddle: x[site] / scale, reading: reading, u: u}
	e.crown[site] = 1
	return e
}

// held is the gap over fret 1 of a string held down on fret 3.
func held(x [sites]float64, reading, u float64) equation {
	t := x[atFirst] / x[atHeld]
	e := equation{nut: 1 - t, reading: reading, u: u}
	e.crown[atFirst], e.crown[atHeld] = 1, -t
	return e
}

// pinned is the nut at a height of its own, or at the crown of fret 0.
func pinned(height float64) equation { return equation{nut: 1, reading: height} }

func onZeroFret() equation {
	e := equation{nut: 1}
	e.crown[atZero] = 1
	return e
}

// form is a height that hangs on readings and crowns, linear in both.
type form struct {
	value float64
	crown [sites]float64 // what each mm of a crown adds
	var0  float64        // variance that the readings make
}

// minus takes away a height of other readings over the same crowns.
func (f form) minus(g form) form {
	f.value -= g.value
	f.var0 += g.var0
	for k := range f.crown {
		f.crown[k] -= g.crown[k]
	}
	return f
}

// u is the standard uncertainty of a height by its readings and the crowns.
func (f form) u(o Over, frets [sites]int) float64 {
	v := f.var0
	if o.Cov != nil {
		for a, wa := range f.crown {
			for b, wb := range f.crown {
				if wa != 0 && wb != 0 {
					v += wa * wb * o.Cov(frets[a], frets[b])
				}
			}
		}
	}
	return math.Sqrt(math.Max(0, v))
}

// solve finds nut and saddle by weighted least squares: (AᵀWA)⁻¹AᵀW, W = 1/u²; 1
// where every reading is taken to be exact.
func solve(all []equation, z [sites]float64) (nut, saddle form, err error) {
	var nn, ns, ss float64
	weight := func(e equation) float64 {
		if e.u > 0 {
			return 1 / (e.u * e.u)
		}
		return 1
	}
	for _, e := range all {
		w := weight(e)
		nn, ns, ss = nn+w*e.nut*e.nut, ns+w*e.nut*e.saddle, ss+w*e.saddle*e.saddle
	}
	det := nn*ss - ns*ns
	if math.IsNaN(det) {
		return nut, saddle, play.ErrNoCrown
	}
	if !(det > 1e-9*nn*ss) {
		return nut, saddle, ErrSameSite
	}
	for _, e := range all {
		w := weight(e)
		nut.add(w*(ss*e.nut-ns*e.saddle)/det, e, z)
		saddle.add(w*(nn*e.saddle-ns*e.nut)/det, e, z)
	}
	if math.IsNaN(nut.value) || math.IsNaN(saddle.value) {
		return nut, saddle, play.ErrNoCrown
	}
	return nut, saddle, nil
}

// add adds a share of a reading.
func (f *form) add(share float64, e equation, z [sites]float64) {
	value := e.reading
	for k, w := range e.crown {
		if w != 0 {
			value += w * z[k]
			f.crown[k] += share * w
		}
	}
	f.value += share * value
	f.var0 += share * share * e.u * e.u
}

// isNow are the equations of what was measured.
func (d Doubt) isNow(m Measured, x [sites]float64, scale float64, zeroFret bool) ([]equation, error) {
	action, known := m.ActionMM.Get()
	if !known {
		return nil, ErrNoAction
	}
	all := []equation{open(atAction, x, scale, action, d.ActionMM)}
	if zeroFret {
		if m.FirstMM.Known() || m.HeldMM.Known() {
			return nil, ErrZeroFret
		}
		// the zero fret's height is as good as its reading: all doubt is the crown's
		e := onZeroFret()
		e.u = 1e-9
		return append(all, e), nil
	}
	if gap, known := m.FirstMM.Get(); known {
		all = append(all, open(atFirst, x, scale, gap, d.GapMM))
	}
	if gap, known := m.HeldMM.Get(); known {
		if math.IsNaN(x[atHeld]) {
			return nil, fmt.Errorf("held_gap: fret %d: %w", HeldFret, play.ErrNoCrown)
		}
		all = append(all, held(x, gap, d.GapMM))
	}
	if len(all) < 2 {
		return nil, ErrNoNut
	}
	return all, nil
}

// wanted are the equations of the neck file's set-up.
func wanted(s play.Setup, x [sites]float64, scale float64, zeroFret bool) []equation {
	action := open(atAction, x, scale, s.ActionMM, 0)
	switch {
	case zeroFret:
		return []equation{onZeroFret(), action}
	case s.ByGap:
		return []equation{open(atFirst, x, scale, s.NutGapMM, 0), action}
	}
	return []equation{pinned(s.NutMM), action}
}

// disagreement is how far first and held gap of one string contradict each other,
// over the standard uncertainty of that; missing where one was not measured.
func disagreement(all []equation, o Over, frets [sites]int, z [sites]float64) num.Opt {
	if len(all) < 3 {
		return num.Opt{}
	}
	nut, _, err := solve(all[:2], z)
	if err != nil {
		return num.Opt{}
	}
	var alone form
	alone.add(1/all[2].nut, all[2], z)
	d := alone.minus(nut)
	return num.Some(math.Abs(d.value) / d.u(o, frets))
}

// KinkMM is the most that a stiff string stands above its straight line behind an
// edge that it breaks over by an angle in radians, until it is pressed down:
// φ·λ/2, λ = √(EI/T) (a clamped elastic beam under tension; derived). A thin plain
// string yields by itself and stands lower.
func KinkMM(stiffnessNMM2, tensionN, angleRad float64) float64 {
	return angleRad / 2 * math.Sqrt(stiffnessNMM2/tensionN)
}
