package play

import (
	"context"
	"fmt"
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/stringset"
)

// unitString is the string of the exact cases: length, tension and wave speed 1 (mm,
// N and mm/s), no stiffness, no damping. Impulses come out in its own units.
func unitString(m int) *Modes {
	s := Span{LengthMM: 1, TensionN: 1, MassGPerM: 1e9, Decay: stringset.Law{}}
	return newModes(s, 2.5*float64(m)/2, m) // partial m at 0.8 of half the rate
}

// path is what a run shows: crown forces, the string's height at some places.
type path struct {
	stepS  float64
	force  [][]float64 // [step-1][crown]
	height [][]float64 // [step-1][place]
	energy []float64   // between the steps
	met    *Met
	start  []float64
}

// record runs a barrier and keeps all of it.
func record(t *testing.T, b *Barrier, start, floor []float64, seconds float64, places ...float64) path {
	t.Helper()
	p := path{stepS: b.StepS, start: start}
	var err error
	p.met, err = b.SimulateStepwise(context.Background(), start, floor, int(seconds/b.StepS), func(_ int, q, before, force []float64) {
		p.force = append(p.force, append([]float64(nil), force...))
		var u []float64
		for _, x := range places {
			u = append(u, heightAt(b.Modes, q, x))
		}
		p.height = append(p.height, u)
		p.energy = append(p.energy, energyOf(b.Modes, q, before))
	})
	if err != nil {
		t.Fatal(err)
	}
	// Whatever is checked of this run holds of the bounded one too.
	followsAs(t, "bounded run", b, start, floor, int(seconds/b.StepS), p.met)
	return p
}

func heightAt(m *Modes, q []float64, x float64) float64 {
	sum := 0.0
	for n, v := range q {
		sum += v * math.Sin(float64(n+1)*math.Pi*x/m.Span.LengthMM)
	}
	return sum
}

// energyOf is (μL/4)·Σ[(q⁺−q)²/k² + (2 − 2cos ωk)·q⁺q/k²] in N·mm.
func energyOf(m *Modes, q, before []float64) float64 {
	sum, k := 0.0, m.StepS
	for n, v := range q {
		d := v - before[n]
		sum += (d*d + (2-2*math.Cos(m.Omega[n]*k))*v*before[n]) / (k * k)
	}
	return sum * m.Span.MassGPerM * m.Span.LengthMM / 4 * 1e-9
}

// released gives the modes of a triangle.
func released(m *Modes, x0, h float64) []float64 {
	q := m.Triangle(x0)
	for n := range q {
		q[n] *= h
	}
	return q
}

// crossings lists the times at which a recorded height changes sign.
func (p path) crossings(place int) []float64 {
	var out []float64
	for i := 1; i < len(p.height); i++ {
		a, b := p.height[i-1][place], p.height[i][place]
		if (a > 0) != (b > 0) {
			out = append(out, (float64(i)+a/(a-b))*p.stepS)
		}
	}
	return out
}

func (p path) firstForce(crown int) float64 {
	for i, f := range p.force {
		if f[crown] > 0 {
			return float64(i+1) * p.stepS
		}
	}
	return math.Inf(1)
}

func (p path) impulse(crown int, from, to float64) float64 {
	sum := 0.0
	for i, f := range p.force {
		if t := float64(i+1) * p.stepS; t > from && t <= to {
			sum += f[crown] * p.stepS
		}
	}
	return sum
}

// Cabannes, "Formulas for vibrating strings with obstacles" (2001), formula
// (7): a point obstacle at the middle, the string plucked there: the whole
// string repeats with period (3+g)/2, in contact from (1+g)/2 to 1.
func TestRun_Cabannes2001(t *testing.T) {
	for _, g := range []float64{0, 0.25, 0.5, 0.75, -0.25, -0.5} {
		t.Run(fmt.Sprintf("gap %g", g), func(t *testing.T) {
			m := unitString(200)
			b := NewBarrier(m, []float64{0.5})
			want := (3 + g) / 2
			p := record(t, b, released(m, 0.5, 1), []float64{-g}, 1.6*want, 0.1, 0.3, 0.5, 0.7)
			casetest.Near(t, "first contact", p.firstForce(0), (1+g)/2, 0.01+m.StepS)
			impulse := p.impulse(0, 0, (1+want+(1+g)/2)/2)
			casetest.Near(t, "impulse", impulse, 2*(1-g), 0.02*2*(1-g))
			casetest.Near(t, "period", repeatsAt(p, want), want, 2e-3*want)
			// The force sets in with the ripple of the highest mode carried; its
			// mean over the later half is 4.
			force := p.impulse(0, (3+g)/4, 1-0.02*(1-g)) / (0.46 * (1 - g) / 2)
			casetest.Near(t, "force while in contact", force, 4, 0.2)
			casetest.Near(t, "energy at first", p.energy[0], 2, 0.03)
			if end := p.energy[len(p.energy)-1]; end > p.energy[0] || end < 0.95*p.energy[0] {
				t.Errorf("energy %g became %g", p.energy[0], end)
			}
		})
	}
}

