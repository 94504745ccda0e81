package wire

import (
	"errors"
	"math"

	"ringtrue/internal/num"
)

// Metal is what the wire is made of.
type Metal struct{ ModulusMPa, YieldMPa float64 }

// Errors of bending.
var (
	ErrNoTrial  = errors.New("no yield explains this trial: the free radius must be larger than the loaded one")
	ErrTooTight = errors.New("the bend is tighter than the wire is deep")
)

// solveWithin is the relative error at which the solvers stop: well under the
// 1e-9 they promise.
const solveWithin = 1e-13

// Bent is a wire held at a curvature, and what it does when let go.
type Bent struct {
	Curvature     float64 // under load, of the centroid
	MomentNMM     float64
	NeutralMM     float64 // height of the neutral axis under load
	FreeCurvature float64 // of the centroid, when let go
	Strain        float64 // the greatest of any fibre, under load
	core          float64 // second moment of the part still elastic, about its own centroid
}

// YieldCurvature is the curvature at which the outermost fibre begins to yield.
func (s Section) YieldCurvature(m Metal) float64 { return m.YieldMPa / (m.ModulusMPa * s.reach()) }

// Bend holds a straight wire at a curvature k of 0 or more and lets it go.
//
// Strain is k(y − yₙ), stress E times it and no more than the yield either way;
// yₙ is where the stresses sum to zero; the moment is unloaded elastically:
// free curvature k − M/(E·I). The integrals over the section are closed forms,
// piece by piece; checked against a sum over fibres to 1e-9 by
// TestBend_fibreSum.
func (s Section) Bend(m Metal, k float64) Bent {
	if k <= s.YieldCurvature(m) {
		return Bent{Curvature: k, MomentNMM: m.ModulusMPa * s.inertia * k, NeutralMM: s.centroid, Strain: k * s.reach(), core: s.inertia}
	}
	yn := s.neutral(m, k)
	low, core, high := s.split(m, k, yn)
	moment := m.ModulusMPa*k*core.about(yn).i + m.YieldMPa*(high.about(yn).s-low.about(yn).s)
	b := Bent{
		Curvature: k, MomentNMM: moment, NeutralMM: yn,
		FreeCurvature: k - moment/(m.ModulusMPa*s.inertia),
		Strain:        k * math.Max(yn-s.bottom, s.top-yn),
	}
	if core.a > 0 {
		b.core = core.about(core.s / core.a).i
	}
	return b
}

// split gives the moments of what has yielded below, of the elastic core, and
// of what has yielded above.
func (s Section) split(m Metal, k, yn float64) (low, core, high moments) {
	half := m.YieldMPa / (m.ModulusMPa * k)
	below, within := s.upTo(yn-half), s.upTo(yn+half)
	return below, within.minus(below), s.upTo(s.top).minus(within)
}

// neutral finds where the neutral axis lies: the force falls steadily as the
// axis rises, so Newton's step is taken inside a bracket that always shrinks.
func (s Section) neutral(m Metal, k float64) float64 {
	lo, hi := s.bottom, s.top
	yn := s.centroid
	for range 200 {
		low, core, high := s.split(m, k, yn)
		force := m.ModulusMPa*k*core.about(yn).s + m.YieldMPa*(high.a-low.a)
		if force > 0 {
			lo = yn
		} else {
			hi = yn
		}
		next := yn + force/(m.ModulusMPa*k*core.a)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-yn) <= solveWithin*s.top {
			return next
		}
		yn = next
	}
	return yn
}

// Overbend finds the bend under load that springs back to a free curvature
// above 0. The free curvature rises with the load, so the answer is the only
// one; it lies within plastic moment/(E·I) above the free curvature.
func (s Section) Overbend(m Metal, free float64) Bent {
	lo := math.Max(free, s.YieldCurvature(m))
	hi := free + m.YieldMPa*s.plasticPerYield/(m.ModulusMPa*s.inertia)
	hi = math.Max(hi, lo)
	k := (lo + hi) / 2
	for range 200 {
		b := s.Bend(m, k)
		gap := b.FreeCurvature - free
		if gap < 0 {
			lo = k
		} else {
			hi = k
		}
		next := k - gap/(1-b.core/s.inertia)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-k) <= solveWithin*k {
			return s.Bend(m, next)
		}
		k = next
	}
	return s.Bend(m, k)
}

// LoadedRadius is the radius, in mm and at the crown's underside, that a wire
// bent under load springs back from to the radius freeMM, taken there too.
// ErrTooTight: the centre of the bend would lie inside the tang.
func (s Section) LoadedRadius(m Metal, freeMM float64) (loadedMM float64, b Bent, err error) {
	centroid := s.CentroidRadius(freeMM)
	if !(centroid > s.centroid-s.bottom) || math.IsInf(centroid, 0) {
		return 0, Bent{}, ErrTooTight
	}
	b = s.Overbend(m, 1/centroid)
	loadedMM = s.UndersideRadius(1 / b.Curvature)
	if loadedMM <= s.undersideMM-s.bottom {
		return 0, Bent{}, ErrTooTight
	}
	return loadedMM, b, nil
}

// FitYield finds the yield in MPa that explains a trial: a straight wire held
// at loadedMM sprang back to freeMM, both at the crown's underside. ErrNoTrial:
// no yield does.
func (s Section) FitYield(modulusMPa, loadedMM, freeMM float64) (float64, error) {
	if !(loadedMM > 0 && freeMM > loadedMM) || math.IsInf(freeMM, 0) {
		return 0, ErrNoTrial
	}
	if s.CentroidRadius(loadedMM) <= s.centroid-s.bottom {
		return 0, ErrTooTight
	}
	k, free := 1/s.CentroidRadius(loadedMM), 1/s.CentroidRadius(freeMM)
	most := modulusMPa * s.reach() * k // at this yield the trial stays elastic
	gap := func(yield float64) float64 {
		return s.Bend(Metal{modulusMPa, yield}, k).FreeCurvature - free
	}
	y, err := num.Root(gap, most*1e-9, most, most*solveWithin)
	if err != nil {
		return 0, ErrNoTrial
	}
	return y, nil
}
