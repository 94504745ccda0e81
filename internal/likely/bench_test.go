package likely

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A lane of 22 frets read once.
func BenchmarkCrowns(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	x, off := make([]float64, 22), make([]float64, 22)
	cov := mat.NewSymDense(22, nil)
	for i := range x {
		x[i], off[i] = 20*float64(i), 0.005*r.NormFloat64()
		cov.SetSym(i, i, 25e-6)
	}
	for b.Loop() {
		if _, err := Crowns(x, off, cov, 200, 412); err != nil {
			b.Fatal(err)
		}
	}
}