// repeatsAt is the time near guess at which the recorded heights come nearest
// to those of the triangle, between steps by a parabola.
func repeatsAt(p path, guess float64) float64 {
	start := []float64{0.2, 0.6, 1, 0.6}
	off := func(i int) float64 {
		sum := 0.0
		for j, u := range p.height[i-1] {
			sum += (u - start[j]) * (u - start[j])
		}
		return sum
	}
	best := 0
	for i := int(0.93 * guess / p.stepS); i < int(1.07*guess/p.stepS); i++ {
		if best == 0 || off(i) < off(best) {
			best = i
		}
	}
	l, c, r := off(best-1), off(best), off(best+1)
	return (float64(best) + (l-r)/(2*(l-2*c+r))) * p.stepS
}

// offCentre is the exact case of one obstacle near an end: pluck at 3/4,
// obstacle at 1/8, a quarter below the rest line.
var offCentreAt = []float64{0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4}
var offCentreHeights = []float64{0, -2. / 3, 0.25, 2. / 3, -0.25, -2. / 3, 0.5, 2. / 3}
var offCentreContacts = [][2]float64{{0.78125, 0.875}, {1.03125, 1.125}, {2.6875, 2.78125}, {2.9375, 3.03125},
	{4.59375, 4.6875}, {4.84375, 4.9375}, {6.5, 6.59375}, {6.75, 6.84375}}

func TestRun_OffCentreExact(t *testing.T) {
	for _, c := range []struct {
		modes            int
		height, impulses float64
	}{{100, 0.03, 0.025}, {400, 0.008, 0.0075}} {
		m := unitString(c.modes)
		p := record(t, NewBarrier(m, []float64{0.125}), released(m, 0.75, 1), []float64{-0.25}, 7, 0.5)
		for i, at := range offCentreAt {
			casetest.Near(t, fmt.Sprintf("M=%d height at %g", c.modes, at), p.height[int(math.Round(at/m.StepS))-1][0], offCentreHeights[i], c.height)
		}
		casetest.Near(t, "first contact", p.firstForce(0), 0.78125, 0.01+m.StepS)
		first := p.impulse(0, 0, 1.9)
		casetest.Near(t, fmt.Sprintf("M=%d first two impulses", c.modes), first, 1, c.impulses)
		casetest.Near(t, "energy", p.energy[0], 8./3, 0.05)
	}
}

// lattice is the exact ideal string at unit Courant number: a point moves by
// its neighbours, and crowns hold it up. u⁺ = max(u_left + u_right − u⁻, φ).
// An elastic barrier rebounds instead: u⁺ = −u⁻ + max(u_left + u_right, 2φ), the
// rule of Schatzman and Bercovier, 1989 (from memory).
type lattice struct {
	u, before []float64
	floor     map[int]float64
	elastic   bool
}

func newLattice(cells int, x0, h float64, floor map[int]float64) *lattice {
	l := &lattice{floor: floor}
	for i := 0; i <= cells; i++ {
		x := float64(i) / float64(cells)
		l.u = append(l.u, h*math.Min(x/x0, (1-x)/(1-x0)))
	}
	l.before = append([]float64(nil), l.u...)
	// From rest the step before is the step after: u¹ = (left + right)/2.
	for i := 1; i < cells; i++ {
		l.before[i] = (l.u[i-1] + l.u[i+1]) / 2
	}
	return l
}

