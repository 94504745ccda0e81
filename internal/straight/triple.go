package straight

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// eachTriple calls do for every three crowns i < k < j of a lane: what the middle
// one stands off the chord of the others, and that contrast's variance. It stops
// where do says so.
func eachTriple(x, z []float64, cov mat.Symmetric, do func(i, k, j int, w, off, variance float64) bool) {
	for i := range x {
		for j := i + 2; j < len(x); j++ {
			for k := i + 1; k < j; k++ {
				w := (x[j] - x[k]) / (x[j] - x[i])
				v := 1 - w
				s := cov.At(k, k) + w*w*cov.At(i, i) + v*v*cov.At(j, j)
				s += 2 * (w*v*cov.At(i, j) - w*cov.At(i, k) - v*cov.At(k, j))
				if !do(i, k, j, w, z[k]-w*z[i]-v*z[j], math.Max(0, s)) {
					return
				}
			}
		}
	}
}

// surelyLevel reports whether every three crowns lie within the limit, each at
// 95 %: an intersection–union test, which is at 95 % as a whole with no further
// correction (Berger 1982, from memory).
func surelyLevel(x, z []float64, cov mat.Symmetric, limitMM float64) bool {
	level := true
	eachTriple(x, z, cov, func(_, _, _ int, _, off, variance float64) bool {
		level = math.Abs(off)+levelFactor*math.Sqrt(variance) <= limitMM
		return level
	})
	return level
}

// surelyNot reports whether some three crowns surely stand wider than the limit,
// at 95 % for all of them together: the critical value is the 95 % point of the
// largest contrast that errors alone make, in its uncertainty. It is drawn only
// where bounds leave it open.
func surelyNot(x, z []float64, cov mat.Symmetric, limitMM float64, noise noise, seed uint64) bool {
	sharpest := 0.0
	eachTriple(x, z, cov, func(_, _, _ int, _, off, variance float64) bool {
		if over := math.Abs(off) - limitMM; over > 0 {
			sharpest = math.Max(sharpest, over/math.Sqrt(math.Max(variance, 1e-300)))
		}
		return true
	})
	n := len(x)
	all := float64(n*(n-1)*(n-2)) / 6
	switch {
	case sharpest < notLevelLeast:
		return false
	case sharpest > distuv.UnitNormal.Quantile(1-(1-Confidence)/(2*all)): // Bonferroni: no critical value is larger
		return true
	}
	return sharpest > noise.widest(x, cov, seed)
}

// notLevelLeast is no more than any critical value of a largest contrast: that of
// a single one.
const notLevelLeast = 1.9599639845400545

// widestDraws is how many draws the critical value comes from.
const widestDraws = 300

// widest is the 95 % point of the largest |contrast|/u that errors alone make.
func (e noise) widest(x []float64, cov mat.Symmetric, seed uint64) float64 {
	if e.root == nil {
		return notLevelLeast
	}
	rank, n := e.root.Dims()
	r := rand.New(rand.NewPCG(seed, uint64(n)+1))
	most := make([]float64, widestDraws)
	drawn := make([][widestDraws]float64, n) // of each crown
	for d := range widestDraws {
		for k := range rank {
			g := r.NormFloat64()
			for i, v := range e.root.RawRowView(k) {
				drawn[i][d] += g * v
			}
		}
	}
	zero := make([]float64, n)
	eachTriple(x, zero, cov, func(i, k, j int, w, _, variance float64) bool {
		if variance <= 0 {
			return true
		}
		scale := 1 / math.Sqrt(variance)
		a, b, c := &drawn[k], &drawn[i], &drawn[j]
		p, q := w*scale, (1-w)*scale
		for d := range most {
			if v := math.Abs(scale*a[d] - p*b[d] - q*c[d]); v > most[d] {
				most[d] = v
			}
		}
		return true
	})
	slices.Sort(most)
	return most[int(Confidence*widestDraws)]
}
