package straight

import (
	"errors"
	"math"

	"ringtrue/internal/num"
)

// ErrBracket says that a bracket's ends are the wrong way round or below 0.
var ErrBracket = errors.New("no bracket of a gap")

// rootThree turns half the width of an even distribution into its standard
// deviation (JCGM 100:2008, 4.3.7).
const rootThree = 1.7320508075688772

// Range is a zone that is known to lie between two widths, in mm.
type Range struct{ LeastMM, LargestMM float64 }

// Verdict is Level or NotLevel where all of the range says so.
func (r Range) Verdict(limitMM float64) Verdict {
	switch {
	case r.LargestMM <= limitMM && r.LeastMM <= r.LargestMM:
		return Level
	case r.LeastMM > limitMM && r.LeastMM <= r.LargestMM:
		return NotLevel
	}
	return InDoubt
}

// MiddleMM is the middle of the range.
func (r Range) MiddleMM() float64 { return (r.LeastMM + r.LargestMM) / 2 }

// UMM is the standard uncertainty of MiddleMM, every value of the range being
// taken for equally likely: half the width over √3. Source: JCGM 100:2008,
// 4.3.7, equation 7 (from memory).
func (r Range) UMM() float64 { return math.Abs(r.LargestMM-r.LeastMM) / 2 / rootThree }

// hullsApart is how far the upper hull of lo rises over the lower hull of hi at
// most; 0 where it does not. up and down are room for the hulls.
func hullsApart(x, lo, hi []float64, up, down []int) float64 {
	up, down = num.UpperHull(x, lo, up), num.LowerHull(x, hi, down)
	most := 0.0
	for a, b := 0, 0; a+1 < len(up) || b+1 < len(down); {
		// The next place at which either hull has a corner.
		switch {
		case b+1 >= len(down) || a+1 < len(up) && x[up[a+1]] <= x[down[b+1]]:
			a++
			most = math.Max(most, lo[up[a]]-along(x, hi, down, b, x[up[a]]))
		default:
			b++
			most = math.Max(most, along(x, lo, up, a, x[down[b]])-hi[down[b]])
		}
	}
	return most
}

// along is the height at x of the hull's edge from its corner k on.
func along(x, z []float64, hull []int, k int, at float64) float64 {
	p := hull[k]
	if k+1 >= len(hull) {
		return z[p]
	}
	q := hull[k+1]
	return z[p] + (z[q]-z[p])*(at-x[p])/(x[q]-x[p])
}

// boundFactor is how many standard uncertainties each of n brackets is widened
// by at both ends, so that all of them hold the truth at Confidence:
// Φ⁻¹(1 − 0.05/2n). Source: Bonferroni's inequality.
func boundFactor(n int) float64 { return UpperPoint((1 - Confidence) / 2 / float64(max(n, 1))) }

// UpperPoint is what a standard normal exceeds with this probability.
func UpperPoint(p float64) float64 { return math.Sqrt2 * math.Erfinv(1-2*p) }
