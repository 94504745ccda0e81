package gauge

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Share is what one source adds to an uncertainty: a standard uncertainty, in
// the unit of the result, and its degrees of freedom (+Inf where it is known).
type Share struct {
	U, DF float64
}

// Combine returns the standard uncertainty of a sum of independent shares and
// its effective degrees of freedom.
//
// Source: JCGM 100:2008, 5.1.2 and G.4.1 (Welch–Satterthwaite); checked by
// TestCombine_GUM.
func Combine(shares []Share) (u, df float64) {
	var square, fourth float64
	for _, s := range shares {
		square += s.U * s.U
		fourth += math.Pow(s.U, 4) / s.DF
	}
	u = math.Sqrt(square)
	if fourth == 0 {
		return u, math.Inf(1)
	}
	return u, square * square / fourth
}

// Coverage is the factor that turns a standard uncertainty with df degrees of
// freedom into one of the given confidence: Student's t, the degrees of
// freedom cut to a whole number (18.96, printed as 19.0, counts as 19).
//
// Source: JCGM 100:2008, G.6.4; checked by TestCombine_GUMH1 and
// TestCombine_GUMG4.
func Coverage(df, confidence float64) float64 {
	p := 0.5 + confidence/2
	if df > 1e7 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, math.Floor(df+0.05))}.Quantile(p)
}

// StepU is the standard uncertainty that a dial's step leaves: the reading may
// lie anywhere within half a step of what it shows.
//
// Source: JCGM 100:2008, F.2.2.1.
func StepU(step float64) float64 { return step / math.Sqrt(12) }
