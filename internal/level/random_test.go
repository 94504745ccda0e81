package level

import (
	"math"
	"math/rand/v2"
)

// fretted makes lanes like a fretted neck's: crowns scattered by `scatter` mm, a
// few bad frets that stand off in all lanes, some tilt.
func fretted(r *rand.Rand, frets, lanes int, scatter float64, bad int) []Lane {
	off := make([]float64, frets)
	for range bad {
		off[r.IntN(frets)] += 0.08 * (r.Float64() - 0.3)
	}
	ls := make([]Lane, lanes)
	for i := range ls {
		l := Lane{Lane: float64(i + 1)}
		tilt := 2e-4 * r.NormFloat64()
		for f := range frets {
			x := 648 * (1 - math.Exp2(-float64(f+1)/12))
			l.Frets = append(l.Frets, f+1)
			l.X = append(l.X, x)
			l.D = append(l.D, 0.4+tilt*x+scatter*r.NormFloat64()+off[f]*(1+0.1*r.NormFloat64()))
		}
		ls[i] = l
	}
	return ls
}

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }
