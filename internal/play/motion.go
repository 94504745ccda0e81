package play

// Triangle is each mode's share, in mm, of a triangle of unit height with its
// top at atMM from the stop.
func (m *Modes) Triangle(atMM float64) []float64 {
	q := make([]float64, len(m.Omega))
	m.triangle(q, atMM)
	return q
}

// Motion is a string's free motion, step by step, with forces put in by hand:
// what a contact run did can be gone through again at the cost of the modes
// alone.
type Motion struct {
	Now, Before []float64 // each mode at this step and the last, mm; not to be changed
	bed         *Bed
	step        int
}

// Release lets the string go from rest in the shape start; it stands at step 0.
func (b *Bed) Release(start []float64) *Motion {
	return &Motion{Now: append([]float64(nil), start...), Before: append([]float64(nil), start...), bed: b}
}

// Step moves every mode freely by one step.
func (m *Motion) Step() {
	m.step++
	if m.step == 1 { // from rest
		for n := range m.Now {
			m.Now[n] *= m.bed.afterRest(n)
		}
		return
	}
	s := shape{q: m.Now, before: m.Before}
	m.bed.advance(&s)
	m.Now, m.Before = s.q, s.before
}

// Push adds the force that crown j gave within the step.
func (m *Motion) Push(j int, forceN float64) { m.bed.push(m.Now, j, forceN) }
