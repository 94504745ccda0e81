package straight

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

const (
	// levelFactor is the one-sided 95 % point of the normal.
	levelFactor = 1.645
	// Draws for the bias; more change no verdict that a new seed would not.
	draws = 100
)

// LaneJudgement is a lane's zone, its uncertainty and what follows.
type LaneJudgement struct {
	Verdict    Verdict
	Zone       ZoneResult
	UZoneMM    float64 // standard uncertainty of the zone
	UnbiasedMM float64 // the zone less what noise adds to it on average
}

// LaneVerdict judges a lane's minimum zone against limitMM.
//
// x is in mm, strictly ascending, z the estimated crowns less the shape in mm,
// n ≥ 3; cov their covariance in mm², n × n, which may be singular (free datum)
// or zero. seed makes the draws repeatable. A lane is level where every three
// crowns lie within the limit at 95 %; not level where some three stand wider, at
// 95 % for all of them together; else in doubt. ErrCovariance: cov has another
// size or is no covariance; otherwise errors as Zone.
func LaneVerdict(x, z []float64, cov mat.Symmetric, limitMM float64, seed uint64) (LaneJudgement, error) {
	if err := check(x, z, 3); err != nil {
		return LaneJudgement{}, err
	}
	if math.IsNaN(limitMM) || limitMM < 0 {
		return LaneJudgement{}, fmt.Errorf("%w: the limit", ErrNotFinite)
	}
	noise, err := newNoise(cov, len(x))
	if err != nil {
		return LaneJudgement{}, err
	}
	j := LaneJudgement{Verdict: InDoubt, Zone: zone(x, z)}
	j.UZoneMM = j.Zone.U(cov)
	mean := noise.zones(x, z, seed)
	width := j.Zone.WidthMM
	j.UnbiasedMM = 2*width - mean
	switch {
	case surelyLevel(x, z, cov, limitMM):
		j.Verdict = Level
	case surelyNot(x, z, cov, limitMM, noise, seed):
		j.Verdict = NotLevel
	}
	return j, nil
}

// noise draws errors of a lane's crowns.
type noise struct {
	root *mat.Dense // rank × n, rootᵀ·root = covariance; nil where there is none
}

// zones adds fresh errors to z again and again: the mean width of the zones.
func (e noise) zones(x, z []float64, seed uint64) (mean float64) {
	if e.root == nil {
		return zone(x, z).WidthMM
	}
	rank, n := e.root.Dims()
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	drawn := make([]float64, n)
	for range draws {
		copy(drawn, z)
		for k := range rank {
			g := r.NormFloat64()
			for i, v := range e.root.RawRowView(k) {
				drawn[i] += g * v
			}
		}
		mean += zone(x, drawn).WidthMM / draws
	}
	return mean
}
