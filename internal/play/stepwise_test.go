package play

// stepwise is SimulateStepwise written for speed without leaving a step out, as one would
// write it by hand: two steps ahead at a time, four crowns at a time, so that
// each number fetched is used several times. It is what the bounded run is timed
// against.
func (b *Barrier) stepwise(start, floor []float64, steps int) *Met {
	c := newContact(b, floor, steps)
	m := len(start)
	q, before := make([]float64, m), append([]float64(nil), start...)
	v, w := make([]float64, m), make([]float64, m)
	at1, at2 := make([]float64, len(floor)), make([]float64, len(floor))
	for n := range q {
		q[n] = start[n] * b.afterRest(n)
	}
	s := shape{q, before}
	c.settle(&s, 1)
	for step := 2; step <= steps; {
		b.twoSteps(s.q, s.before, v, w)
		b.heights2(v, w, at1, at2)
		switch {
		case c.hit(at1) || step == steps:
			copy(s.before, s.q)
			copy(s.q, v)
			c.settle(&s, step)
			step++
		case c.hit(at2):
			copy(s.before, v)
			copy(s.q, w)
			clear(c.touching)
			c.settle(&s, step+1)
			step += 2
		default:
			clear(c.touching)
			s.before, s.q, v, w = v, w, s.before, s.q
			step += 2
		}
	}
	return c.met
}

// hit reports whether any crown would be passed.
func (c *contact) hit(heights []float64) bool {
	for j, u := range heights {
		if c.floor[j]-u > touchMM {
			return true
		}
	}
	return false
}

func (b *Barrier) twoSteps(q, before, v, w []float64) {
	a, d := b.a[:len(q)], b.b[:len(q)]
	before, v, w = before[:len(q)], v[:len(q)], w[:len(q)]
	for n, now := range q {
		next := a[n]*now - d[n]*before[n]
		v[n] = next
		w[n] = a[n]*next - d[n]*now
	}
}

func (b *Barrier) heights2(v, w, at1, at2 []float64) {
	j := 0
	for ; j+2 <= len(b.at); j += 2 {
		r0, r1, w := b.at[j][:len(v)], b.at[j+1][:len(v)], w[:len(v)]
		var a0, a1, b0, b1 float64
		for n, x := range v {
			y, s0, s1 := w[n], r0[n], r1[n]
			a0 += s0 * x
			b0 += s0 * y
			a1 += s1 * x
			b1 += s1 * y
		}
		at1[j], at1[j+1], at2[j], at2[j+1] = a0, a1, b0, b1
	}
	for ; j < len(b.at); j++ {
		at1[j], at2[j] = dot(b.at[j], v), dot(b.at[j], w)
	}
}
