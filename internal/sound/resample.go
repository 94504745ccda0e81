package sound

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// The low-pass before each halving of the rate.
const (
	passHz = 20000.0 // kept: all that is heard
	stopDB = 105.0   // for what would fold back; 100 are reached, under 16 bits' last
)

// resample brings a signal from a rate of RateHz times a power of two down to
// RateHz, halving it again and again. Before its first value there is silence.
func resample(s []float64, rateHz float64) []float64 {
	for rateHz > 1.5*RateHz {
		s = halve(s, lowPass(passHz/rateHz, 0.5-RateHz/2/rateHz))
		rateHz /= 2
	}
	return s
}

// halve filters by an odd, symmetric row of taps and keeps every other value;
// the first stays in its place in time.
func halve(s, taps []float64) []float64 {
	half := len(taps) / 2
	padded := make([]float64, len(s)+2*half)
	copy(padded[half:], s)
	out := make([]float64, (len(s)+1)/2)
	for i := range out {
		out[i] = floats.Dot(taps, padded[2*i:2*i+len(taps)])
	}
	return out
}

// lowPass is a windowed-sinc filter that passes up to pass and stops from stop
// on, both as shares of the rate, of unit gain at 0.
// Source: Kaiser's window and its rules for length and shape, as in Oppenheim &
// Schafer, Discrete-Time Signal Processing, 7.5 (from memory); what it passes and
// stops is checked by TestLowPass_Kaiser.
func lowPass(pass, stop float64) []float64 {
	beta := 0.1102 * (stopDB - 8.7)
	half := int(math.Ceil((stopDB - 8) / (2.285 * 2 * math.Pi * (stop - pass)) / 2))
	cut := (pass + stop) / 2
	taps := make([]float64, 2*half+1)
	for i := range taps {
		x := float64(i - half)
		sinc := 2 * cut
		if x != 0 {
			sinc = math.Sin(2*math.Pi*cut*x) / (math.Pi * x)
		}
		r := x / float64(half)
		taps[i] = sinc * bessel0(beta*math.Sqrt(1-r*r)) / bessel0(beta)
	}
	floats.Scale(1/floats.Sum(taps), taps)
	return taps
}

// bessel0 is the modified Bessel function I0, by its power series, all of whose
// terms are positive.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}
