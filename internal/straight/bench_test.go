package straight

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// lanes24 are lanes of 24 crowns as a fretted neck has them.
func lanes24(n int) (x []float64, z [][]float64) {
	r := rand.New(rand.NewPCG(1, 2))
	x = make([]float64, 24)
	for i := range x {
		x[i] = 648 * (1 - math.Exp2(-float64(i+1)/12))
	}
	for k := range n {
		lane := make([]float64, 24)
		for i := range lane {
			lane[i] = .008*r.NormFloat64() + 1e-4*x[i]
		}
		for range k % 5 {
			lane[r.IntN(24)] += .05 * r.Float64()
		}
		z = append(z, lane)
	}
	return x, z
}

func BenchmarkZone(b *testing.B) {
	x, z := lanes24(1000)
	b.ReportAllocs()
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		r, err := Zone(x, z[i%1000])
		if err != nil {
			b.Fatal(err)
		}
		sum += r.WidthMM
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "lanes/s")
	if sum == 0 {
		b.Fatal("no zone")
	}
}

func BenchmarkReferenceLine(b *testing.B) {
	x, z := lanes24(1000)
	for i := 0; b.Loop(); i++ {
		if _, _, err := ReferenceLine(x, z[i%1000]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLaneVerdict(b *testing.B) {
	x, z := lanes24(1000)
	cov := mat.NewSymDense(24, nil)
	for i := range 24 {
		cov.SetSym(i, i, 9e-6)
	}
	for i := 0; b.Loop(); i++ {
		if _, err := LaneVerdict(x, z[i%1000], cov, 0.03, 1); err != nil {
			b.Fatal(err)
		}
	}
}
