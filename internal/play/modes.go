package play

import (
	"errors"
	"math"

	"ringtrue/internal/stringset"
)

// Span is the sounding part of a string, pinned at the stop and the saddle.
type Span struct {
	LengthMM, TensionN, MassGPerM, StiffnessNMM2 float64
	Decay                                        stringset.Decay
}

// Sampling of the contact run.
const (
	RateHz = 96e3 // steps a second
	// Modes are carried up to this share of half the rate. Measured against
	// finer runs, 0.7 to 0.9 are all good; beyond, the step aliases.
	topShare = 0.8
	// A span with fewer modes than this below the limit is run at twice the
	// rate, again and again, so that short strings keep their shape.
	minModes = 24
	maxModes = 20000
)

// ErrTooLow says that a span has more modes than can be carried.
var ErrTooLow = errors.New("the string is tuned too low to be followed")

// Modes are the partials of a span, each with its exact free motion over one
// step. Motion is in mm, force in N.
type Modes struct {
	Span   Span
	StepS  float64
	Omega  []float64 // angular frequency, rad/s, undamped
	Sigma  []float64 // decay rate, 1/s
	a, b   []float64 // q(t+k) = a·q(t) − b·q(t−k)
	g      []float64 // mm that one N at a mode's crest adds within a step
	heavy  bool      // some mode decays too fast to swing
	waveMM float64   // wave speed, mm/s
}

// Wave is the speed of the span's transverse waves in mm/s.
func (s Span) Wave() float64 { return 1e3 * math.Sqrt(s.TensionN/(s.MassGPerM*1e-3)) }

// PeriodS is 2L/c, the free period of the ideal string.
func (s Span) PeriodS() float64 { return 2 * s.LengthMM / s.Wave() }

// partialHz is n·f0·√(1 + B·n²), Fletcher, JASA 36 (1964) 203.
func (s Span) partialHz(n int) float64 {
	b := math.Pi * math.Pi * s.StiffnessNMM2 / (s.TensionN * s.LengthMM * s.LengthMM)
	m := float64(n)
	return m / s.PeriodS() * math.Sqrt(1+b*m*m)
}

// NewModes carries every partial up to 0.8 of half of RateHz, doubling the rate
// for spans that would have fewer than 24.
func NewModes(s Span) (*Modes, error) {
	for rate := RateHz; ; rate *= 2 {
		m := 0
		for m <= maxModes && s.partialHz(m+1) <= topShare*rate/2 {
			m++
		}
		if m > maxModes {
			return nil, ErrTooLow
		}
		if m >= minModes {
			return newModes(s, rate, m), nil
		}
		if rate > 1e9 {
			return nil, errors.New("the string is tuned too high to be followed")
		}
	}
}

// newModes carries exactly m partials at a rate in Hz.
//
// A mode q” + 2σq' + ω²q = f moves freely by q(t+k) = a·q(t) − b·q(t−k) with
// a = 2e^(−σk)·cos(k√(ω² − σ²)), b = e^(−2σk), without error; where σ > ω the
// cosine turns into its hyperbolic twin. A force F within one step adds
// F·S·g, g = (2k²/(μL))/(1 + σk).
func newModes(s Span, rateHz float64, m int) *Modes {
	k := 1 / rateHz
	out := &Modes{Span: s, StepS: k, waveMM: s.Wave()}
	for n := 1; n <= m; n++ {
		f := s.partialHz(n)
		out.add(2*math.Pi*f, s.Decay.RatePerS(f))
	}
	return out
}

// add appends one mode.
func (m *Modes) add(omega, sigma float64) {
	k := m.StepS
	a := 2 * math.Exp(-sigma*k) * math.Cos(k*math.Sqrt(math.Max(0, omega*omega-sigma*sigma)))
	if sigma >= omega {
		m.heavy = true
		s := math.Sqrt(sigma*sigma - omega*omega)
		a = math.Exp(-(sigma-s)*k) + math.Exp(-(sigma+s)*k)
	}
	m.Omega, m.Sigma = append(m.Omega, omega), append(m.Sigma, sigma)
	m.a, m.b = append(m.a, a), append(m.b, math.Exp(-2*sigma*k))
	// 2k²/(μL) with μ in g/m and L in mm, for mm and N: μL = 1e-6 kg·(g/m)(mm),
	// and a metre is 1e3 mm.
	m.g = append(m.g, 2*k*k*1e9/(m.Span.MassGPerM*m.Span.LengthMM)/(1+sigma*k))
}

// Triangle is each mode's share, in mm, of a triangle of unit height with its top
// x0 mm from the stop: 2L²·sin(nπx0/L)/(π²n²x0(L − x0)).
func (m *Modes) Triangle(x0 float64) []float64 {
	l, q := m.Span.LengthMM, make([]float64, len(m.Omega))
	scale := 2 * l * l / (math.Pi * math.Pi * x0 * (l - x0))
	for n := range q {
		i := float64(n + 1)
		q[n] = scale / (i * i) * math.Sin(i*math.Pi*x0/l)
	}
	return q
}

// afterRest is each mode's factor over the first step from rest.
func (m *Modes) afterRest(n int) float64 {
	w, s, k := m.Omega[n], m.Sigma[n], m.StepS
	if s < w {
		wd := math.Sqrt(w*w - s*s)
		return math.Exp(-s*k) * (math.Cos(wd*k) + s/wd*math.Sin(wd*k))
	}
	d := math.Sqrt(s*s - w*w)
	if d*k < 1e-9 { // critically damped
		return math.Exp(-s*k) * (1 + s*k)
	}
	return ((s+d)*math.Exp(-(s-d)*k) - (s-d)*math.Exp(-(s+d)*k)) / (2 * d)
}

// Barrier is a span over the crowns beyond its stop: where each mode stands at each
// crown, and how forces at the crowns move them.
type Barrier struct {
	*Modes
	at    [][]float64 // at[j][n] = sin(nπx_j/L)
	yield [][]float64 // yield[i][j]: mm at crown i for each N at crown j, within a step
	// The rows of at lie stride apart in rows, filled up with zeros; so do a, b
	// and g: lookAhead has no remainder.
	rows                []float64
	stride              int
	fullA, fullB, fullG []float64
}

// NewBarrier lays a span's modes over crowns at x_j mm from the stop.
func NewBarrier(m *Modes, xMM []float64) *Barrier {
	count, stride := len(m.Omega), padded(len(m.Omega))
	b := &Barrier{Modes: m, stride: stride, rows: make([]float64, stride*len(xMM))}
	b.fullA, b.fullB, b.fullG = filled(m.a, stride), filled(m.b, stride), filled(m.g, stride)
	for j, x := range xMM {
		row := b.rows[j*stride:][:count:stride]
		for n := range row {
			row[n] = math.Sin(float64(n+1) * math.Pi * x / m.Span.LengthMM)
		}
		b.at = append(b.at, row)
	}
	moved := make([]float64, count)
	for i := range b.at {
		b.yield = append(b.yield, make([]float64, len(b.at)))
		for n, g := range m.g {
			moved[n] = g * b.at[i][n]
		}
		for j := 0; j <= i; j++ {
			sum := dot(moved, b.at[j])
			b.yield[i][j], b.yield[j][i] = sum, sum
		}
	}
	return b
}

// filled is v filled up with zeros to a length.
func filled(v []float64, length int) []float64 {
	out := make([]float64, length)
	copy(out, v)
	return out
}