// step moves on and returns twice the lift each crown gave.
func (l *lattice) step() map[int]float64 {
	lifts := map[int]float64{}
	next := make([]float64, len(l.u))
	for i := 1; i < len(l.u)-1; i++ {
		sum := l.u[i-1] + l.u[i+1]
		next[i] = sum - l.before[i]
		f, ok := l.floor[i]
		switch {
		case ok && l.elastic:
			next[i] = -l.before[i] + math.Max(sum, 2*f)
		case ok && next[i] < f:
			lifts[i] = f - next[i]
			next[i] = f
		}
	}
	l.before, l.u = l.u, next
	return lifts
}

func TestLattice_OffCentreExact(t *testing.T) {
	const n = 960
	l := newLattice(n, 0.75, 1, map[int]float64{n / 8: -0.25})
	energy := func() float64 {
		sum := 0.0
		for i := 1; i <= n; i++ {
			// Kinetic and strain energy of the cell in Riemann form.
			a := l.u[i] - l.before[i-1]
			b := l.u[i-1] - l.before[i]
			sum += (a*a + b*b) / 4 * n
		}
		return sum
	}
	var contacts [][2]float64
	touching, impulse := false, 0.0
	for s := 1; s <= 7*n; s++ {
		lift := l.step()[n/8]
		tt := float64(s) / n
		if lift > 1e-12 {
			if !touching {
				contacts = append(contacts, [2]float64{tt, tt})
			}
			contacts[len(contacts)-1][1] = tt
			impulse += lift * 1 // F·k = μ·dx/k²·lift·k with unit Courant number is lift
		}
		touching = lift > 1e-12
		for i, at := range offCentreAt {
			if s == int(at*n) {
				casetest.Near(t, fmt.Sprintf("height at %g", at), l.u[n/2], offCentreHeights[i], 0.01)
			}
		}
	}
	if len(contacts) != len(offCentreContacts) {
		t.Fatalf("%d contacts %v, want %d", len(contacts), contacts, len(offCentreContacts))
	}
	for i, c := range contacts {
		casetest.Near(t, "contact start", c[0], offCentreContacts[i][0], 4./n)
		casetest.Near(t, "contact end", c[1], offCentreContacts[i][1], 4./n)
	}
	casetest.Near(t, "impulse of eight contacts", impulse, 4, 8*4./n) // each misses a step or so of force
	casetest.Near(t, "energy", energy(), 8./3, 0.02)
}

// Amerio and Prouse, Cabannes: a rigid plane under the whole string, elastic
// rebound, has period 1+g. It checks the lattice that checks the contact run.
func TestLattice_ElasticPlane(t *testing.T) {
	const n = 800
	for _, g := range []float64{0, 0.25, 0.5, 0.75} {
		floor := map[int]float64{}
		for i := 1; i < n; i++ {
			floor[i] = -g
		}
		l := newLattice(n, 0.5, 1, floor)
		l.elastic = true
		start := append([]float64(nil), l.u...)
		for range int((1 + g) * n) {
			l.step()
		}
		worst := 0.0
		for i := range start {
			worst = math.Max(worst, math.Abs(start[i]-l.u[i]))
		}
		if worst > 0.01 {
			t.Errorf("gap %g: after %g the string is %g from its start", g, 1+g, worst)
		}
	}
}

// The modal run against the exact lattice on an ideal string over several
// crowns at once.
func TestRun_AgainstLattice(t *testing.T) {
	const n = 1200
	at := []float64{1. / 12, 1. / 6, 1. / 4, 1. / 3}
	gaps := []float64{0.08, 0.17, 0.28, 0.45}
	floor, low, cell := map[int]float64{}, []float64{}, []int{}
	for i, x := range at {
		c := int(math.Round(x * n))
		floor[c], low, cell = -gaps[i], append(low, -gaps[i]), append(cell, c)
	}
	l := newLattice(n, 0.8, 1, floor)
	want := make([]float64, len(at))
	for range 4 * n {
		for c, lift := range l.step() {
			for i := range cell {
				if cell[i] == c {
					want[i] += lift
				}
			}
		}
	}
	errorAt := func(modes int) float64 {
		m := unitString(modes)
		p := record(t, NewBarrier(m, at), released(m, 0.8, 1), low, 4)
		total, off := 0.0, 0.0
		for i, s := range p.met.Strikes {
			total += want[i]
			off += math.Abs(s.ImpulseNS - want[i])
		}
		return off / total
	}
	if coarse, fine := errorAt(100), errorAt(400); fine > 0.03 || fine > coarse {
		t.Errorf("impulses differ from the lattice's by %.3g at M=100 and %.3g at M=400", coarse, fine)
	}
}
