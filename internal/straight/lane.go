package straight

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// Constants of the lane's verdict, tuned by simulation so that on a lane whose
// true zone equals the limit each of `level` and `not level` is said in at most
// 5 % of readings (TestLaneVerdict_AtTheLimit).
const (
	// Noise widens a zone, so a zone that reads as small as this is level
	// already: the one-sided 95 % point of the normal.
	levelFactor = 1.645
	// The bias taken off for `not level` is itself read from the same crowns
	// and too small where one crown alone holds the zone open: the 99 % point.
	notLevelFactor = 2.326
	// Draws for the bias. Its standard error, about u/√draws·0.7, is then small
	// beside notLevelFactor·u.
	draws = 100
)

// LaneJudgement is a lane's zone, its uncertainty and what follows.
type LaneJudgement struct {
	Verdict  Verdict
	Zone     ZoneResult
	UZoneMM  float64 // standard uncertainty of the zone
	UnbiasMM float64 // the zone less what noise adds to it on average
}

// LaneVerdict judges a lane's minimum zone against limitMM.
//
// x is in mm, strictly ascending, z the estimated crowns less the shape in mm,
// n ≥ 3; cov their covariance in mm², n × n, which may be singular (free datum)
// or zero. seed makes the draws repeatable. A lane is level where
// zone + 1.645·u ≤ limit, not level where 2·zone − (mean zone of z + noise) −
// 2.326·u > limit, else in doubt. ErrCovariance: cov has another size or is no
// covariance; otherwise errors as Zone.
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
	j.UnbiasMM = 2*j.Zone.WidthMM - noise.meanZone(x, z, seed)
	switch {
	case j.Zone.WidthMM+levelFactor*j.UZoneMM <= limitMM:
		j.Verdict = Level
	case j.UnbiasMM-notLevelFactor*j.UZoneMM > limitMM:
		j.Verdict = NotLevel
	}
	return j, nil
}

// noise draws errors of a lane's crowns.
type noise struct {
	root *mat.Dense // rank × n, rootᵀ·root = covariance; nil where there is none
}

// meanZone is the average zone of z with fresh errors added.
func (e noise) meanZone(x, z []float64, seed uint64) float64 {
	if e.root == nil {
		return zone(x, z).WidthMM
	}
	rank, n := e.root.Dims()
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	drawn, sum := make([]float64, n), 0.0
	for range draws {
		copy(drawn, z)
		for k := range rank {
			g := r.NormFloat64()
			for i, v := range e.root.RawRowView(k) {
				drawn[i] += g * v
			}
		}
		sum += zone(x, drawn).WidthMM
	}
	return sum / draws
}
