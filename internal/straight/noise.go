package straight

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrCovariance says that a covariance has the wrong size or cannot be one.
var ErrCovariance = errors.New("no covariance of these crowns")

// rankShare is how small, beside the largest variance, what is left of a
// variance counts as rounding when the covariance is taken apart.
const rankShare = 1e-12

// newNoise takes a covariance apart: Cholesky with pivots, which stops where
// the rest is rounding, so that a free datum's two missing directions do no
// harm. Source: Golub and Van Loan, Matrix Computations, 4.2.8 (from memory).
func newNoise(cov mat.Symmetric, n int) (noise, error) {
	if err := checkCov(cov, n); err != nil {
		return noise{}, err
	}
	largest := 0.0
	for i := range n {
		largest = math.Max(largest, cov.At(i, i))
	}
	if largest == 0 {
		return noise{}, nil
	}
	var chol mat.PivotedCholesky
	chol.Factorize(cov, rankShare*largest) // false only says that it is singular
	rank := chol.Rank()
	if rank == 0 {
		return noise{}, nil
	}
	var upper mat.TriDense
	chol.UTo(&upper)
	pivots := chol.ColumnPivots(nil)
	root := mat.NewDense(rank, n, nil)
	for col, row := range pivots {
		for k := range min(rank, col+1) {
			root.Set(k, row, upper.At(k, col))
		}
	}
	return noise{root}, nil
}

// checkCov refuses what is no covariance of n crowns.
func checkCov(cov mat.Symmetric, n int) error {
	if cov == nil || cov.SymmetricDim() != n {
		return fmt.Errorf("%w: its size is not %d", ErrCovariance, n)
	}
	largest := 0.0
	for i := range n {
		for k := range i + 1 {
			if v := cov.At(i, k); math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("%w: it is not finite at crown %d", ErrCovariance, i+1)
			}
		}
		largest = math.Max(largest, cov.At(i, i))
	}
	for i := range n {
		if cov.At(i, i) < -rankShare*largest {
			return fmt.Errorf("%w: crown %d has a variance below 0", ErrCovariance, i+1)
		}
	}
	return nil
}
