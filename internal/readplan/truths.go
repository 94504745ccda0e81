package readplan

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// truths draws necks as they may truly lie, given what is known: how far each crown
// stands above its estimate, a row a neck. Crowns err by the covariance. Besides,
// frets are taken to scatter about their lanes' lines each by itself, by as much as
// this neck's frets do, as whole frets and in their tilt: a long wave that readings of three frets
// cannot see is then no likelier than frets that happen to lie so. Without that a
// neck read by a bridge alone would nearly always be drawn bent.
func (d Doubt) truths(draws int) *mat.Dense {
	n := len(d.HeightMM)
	r := rand.New(rand.NewPCG(d.Seed, 1))
	free := mat.NewDense(draws, n, nil)
	for i := range draws {
		row := free.RawRowView(i)
		for j := range row {
			row[j] = r.NormFloat64()
		}
	}
	out := mat.NewDense(draws, n, nil)
	out.Mul(free, rootOf(d.Known.Cov).T())
	var rows, sizes []float64
	for _, weights := range d.across() {
		q := d.fretRows(weights)
		s := scatterOf(d.seenBy(q))
		rows = append(rows, q.RawMatrix().Data...)
		m, _ := q.Dims()
		for range m {
			sizes = append(sizes, s*s)
		}
	}
	d.condition(out, mat.NewDense(len(sizes), n, rows), sizes, r)
	return out
}

// condition narrows drawn errors by what is taken to be so: each row of q, times
// the heights, is 0 with a variance of its own.
func (d Doubt) condition(errs, q *mat.Dense, sizes []float64, r *rand.Rand) {
	m := len(sizes)
	read, both := d.seenBy(q)
	for a := range m {
		both.SetSym(a, a, both.At(a, a)+sizes[a])
	}
	var chol mat.Cholesky
	if !chol.Factorize(both) {
		return // nothing to narrow
	}
	draws, n := errs.Dims()
	pull := mat.NewDense(m, draws, nil)
	pull.Mul(q, errs.T())
	for a := range m {
		row := pull.RawRowView(a)
		for i := range row {
			row[i] += read[a] + math.Sqrt(sizes[a])*r.NormFloat64()
		}
	}
	if err := chol.SolveTo(pull, pull); err != nil {
		return
	}
	var spread, less mat.Dense
	spread.Mul(q, d.Known.Cov)
	less.Mul(pull.T(), &spread)
	for i := range draws {
		row, by := errs.RawRowView(i), less.RawRowView(i)
		for j := range n {
			row[j] -= by[j]
		}
	}
}

// seenBy is what rows of weights make of the heights, and its covariance.
func (d Doubt) seenBy(q *mat.Dense) (values []float64, cov *mat.SymDense) {
	m, _ := q.Dims()
	var spread, seen mat.Dense
	spread.Mul(q, d.Known.Cov)
	seen.Mul(&spread, q.T())
	cov = mat.NewSymDense(m, nil)
	values = make([]float64, m)
	for a := range m {
		for j, v := range q.RawRowView(a) {
			values[a] += v * d.HeightMM[j]
		}
		for b := a; b < m; b++ {
			cov.SetSym(a, b, (seen.At(a, b)+seen.At(b, a))/2)
		}
	}
	return values, cov
}

// across are the weights of the lanes in a fret's height and in its tilt.
func (d Doubt) across() [][]float64 {
	n := len(d.Known.Lanes)
	mean, tilt := make([]float64, n), make([]float64, n)
	sum := 0.0
	for l := range n {
		mean[l] = 1 / float64(n)
		tilt[l] = float64(2*l - n + 1)
		sum += math.Abs(tilt[l])
	}
	if n < 2 {
		return [][]float64{mean}
	}
	for l := range tilt {
		tilt[l] /= sum
	}
	return [][]float64{mean, tilt}
}

// fretRows are weights of lanes as rows over all crowns, one a fret.
func (d Doubt) fretRows(weights []float64) *mat.Dense {
	frets := len(d.Known.Lanes[0].Frets)
	q := mat.NewDense(frets, len(d.HeightMM), nil)
	for f := range frets {
		for l, w := range weights {
			q.Set(f, d.Known.from[l]+f, w)
		}
	}
	return q
}

// scatterOf is the likeliest standard deviation of values that each scatter by
// itself about 0 and were read with errors of a covariance: the best of a grid from
// half a micrometre up.
func scatterOf(values []float64, cov *mat.SymDense) float64 {
	const least, steps, factor = 0.0005, 24, 1.3
	best, at := math.Inf(-1), least
	n := len(values)
	v := mat.NewVecDense(n, values)
	for k := range steps {
		s := least * math.Pow(factor, float64(k))
		sum := mat.NewSymDense(n, nil)
		sum.CopySym(cov)
		for i := range n {
			sum.SetSym(i, i, sum.At(i, i)+s*s)
		}
		var chol mat.Cholesky
		if !chol.Factorize(sum) {
			continue
		}
		solved := mat.NewVecDense(n, nil)
		if chol.SolveVecTo(solved, v) != nil {
			continue
		}
		if l := -chol.LogDet() - mat.Dot(v, solved); l > best {
			best, at = l, s
		}
	}
	return at
}

// rootOf is the lower factor of a covariance that may be singular: what is left of
// a variance counts as none where it is below a nanometre squared.
func rootOf(cov *mat.SymDense) *mat.TriDense {
	const least = 1e-9 // mm
	n := cov.SymmetricDim()
	l := mat.NewTriDense(n, mat.Lower, nil)
	raw := l.RawTriangular()
	row := func(i int) []float64 { return raw.Data[i*raw.Stride : i*raw.Stride+n] }
	for i := range n {
		ri := row(i)
		for j := range i + 1 {
			v := cov.At(i, j) - floats.Dot(ri[:j], row(j)[:j])
			switch {
			case i == j:
				ri[i] = math.Sqrt(math.Max(0, v))
			case row(j)[j] > least:
				ri[j] = v / row(j)[j]
			}
		}
	}
	return l
}
