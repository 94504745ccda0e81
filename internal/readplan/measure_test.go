package readplan

// What tests alone measure.

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// After is what is known once the sets have been read as well. ErrReadings: a set
// names a lane or fret that is not there, or has no uncertainty.
func (k *Known) After(sets ...Set) (*Known, error) {
	g, err := k.gainOf(sets)
	if err != nil || g == nil {
		return k, err
	}
	cov := mat.NewSymDense(k.Cov.SymmetricDim(), nil)
	cov.CopySym(k.Cov)
	rows, _ := g.moves.Dims()
	for i := range rows {
		cov.SymRankOne(cov, -1, g.moves.RowView(i))
	}
	return &Known{Lanes: k.Lanes, Cov: cov, from: k.from}, nil
}

// FreeDatum takes each lane's mean and slope out of the covariance, as no gauge
// here sees them.
func (k *Known) FreeDatum() *Known {
	n := k.Cov.SymmetricDim()
	p := mat.NewDense(n, n, nil)
	for l, lane := range k.Lanes {
		g := slopeOf(lane.XMM)
		for i := range g {
			for j := range g {
				v := -1/float64(len(g)) - g[i]*g[j]
				if i == j {
					v++
				}
				p.Set(k.from[l]+i, k.from[l]+j, v)
			}
		}
	}
	var pc, pcp mat.Dense
	pc.Mul(p, k.Cov)
	pcp.Mul(&pc, p.T())
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			cov.SetSym(i, j, (pcp.At(i, j)+pcp.At(j, i))/2)
		}
	}
	return &Known{Lanes: k.Lanes, Cov: cov, from: k.from}
}

// Uncertainty is the largest and the root mean square standard uncertainty of
// the crowns, mm.
func (k *Known) Uncertainty() (largest, rms float64) {
	n := k.Cov.SymmetricDim()
	for i := range n {
		v := math.Max(0, k.Cov.At(i, i))
		largest = math.Max(largest, v)
		rms += v / float64(n)
	}
	return math.Sqrt(largest), math.Sqrt(rms)
}

// Prior is what is known of a neck before it is read: every fret lies by the
// same shape, each by itself. lanes must all have the same frets, and t has a
// place for each of them.
func Prior(lanes []Lane, t []float64, s Shape) *Known {
	frets := len(lanes[0].Frets)
	n := frets * len(lanes)
	cov := mat.NewSymDense(n, nil)
	one := s.Cov(t)
	for a := range lanes {
		for b := a; b < len(lanes); b++ {
			for f := range frets {
				cov.SetSym(a*frets+f, b*frets+f, one.At(a, b))
			}
		}
	}
	k, err := NewKnown(lanes, cov)
	if err != nil {
		panic(err) // the sizes are its own
	}
	return k
}
