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
	n := len(x)
	flat := make([]float64, n*n) // its upper half; an interface's call a number is too slow
	for i := range n {
		for j := i; j < n; j++ {
			flat[i*n+j] = cov.At(i, j)
		}
	}
	for i := range x {
		a := flat[i*n : (i+1)*n]
		for j := i + 2; j < n; j++ {
			for k := i + 1; k < j; k++ {
				w := (x[j] - x[k]) / (x[j] - x[i])
				s := variance(flat[k*n+k], a[i], flat[j*n+j], a[j], a[k], flat[k*n+j], w)
				if !do(i, k, j, w, z[k]-w*z[i]-(1-w)*z[j], s) {
					return
				}
			}
		}
	}
}

// variance is that of z_k − w·z_i − (1−w)·z_j.
func variance(kk, ii, jj, ij, ik, kj, w float64) float64 {
	v := 1 - w
	s := kk + w*w*ii + v*v*jj
	s += 2 * (w*v*ij - w*ik - v*kj)
	return math.Max(0, s)
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
	all := float64(triples(len(x)))
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
