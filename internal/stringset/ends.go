package stringset

import "math"

// Ends is how a string is held where it is stopped and at the saddle.
type Ends int

// The ways of holding a string's two ends.
const (
	Pinned  Ends = iota // both ends turn freely
	Mixed               // one is clamped
	Clamped             // both are
)

// EndFactor is how much the fundamental of a stiff string lies above that of
// the ideal one, ε = √(EI/(T·L²)): exact for pinned ends, else the series to ε²,
// good to 3e-7 at ε = 0.002.
// Source: Morse's series for clamped ends, as in Fletcher, JASA 36 (1964) 203;
// the mixed case after Anderson & Beausoleil, JASA 156 (2024) 683.
func EndFactor(eps float64, ends Ends) float64 {
	const half = math.Pi * math.Pi / 2
	switch ends {
	case Clamped:
		return 1 + 2*eps + (4+half)*eps*eps
	case Mixed:
		return 1 + eps + (1+half)*eps*eps
	default:
		return math.Sqrt(1 + 2*half*eps*eps)
	}
}
