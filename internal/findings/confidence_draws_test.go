package findings

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The draws are those of the plain product: normal numbers times the root of the
// covariance times the sums as rows over the crowns.
func TestDrawLargest_AsPlainProduct(t *testing.T) {
	const size, free = 20, 17 // three directions do not vary
	r := rand.New(rand.NewPCG(4, 12))
	part := mat.NewDense(size, free, nil)
	for i := range size {
		for k := range free {
			part.Set(i, k, r.NormFloat64())
		}
	}
	var full mat.Dense
	full.Mul(part, part.T())
	cov := mat.NewSymDense(size, nil)
	for i := range size {
		for k := i; k < size; k++ {
			cov.SetSym(i, k, full.At(i, k))
		}
	}
	sums := [][]int{{0}, {7}, {19}, {3, 4, 5}, {0, 6, 12, 18}}
	scale, kept := unitScales(cov, sums)
	var chol mat.PivotedCholesky
	chol.Factorize(cov, rankShare*largest(cov))
	if rank := chol.Rank(); rank != free || kept != len(sums) {
		t.Fatalf("rank %d, %d sums kept", rank, kept)
	}
	var upper mat.TriDense
	chol.UTo(&upper)
	root, rows := mat.NewDense(free, size, nil), mat.NewDense(size, len(sums), nil)
	for col, i := range chol.ColumnPivots(nil) {
		for k := range min(free, col+1) {
			root.Set(k, i, upper.At(k, col))
		}
	}
	for s, list := range sums {
		for _, i := range list {
			rows.Set(i, s, scale[s])
		}
	}
	g := rand.New(rand.NewPCG(seed, 77))
	for d, got := range drawLargest(&chol, sums, scale) {
		normal := mat.NewDense(1, free, nil)
		for k := range free {
			normal.Set(0, k, g.NormFloat64())
		}
		var drawn mat.Dense
		drawn.Product(normal, root, rows)
		want := 0.0
		for _, v := range drawn.RawRowView(0) {
			want = math.Max(want, math.Abs(v))
		}
		if !(math.Abs(got-want) <= 1e-12*want) {
			t.Fatalf("draw %d: %v, want %v", d, got, want)
		}
	}
}
