package heights

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// tied gathers what readings say of n crowns, a row a reading, and keeps no more
// of it than a triangle: the R of a QR factorisation, row by row by Givens'
// rotations (Golub and Van Loan, Matrix Computations, 5.2.5, from memory). Its cost
// is linear in readings.
type tied struct {
	n int
	r []float64 // n × n, upper
}

func newTied(n int) *tied { return &tied{n: n, r: make([]float64, n*n)} }

// add takes in a row, which it changes.
func (t *tied) add(row []float64) {
	for i := range t.n {
		if row[i] == 0 {
			continue
		}
		own := t.r[i*t.n : (i+1)*t.n]
		h := math.Hypot(own[i], row[i])
		c, s := own[i]/h, row[i]/h
		for k := i; k < t.n; k++ {
			own[k], row[k] = c*own[k]+s*row[k], c*row[k]-s*own[k]
		}
	}
}

// rank is how many combinations of the crowns the rows fix.
func (t *tied) rank() int {
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(t.n, t.n, t.r), mat.SVDNone) {
		return 0
	}
	// Of the largest singular value no reading ties so loosely; readings weigh about
	// 1, so where that is less, nothing is fixed but by rounding.
	const negligible = 1e-9
	values := svd.Values(nil)
	rank := 0
	for _, v := range values {
		if v > negligible*max(1, values[0]) {
			rank++
		}
	}
	return rank
}

// withoutSetup is what a pass's rows say of n crowns whatever its offset and tilt,
// which are the rows' last two columns: the rows are turned until two of them
// alone have a part in these, and those two are left out. A pass over one crown
// has no tilt to tell.
func withoutSetup(rows [][]float64, n int) [][]float64 {
	for _, col := range []int{n, n + 1} {
		if len(rows) == 0 {
			return nil
		}
		most := 0.0
		for _, row := range rows {
			most = math.Max(most, math.Abs(row[col]))
		}
		if most < 1e-9 {
			continue
		}
		first := rows[0]
		for _, row := range rows[1:] {
			h := math.Hypot(first[col], row[col])
			if h == 0 {
				continue
			}
			c, s := first[col]/h, row[col]/h
			for k := range first {
				first[k], row[k] = c*first[k]+s*row[k], c*row[k]-s*first[k]
			}
		}
		rows = rows[1:]
	}
	for i := range rows {
		rows[i] = rows[i][:n]
	}
	return rows
}
