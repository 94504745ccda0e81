package wood

import (
	"errors"
	"math"

	"ringtrue/internal/num"
)

// The diffusion coefficient of moisture across the grain near 20 °C and 6 to
// 12 %, in m²/s, from memory: no table could be read. Dense wood lies at the
// low end; it also grows with moisture (eightfold in aspen from 2.5 to 18 % at
// 110 °F: Simpson, Wood and Fiber Science), so a constant is a rough model.
const (
	SlowestM2S = 1e-11
	FastestM2S = 3e-10
)

// LikelyM2S is their geometric middle.
func LikelyM2S() float64 { return math.Sqrt(SlowestM2S * FastestM2S) }

// ErrSlab is a slab that cannot be: no thickness, or a fraction outside 0 to 1.
var ErrSlab = errors.New("no such slab")

// Slab is a board that takes up or gives off moisture through its faces.
type Slab struct {
	ThicknessMM float64
	OneFace     bool    // the other is sealed: glued to a neck
	Biot        float64 // hold of the surface, S·a/D; 0: none, the faces are at once at the air's moisture
}

// depthMM is the half thickness, or the whole where one face is sealed.
func (s Slab) depthMM() float64 {
	if s.OneFace {
		return s.ThicknessMM
	}
	return s.ThicknessMM / 2
}

// Fourier is D·t/a² after some days.
func (s Slab) Fourier(days, diffusionM2S float64) float64 {
	a := s.depthMM() * 1e-3
	return diffusionM2S * days * 86400 / (a * a)
}

// Fraction is how much of the way to the air's moisture the slab's mean has
// gone after some days.
func (s Slab) Fraction(days, diffusionM2S float64) float64 {
	fo := s.Fourier(days, diffusionM2S)
	if s.Biot > 0 {
		return MeanFractionBiot(s.Biot, fo)
	}
	return MeanFraction(fo)
}

// Days is how long the slab's mean takes to go a fraction of its way, for the
// fastest, the likely and the slowest diffusion.
func (s Slab) Days(fraction float64) (Span, error) {
	if !(s.ThicknessMM > 0) || !(fraction >= 0 && fraction < 1) {
		return Span{}, ErrSlab
	}
	days := func(d float64) (float64, error) {
		unit := 1 / s.Fourier(1, d) // days for Fo = 1
		hi := unit
		for s.Fraction(hi, d) < fraction {
			hi *= 2
			if hi > 1e9*unit {
				return 0, ErrSlab
			}
		}
		return num.Root(func(t float64) float64 { return s.Fraction(t, d) - fraction }, 0, hi, hi*1e-12)
	}
	var out [3]float64
	for i, d := range []float64{FastestM2S, LikelyM2S(), SlowestM2S} {
		var err error
		if out[i], err = days(d); err != nil {
			return Span{}, err
		}
	}
	return Span{out[0], out[1], out[2]}, nil
}

// shortTime is the Fourier number under which the series for short times is
// exact to a double (its next term is under 1e-22).
const shortTime = 0.02

// MeanFraction is the mean of a slab's change as a fraction of its final
// change, at the Fourier number Fo = D·t/a², faces held at the new value.
// Source: Crank, The Mathematics of Diffusion, 2nd ed. 1975, Eq 4.18.
func MeanFraction(fo float64) float64 {
	if fo <= 0 {
		return 0
	}
	if fo < shortTime {
		return 2 * math.Sqrt(fo/math.Pi)
	}
	sum := 0.0
	for n := 0; ; n++ {
		m := float64(2*n + 1)
		term := math.Exp(-m*m*math.Pi*math.Pi*fo/4) / (m * m)
		sum += term
		if term <= 1e-18*sum || term == 0 {
			return 1 - 8/(math.Pi*math.Pi)*sum
		}
	}
}

// MeanFractionBiot is MeanFraction where finish or still air holds the surface
// back: Biot number L = S·a/D, β tan β = L.
// Source: Crank 1975, Eq 4.53 (form from memory).
func MeanFractionBiot(biot, fo float64) float64 {
	if fo <= 0 || biot <= 0 {
		return 0
	}
	sum := 1.0
	for n := 0; n < 10_000; n++ {
		b := biotRoot(biot, n)
		// b²Fo so large that no later term counts, or the tail (it falls with b⁻⁶).
		term := 2 * biot * biot * math.Exp(-b*b*fo) / (b * b * (b*b + biot*biot + biot))
		sum -= term
		if term < 1e-17 {
			break
		}
	}
	return math.Max(0, sum)
}

// biotRoot is the n-th root of β tan β = L, between nπ and nπ + π/2: there
// β sin β − L cos β changes sign once.
func biotRoot(biot float64, n int) float64 {
	lo, hi := float64(n)*math.Pi, (float64(n)+0.5)*math.Pi
	b, err := num.Root(func(b float64) float64 {
		sin, cos := math.Sincos(b)
		return b*sin - biot*cos
	}, lo, hi, 1e-15*hi)
	if err != nil {
		return hi
	}
	return b
}
