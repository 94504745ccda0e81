package play

import (
	"context"
	"math"
)

// Contact constants.
const (
	// A string nearer to a crown's height than this does not touch it: far below
	// anything a gauge sees, far above rounding, so that a string set exactly to
	// its lowest clear height counts as clear.
	touchMM = 1e-9
	// Forces are settled when no crown moves the string by more than this.
	settledMM = 1e-13
	// Most rounds of settling in one step.
	rounds = 200
	// Steps between looks at whether the work was called off.
	lookEvery = 256
)

// Strike is what one crown met in a contact run.
type Strike struct {
	ImpulseNS float64
	Contacts  int // separate ones
	First     int // step of the first, counted from the release; 0 is none
	Last      int
}

// Met is what a contact run met.
type Met struct {
	Strikes       []Strike // of each crown beyond the stop
	ImpulseNS     float64  // of all crowns
	FirstPeriodNS float64  // of all crowns up to 2L/c
	Steps         int      // how long it ran
}

// Touched reports whether any crown was met.
func (m *Met) Touched() bool {
	for _, s := range m.Strikes {
		if s.Contacts > 0 {
			return true
		}
	}
	return false
}

// shape is the string at the two latest steps.
type shape struct{ q, before []float64 }

// SimulateStepwise is the plain contact run: the string is released from rest in the shape
// start (each mode's share, mm) over crowns at heights floorMM (below the rest
// line: negative), and followed step by step with every crown looked at in
// every step. watch, where given, sees each step's modes, those before it, and
// the forces; it must not keep or change them.
//
// In each step every mode moves freely and exactly; then forces F >= 0 are
// found that lift the string just clear of every crown it would have passed,
// F·(height above the crown) = 0: hard one-sided contact without restitution,
// in which energy can only fall. This is the modal form of the scheme of
// Issanchou, Acary, Pérignon, Touzé and Le Carrou, JASA 143(5) (2018).
// Cost a step: 2M for the motion, M·P for the crowns' heights, M for each touch.
func (b *Barrier) SimulateStepwise(ctx context.Context, start, floorMM []float64, steps int, watch func(step int, q, before, forceN []float64)) (*Met, error) {
	c := newContact(b, floorMM, steps)
	s := shape{q: make([]float64, len(start)), before: append([]float64(nil), start...)}
	for n := range s.q {
		s.q[n] = start[n] * b.afterRest(n)
	}
	// The first step from rest has its own factor; contact is settled after it.
	c.settle(&s, 1)
	if watch != nil {
		watch(1, s.q, s.before, c.force)
	}
	for step := 2; step <= steps; step++ {
		if step%lookEvery == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		b.advance(&s)
		c.settle(&s, step)
		if watch != nil {
			watch(step, s.q, s.before, c.force)
		}
	}
	return c.met, ctx.Err()
}

// advance moves every mode freely by one step.
func (b *Barrier) advance(s *shape) {
	q, before := s.q, s.before
	before, a, d := before[:len(q)], b.fullA[:len(q)], b.fullB[:len(q)]
	for n, now := range q {
		before[n] = a[n]*now - d[n]*before[n]
	}
	s.q, s.before = before, q
}

// contact settles the forces of one run, with room for them set aside once.
type contact struct {
	barrier     *Barrier
	floor       []float64
	height      []float64 // of the string over each crown
	lack        []float64 // how far each crown would have to lift the string
	force       []float64
	touching    []bool
	rest        bool // nothing is touching
	periodSteps int
	met         *Met
	took        func(step, crown int, forceN float64) // where given, sees every force
}

func newContact(b *Barrier, floorMM []float64, steps int) *contact {
	p := len(floorMM)
	c := &contact{barrier: b, floor: floorMM, height: make([]float64, p), lack: make([]float64, p), force: make([]float64, p),
		touching: make([]bool, p), periodSteps: int(math.Floor(b.Span.PeriodS() / b.StepS * (1 + 1e-12))),
		met: &Met{Strikes: make([]Strike, p), Steps: steps}}
	return c
}

// settle lifts the string off the crowns it would have passed and notes the
// impulses. It reports whether there was any contact.
func (c *contact) settle(s *shape, step int) bool {
	heights(c.height, c.barrier.rows, c.barrier.stride, s.q)
	touched := false
	for j, floor := range c.floor {
		c.lack[j] = floor - c.height[j]
		touched = touched || c.lack[j] > touchMM
	}
	if !touched && c.rest {
		return false
	}
	clear(c.force)
	if touched {
		c.balance()
		for j, f := range c.force {
			if f > 0 {
				c.barrier.push(s.q, j, f)
			}
		}
	}
	c.note(step)
	c.rest = !touched
	return touched
}

// balance finds the forces by projected Gauss-Seidel: each crown in turn takes
// just the force that brings the string to its height, or none.
func (c *contact) balance() {
	for range rounds {
		moved := 0.0
		for j, f := range c.force {
			if f == 0 && c.lack[j] <= 0 {
				continue
			}
			yield := c.barrier.yield[j]
			next := math.Max(0, f+c.lack[j]/yield[j])
			if next == f {
				continue
			}
			for i, y := range yield {
				c.lack[i] -= y * (next - f)
			}
			moved = math.Max(moved, math.Abs(next-f)*yield[j])
			c.force[j] = next
		}
		if moved < settledMM {
			return
		}
	}
}

// push adds a force at crown j to every mode.
func (b *Barrier) push(q []float64, j int, forceN float64) {
	g, row := b.fullG[:len(q)], b.rows[j*b.stride:][:len(q)]
	for n := range q {
		q[n] += g[n] * row[n] * forceN
	}
}

// note books a step's forces.
func (c *contact) note(step int) {
	for j, f := range c.force {
		if f <= 0 {
			c.touching[j] = false
			continue
		}
		s := &c.met.Strikes[j]
		if !c.touching[j] {
			s.Contacts++
			c.touching[j] = true
		}
		if s.First == 0 {
			s.First = step
		}
		s.Last = step
		if c.took != nil {
			c.took(step, j, f)
		}
		impulse := f * c.barrier.StepS
		s.ImpulseNS += impulse
		c.met.ImpulseNS += impulse
		if step <= c.periodSteps {
			c.met.FirstPeriodNS += impulse
		}
	}
}
