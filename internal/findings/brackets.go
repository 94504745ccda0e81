package findings

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/feelers"
	"ringtrue/internal/heights"
	"ringtrue/internal/straight"
)

// byBrackets judges the lane again by the range that its brackets allow: zone
// and uncertainty cover that range, a verdict is said where all of it agrees,
// and each crown is as uncertain as all brackets may be wrong together.
func (j *Lane) byBrackets(limitMM float64, b *feelers.Lane) error {
	if b == nil {
		return nil
	}
	j.Brackets = b
	j.excess = make([]float64, len(j.U))
	cov := mat.NewSymDense(len(j.U), nil)
	cov.CopySym(j.Cov)
	for i, u := range b.U {
		j.excess[i] = math.Sqrt(math.Max(0, u*u-cov.At(i, i)))
		cov.SetSym(i, i, math.Max(u*u, cov.At(i, i)))
	}
	j.Cov, j.Parts = cov, widened(j.Parts, j.excess)
	if err := j.measure(limitMM); err != nil {
		return err
	}
	j.Judged.Verdict = b.Range.Verdict(limitMM)
	if b.Open && j.Judged.Verdict == straight.Level {
		j.Judged.Verdict = straight.InDoubt
	}
	middle := b.Range.MiddleMM()
	j.Judged.Zone.WidthMM, j.Judged.UnbiasedMM, j.Judged.UZoneMM = middle, middle, b.Range.UMM()
	return nil
}

// alike is how far errors of brackets of one fret are taken to be alike across
// its lanes. They may all go one way, or opposite ways at its ends; half-way
// guards a fret's mean and its tilt.
const alike = 0.5

// sharedExcess is the covariance, in mm², of what brackets may be wrong by at two
// crowns of different lanes.
func sharedExcess(p, q Lane, i, j int) float64 {
	if p.excess == nil || q.excess == nil || p.Frets[i] != q.Frets[j] {
		return 0
	}
	return alike * p.excess[i] * q.excess[j]
}

// noise is a crown's uncertainty without what brackets may be wrong by, mm: that
// is no long wave, so a crown is no surer beside its neighbours.
func (l *Lane) noise(i int) float64 {
	if l.excess == nil {
		return l.U[i]
	}
	return math.Sqrt(math.Max(0, l.U[i]*l.U[i]-l.excess[i]*l.excess[i]))
}

// widened are a crown's explanations with what brackets may be wrong by.
func widened(parts [][]heights.Part, excess []float64) [][]heights.Part {
	out := make([][]heights.Part, len(parts))
	for i, list := range parts {
		for _, p := range list {
			p.UMM = math.Hypot(p.UMM, excess[i])
			out[i] = append(out[i], p)
		}
	}
	return out
}
