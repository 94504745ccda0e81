package main

import "math"

// stepwise is the contact run as it is written by hand in plain Go for speed,
// every fret looked at in every step: two steps ahead at a time and two frets at
// a time, so that each number fetched is used twice (of the shapes tried, four
// frets among them, the quickest). Its modes are its own.
type stepwise struct {
	a, b, g, start, second []float64
	at, yield              [][]float64
}

// strike is what one fret met.
type strike struct {
	first, contacts int
	impulseNS       float64
}

func newStepwise(n note) *stepwise {
	l, k := n.span.LengthMM, 1/n.rateHz
	c := 1e3 * math.Sqrt(n.span.TensionN/(n.span.MassGPerM*1e-3))
	stiff := math.Pi * math.Pi * n.span.StiffnessNMM2 / (n.span.TensionN * l * l)
	s := &stepwise{}
	for i := 1.0; ; i++ {
		f := i * c / (2 * l) * math.Sqrt(1+stiff*i*i)
		if f > 0.8*n.rateHz/2 {
			break
		}
		w, sigma := 2*math.Pi*f, n.damping.Base+n.damping.Square*f*f
		wd := math.Sqrt(w*w - sigma*sigma)
		s.a = append(s.a, 2*math.Exp(-sigma*k)*math.Cos(wd*k))
		s.b = append(s.b, math.Exp(-2*sigma*k))
		s.g = append(s.g, 2*k*k*1e9/(n.span.MassGPerM*l)/(1+sigma*k))
		s.second = append(s.second, math.Exp(-sigma*k)*(math.Cos(wd*k)+sigma/wd*math.Sin(wd*k)))
	}
	s.start = n.triangle(len(s.a))
	for i, q := range s.start {
		s.second[i] *= q
	}
	for _, x := range n.x {
		row := make([]float64, len(s.a))
		for i := range row {
			row[i] = math.Sin(float64(i+1) * math.Pi * x / l)
		}
		s.at = append(s.at, row)
	}
	for _, r := range s.at {
		row := make([]float64, len(s.at))
		for j, o := range s.at {
			for i, g := range s.g {
				row[j] += g * r[i] * o[i]
			}
		}
		s.yield = append(s.yield, row)
	}
	return s
}

// run follows the note.
func (s *stepwise) run(n note) []strike {
	m, p := len(s.a), len(s.at)
	met, touching := make([]strike, p), make([]bool, p)
	before, q := append([]float64(nil), s.start...), append([]float64(nil), s.second...)
	v, w := make([]float64, m), make([]float64, m)
	u1, u2, lack, force := make([]float64, p), make([]float64, p), make([]float64, p), make([]float64, p)
	settle := func(q, u []float64, step int) {
		for j := range lack {
			lack[j], force[j] = n.floor[j]-u[j], 0
		}
		s.balance(lack, force)
		for j, f := range force {
			if f <= 0 {
				touching[j] = false
				continue
			}
			for i, g := range s.g {
				q[i] += g * s.at[j][i] * f
			}
			if !touching[j] {
				met[j].contacts++
			}
			touching[j] = true
			if met[j].first == 0 {
				met[j].first = step
			}
			met[j].impulseNS += f / n.rateHz
		}
	}
	s.heights(q, q, u1, u2)
	if hit(n.floor, u1) {
		settle(q, u1, 1)
	}
	for step := 2; step <= n.steps; {
		s.ahead(before, q, v, w)
		s.heights(v, w, u1, u2)
		switch {
		case hit(n.floor, u1) || step == n.steps:
			before, q, v = q, v, before
			if hit(n.floor, u1) {
				settle(q, u1, step)
			} else {
				clear(touching)
			}
			step++
		case hit(n.floor, u2):
			before, q, v, w = v, w, before, q
			clear(touching)
			settle(q, u2, step+1)
			step += 2
		default:
			before, q, v, w = v, w, before, q
			clear(touching)
			step += 2
		}
	}
	return met
}

// ahead is the next two free steps.
func (s *stepwise) ahead(before, q, v, w []float64) {
	a, b := s.a[:len(q)], s.b[:len(q)]
	before, v, w = before[:len(q)], v[:len(q)], w[:len(q)]
	for n, now := range q {
		next := a[n]*now - b[n]*before[n]
		v[n] = next
		w[n] = a[n]*next - b[n]*now
	}
}

// heights are those of two shapes over every fret.
func (s *stepwise) heights(v, w, u1, u2 []float64) {
	for j := 0; j < len(s.at); j += 2 {
		r0, r1, w := s.at[j][:len(v)], s.at[min(j+1, len(s.at)-1)][:len(v)], w[:len(v)]
		var a0, a1, b0, b1 float64
		for n, x := range v {
			y, s0, s1 := w[n], r0[n], r1[n]
			a0 += s0 * x
			b0 += s0 * y
			a1 += s1 * x
			b1 += s1 * y
		}
		u1[j], u2[j] = a0, b0
		if j+1 < len(s.at) {
			u1[j+1], u2[j+1] = a1, b1
		}
	}
}

func hit(floor, u []float64) bool {
	for j, f := range floor {
		if f-u[j] > 1e-9 {
			return true
		}
	}
	return false
}

// balance finds the forces by projected Gauss-Seidel.
func (s *stepwise) balance(lack, force []float64) {
	for range 200 {
		moved := 0.0
		for j, f := range force {
			next := math.Max(0, f+lack[j]/s.yield[j][j])
			if next == f {
				continue
			}
			for i, y := range s.yield[j] {
				lack[i] -= y * (next - f)
			}
			moved = math.Max(moved, math.Abs(next-f)*s.yield[j][j])
			force[j] = next
		}
		if moved < 1e-13 {
			return
		}
	}
}
