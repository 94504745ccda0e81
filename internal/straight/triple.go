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
	return noise.beyond(x, cov, seed, sharpest)
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
	most := make([]float64, widestDraws)
	e.contrasts(x, cov, seed, func(a, b, c *[widestDraws]float64, scale, p, q float64) bool {
		for d := range most {
			if v := math.Abs(scale*a[d] - p*b[d] - q*c[d]); v > most[d] {
				most[d] = v
			}
		}
		return true
	})
	slices.Sort(most)
	return most[widestPlace]
}

// widestPlace is the draw of widest, in order.
const widestPlace = int(Confidence * widestDraws)

// beyond reports whether a contrast in its uncertainty is larger than widest: hardly
// any draw has one as large. Most that are not are met after a few contrasts.
func (e noise) beyond(x []float64, cov mat.Symmetric, seed uint64, sharpest float64) bool {
	if e.root == nil {
		return sharpest > notLevelLeast
	}
	var asLarge [widestDraws]bool
	n := 0
	e.contrasts(x, cov, seed, func(a, b, c *[widestDraws]float64, scale, p, q float64) bool {
		for d := range a {
			if math.Abs(scale*a[d]-p*b[d]-q*c[d]) >= sharpest && !asLarge[d] {
				asLarge[d] = true
				n++
			}
		}
		return n < widestDraws-widestPlace
	})
	return n < widestDraws-widestPlace
}

// contrasts draws errors and calls do for every three crowns: the middle one's
// errors times scale, less the others' times p and q, are the contrast in its
// uncertainty, draw by draw. It stops where do says so.
func (e noise) contrasts(x []float64, cov mat.Symmetric, seed uint64, do func(a, b, c *[widestDraws]float64, scale, p, q float64) bool) {
	rank, n := e.root.Dims()
	r := rand.New(rand.NewPCG(seed, uint64(n)+1))
	drawn := make([][widestDraws]float64, n) // of each crown
	one := make([]float64, n)
	for d := range widestDraws {
		clear(one)
		for k := range rank {
			g := r.NormFloat64()
			for i, v := range e.root.RawRowView(k) {
				one[i] += g * v
			}
		}
		for i, v := range one {
			drawn[i][d] = v
		}
	}
	zero := make([]float64, n)
	eachTriple(x, zero, cov, func(i, k, j int, w, _, variance float64) bool {
		if variance <= 0 {
			return true
		}
		scale := 1 / math.Sqrt(variance)
		return do(&drawn[k], &drawn[i], &drawn[j], scale, w*scale, (1-w)*scale)
	})
}
