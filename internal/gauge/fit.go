package gauge

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// ErrAlike: the columns of a fit say the same thing, so that it has no one
// answer; such as a line through readings of a single block.
var ErrAlike = errors.New("the readings can't separate the unknowns")

// Fit is a least-squares fit.
type Fit struct {
	Coefficients []float64
	Covariance   *mat.SymDense
	Residual     float64 // standard deviation about the fit
	DF           int
	SS           float64 // sum of squares about the fit
}

// U is the standard uncertainty of a coefficient.
func (f Fit) U(i int) float64 { return math.Sqrt(f.Covariance.At(i, i)) }

// minColumn is how small a column may be beside what the others explain of
// it before it counts as one of them.
const minColumn = 1e-13

// LeastSquares fits y by a sum of columns, those of design (one row a value,
// one column an unknown), all values weighing alike.
//
// There must be more values than unknowns (ErrTooFew), and columns that differ
// (ErrAlike). Columns are scaled to length 1, taken apart by Householder's QR,
// and the answer is mended once by its own residuals.
// Accuracy: 1e-8 relative for collinear data (TestLeastSquares_Longley).
// Source: Golub & Van Loan, Matrix Computations, 5.3 (from memory).
func LeastSquares(design *mat.Dense, y []float64) (Fit, error) {
	n, k := design.Dims()
	if n != len(y) {
		panic("gauge: design and values differ in length")
	}
	if n <= k {
		return Fit{}, fmt.Errorf("%w: %d for %d unknowns", ErrTooFew, n, k)
	}
	scaled, lengths := mat.DenseCopyOf(design), make([]float64, k)
	for j := range k {
		col := scaled.ColView(j)
		lengths[j] = mat.Norm(col, 2)
		if lengths[j] == 0 {
			return Fit{}, ErrAlike
		}
		for i := range n {
			scaled.Set(i, j, scaled.At(i, j)/lengths[j])
		}
	}
	var qr mat.QR
	qr.Factorize(scaled)
	var r mat.Dense
	qr.RTo(&r)
	for j := range k {
		if math.Abs(r.At(j, j)) < minColumn {
			return Fit{}, ErrAlike
		}
	}
	b, e, err := solveAndMend(&qr, scaled, y)
	if err != nil {
		return Fit{}, ErrAlike
	}
	f := Fit{Coefficients: make([]float64, k), DF: n - k, SS: mat.Dot(e, e)}
	f.Residual = math.Sqrt(f.SS / float64(f.DF))
	for j := range k {
		f.Coefficients[j] = b.AtVec(j) / lengths[j]
	}
	f.Covariance = covariance(&r, lengths, f.Residual*f.Residual)
	return f, nil
}

// solveAndMend solves by QR and then once more for the residuals, which it
// returns too.
func solveAndMend(qr *mat.QR, design *mat.Dense, y []float64) (b, e *mat.VecDense, err error) {
	n, k := design.Dims()
	b, e = mat.NewVecDense(k, nil), mat.NewVecDense(n, append([]float64(nil), y...))
	for range 2 {
		var more, fitted mat.VecDense
		if err := qr.SolveVecTo(&more, false, e); err != nil {
			var c mat.Condition
			if !errors.As(err, &c) { // ill-conditioned is not wrong
				return nil, nil, err
			}
		}
		b.AddVec(b, &more)
		fitted.MulVec(design, b)
		e.SubVec(mat.NewVecDense(n, append([]float64(nil), y...)), &fitted)
	}
	return b, e, nil
}

// covariance is s²(RᵀR)⁻¹ with the columns' scale undone.
func covariance(r *mat.Dense, lengths []float64, variance float64) *mat.SymDense {
	k := len(lengths)
	upper := mat.NewTriDense(k, mat.Upper, nil)
	for i := range k {
		for j := i; j < k; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	_ = inverse.InverseTri(upper) // its diagonal has been checked
	cov := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			var sum float64
			for m := j; m < k; m++ {
				sum += inverse.At(i, m) * inverse.At(j, m)
			}
			cov.SetSym(i, j, variance*sum/(lengths[i]*lengths[j]))
		}
	}
	return cov
}

// OneWay is a one-way analysis of variance.
type OneWay struct {
	Between, Within Row
}

// AnalyseGroups tells whether groups of values differ by more than the scatter
// within them. There must be two groups, and a value more than there are
// groups: ErrTooFew.
//
// Source: textbook; checked by TestAnalyseGroups_SiRstv.
func AnalyseGroups(groups [][]float64) (OneWay, error) {
	var all []float64
	for _, g := range groups {
		all = append(all, g...)
	}
	if len(groups) < 2 || len(all) <= len(groups) {
		return OneWay{}, fmt.Errorf("%w: %d in %d groups", ErrTooFew, len(all), len(groups))
	}
	grand := stat.Mean(all, nil)
	var between, within float64
	for _, g := range groups {
		if len(g) == 0 {
			return OneWay{}, fmt.Errorf("%w: an empty group", ErrTooFew)
		}
		m := stat.Mean(g, nil)
		between += float64(len(g)) * (m - grand) * (m - grand)
		for _, v := range g {
			within += (v - m) * (v - m)
		}
	}
	a := OneWay{
		Between: newRow("between", len(groups)-1, between),
		Within:  newRow("within", len(all)-len(groups), within),
	}
	a.Between.against(a.Within)
	return a, nil
}
