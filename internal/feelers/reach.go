package feelers

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/heights"
)

// part is a pass of an edge, or a rocker's bracket, as package heights takes it
// in: readings at the middle of their brackets with the variance step²/12.
type part struct {
	lane  int         // place in the estimate's lanes
	at    []int       // crowns of the lane that it reads
	w     [][]float64 // a row for each reading: its weights on these crowns
	info  *mat.Dense  // information of the readings, the edge's line taken out
	half  []float64   // of each bracket, mm
	extra []float64   // variance of the hand that package heights leaves out, mm²
}

// partsOf are the parts whose crowns the estimate holds.
func partsOf(e *heights.Estimate, s sorted) []part {
	laneAt := map[float64]int{}
	for k, l := range e.Lanes {
		laneAt[l.Lane] = k
	}
	var out []part
	for _, p := range s.passes {
		if k, known := laneAt[p.setup.Lane]; known {
			if q, ok := edgePart(e.Lanes[k], p); ok {
				q.lane = k
				out = append(out, q)
			}
		}
	}
	for _, t := range s.threes {
		if k, known := laneAt[t.lane]; known && t.bracket {
			if q, ok := rockerPart(e.Lanes[k], t); ok {
				q.lane = k
				out = append(out, q)
			}
		}
	}
	return out
}

// edgePart is a pass less the line of its edge: with R the variances of its
// readings and X the line's offset and slope,
// R⁻¹ − R⁻¹X(XᵀR⁻¹X)⁻¹XᵀR⁻¹.
func edgePart(l heights.Lane, p pass) (part, bool) {
	var q part
	var x, weight []float64
	for _, g := range p.gaps {
		i := slices.Index(l.Frets, g.fret)
		if i < 0 {
			continue
		}
		half, variance := (g.hi-g.lo)/2, 0.0
		extra := g.u * g.u
		if g.stated || half == 0 {
			variance, extra = extra, 0
		}
		variance += half * half / 3
		if variance == 0 {
			return q, false
		}
		q.at, x, weight = append(q.at, i), append(x, l.X[i]), append(weight, 1/variance)
		q.half, q.extra = append(q.half, half), append(q.extra, extra)
	}
	n := len(q.at)
	if n < 3 {
		return q, false
	}
	var sum, mean, sxx float64
	for i, w := range weight {
		sum += w
		mean += w * x[i]
	}
	mean /= sum
	for i, w := range weight {
		sxx += w * (x[i] - mean) * (x[i] - mean)
	}
	q.info = mat.NewDense(n, n, nil)
	for i := range n {
		row := make([]float64, n)
		row[i] = -1 // a gap is the edge less the crown
		q.w = append(q.w, row)
		for j := range n {
			q.info.Set(i, j, -weight[i]*weight[j]*(1/sum+(x[i]-mean)*(x[j]-mean)/sxx))
		}
		q.info.Set(i, i, q.info.At(i, i)+weight[i])
	}
	return q, true
}

func rockerPart(l heights.Lane, t three) (part, bool) {
	i, k, j := slices.Index(l.Frets, t.frets[0]), slices.Index(l.Frets, t.frets[1]), slices.Index(l.Frets, t.frets[2])
	if i < 0 || k < 0 || j < 0 {
		return part{}, false
	}
	w := (l.X[j] - l.X[k]) / (l.X[j] - l.X[i])
	half := (t.hi - t.lo) / 2
	variance := half*half/3 + t.u*t.u
	return part{
		at: []int{i, k, j}, w: [][]float64{{-w, 1, w - 1}},
		info: mat.NewDense(1, 1, []float64{1 / variance}), half: []float64{half}, extra: []float64{0},
	}, true
}

// reach is how far each crown of a lane moves with each bracket's middle, the
// gain of least squares C·Aᵀ·(information), mm per mm: a row a crown, a column a
// bracket.
func reach(e *heights.Estimate, lane int, parts []part) *mat.Dense {
	n, columns := len(e.Lanes[lane].Frets), 0
	for _, p := range parts {
		columns += len(p.half)
	}
	if columns == 0 {
		return nil
	}
	g := mat.NewDense(n, columns, nil)
	column := 0
	for _, p := range parts {
		m := len(p.half)
		left := mat.NewDense(n, m, nil) // C·Aᵀ
		for i := range n {
			for r, weights := range p.w {
				sum := 0.0
				for c, w := range weights {
					if w != 0 {
						sum += w * e.CovBetween(lane, i, p.lane, p.at[c])
					}
				}
				left.Set(i, r, sum)
			}
		}
		into := g.Slice(0, n, column, column+m).(*mat.Dense)
		into.Mul(left, p.info)
		column += m
	}
	return g
}

// halves are the half widths of all brackets, and the variances of the hand
// that the estimate leaves out, in the order of reach's columns.
func halves(parts []part) (half, extra []float64) {
	for _, p := range parts {
		half, extra = append(half, p.half...), append(extra, p.extra...)
	}
	return half, extra
}

// noiseLeft is a lane's covariance with the hand's variance that the estimate
// leaves out put in, that of the brackets being still in it.
func noiseLeft(cov *mat.SymDense, g *mat.Dense, extra []float64) *mat.SymDense {
	n := cov.SymmetricDim()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := cov.At(i, j)
			for b, x := range extra {
				if x > 0 {
					v += g.At(i, b) * g.At(j, b) * x
				}
			}
			out.SetSym(i, j, v)
		}
	}
	return out
}

// spread is the standard uncertainty of each crown: what all brackets may be
// wrong by together over √3, joined with the noise.
func spread(cov *mat.SymDense, g *mat.Dense, half []float64) (u []float64, most float64) {
	n := cov.SymmetricDim()
	u = make([]float64, n)
	for i := range n {
		sum, square := 0.0, 0.0
		for b, h := range half {
			r := math.Abs(g.At(i, b)) * h
			sum += r
			square += r * r
		}
		most = math.Max(most, sum)
		u[i] = math.Sqrt(math.Max(0, cov.At(i, i)-square/3) + sum*sum/3)
	}
	return u, most
}
