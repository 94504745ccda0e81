package readplan

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/num"
)

// Shape is how a fret's crowns may lie across the neck: a curve with these
// standard deviations, in mm. t runs from 1 at the treble lane to −1 at the bass.
type Shape struct {
	OffsetMM float64 // the whole fret
	TiltMM   float64 // times t
	ArchMM   float64 // times t² − ½
	KinkMM   float64 // change of slope at each inner lane, of a lane a fifth of the neck from the next
}

// hinges are, for each inner lane, a bend there of one lane's width, less its
// least-squares line over the lanes.
func hinges(t []float64) [][]float64 {
	const apart = 0.4 // six lanes from −1 to 1
	var out [][]float64
	for k := 1; k+1 < len(t); k++ {
		c := make([]float64, len(t))
		for i := range t {
			c[i] = math.Max(0, t[i]-t[k]) / apart
		}
		spacing := math.Abs(t[k+1]-t[k-1]) / 2
		num.Detrend(t, c)
		for i := range c {
			c[i] *= math.Sqrt(spacing / apart)
		}
		out = append(out, c)
	}
	return out
}

// Cov is the covariance of one fret's crowns in the lanes at t, mm².
func (s Shape) Cov(t []float64) *mat.SymDense {
	n := len(t)
	cov := mat.NewSymDense(n, nil)
	bends := hinges(t)
	for i := range n {
		for j := i; j < n; j++ {
			v := s.OffsetMM*s.OffsetMM + s.TiltMM*s.TiltMM*t[i]*t[j] + s.ArchMM*s.ArchMM*(t[i]*t[i]-0.5)*(t[j]*t[j]-0.5)
			for _, c := range bends {
				v += s.KinkMM * s.KinkMM * c[i] * c[j]
			}
			cov.SetSym(i, j, v)
		}
	}
	return cov
}
