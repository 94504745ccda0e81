package gauge

// What tests alone measure.

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// At returns the fitted value for one row of the design, and its standard
// uncertainty.
func (f Fit) At(row []float64) (value, u float64) {
	x := mat.NewVecDense(len(row), append([]float64(nil), row...))
	return mat.Dot(x, mat.NewVecDense(len(f.Coefficients), append([]float64(nil), f.Coefficients...))),
		math.Sqrt(mat.Inner(x, f.Covariance, x))
}
