package straight

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// Constants of the lane's verdict, tuned by simulation so that on a lane whose
// true zone equals the limit each of `level` and `not level` is said in at most
// 6 % of readings (TestLaneVerdict_AtTheLimit).
const (
	// Noise widens a zone, so a zone that reads as small as this is level
	// already: the one-sided 95 % point of the normal.
	levelFactor = 1.645
	// The three crowns that read as the widest are chosen by their errors too,
	// so `not level` takes the 99 % point.
	notLevelFactor = 2.326
	// Fresh errors added to crowns that have theirs widen the zone by less than
	// the first errors did: by √2 − 1 = 0.41 of it where many crowns compete, by
	// all of it where it grows with the variance. Twice what they add covers
	// every lane tried.
	biasFactor = 2
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
// or zero. seed makes the draws repeatable. With b what fresh errors drawn from
// cov add to the zone on average, a lane is level where zone + 1.645·u ≤ limit,
// u being no less than that of the crowns that hold the zone open in the draws;
// not level where zone − 2·b − 2.326·u > limit; else in doubt. ErrCovariance:
// cov has another size or is no covariance; otherwise errors as Zone.
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
	mean, u := noise.zones(x, z, cov, seed)
	width := j.Zone.WidthMM
	j.UnbiasedMM = 2*width - mean
	switch {
	case width+levelFactor*math.Max(u, j.UZoneMM) <= limitMM:
		j.Verdict = Level
	case width-biasFactor*(mean-width)-notLevelFactor*j.UZoneMM > limitMM:
		j.Verdict = NotLevel
	}
	return j, nil
}

// noise draws errors of a lane's crowns.
type noise struct {
	root *mat.Dense // rank × n, rootᵀ·root = covariance; nil where there is none
}

// zones adds fresh errors to z again and again: the mean width of the zones, and
// the root mean square uncertainty of the crowns that hold them open.
func (e noise) zones(x, z []float64, cov mat.Symmetric, seed uint64) (mean, u float64) {
	if e.root == nil {
		return zone(x, z).WidthMM, 0
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
		q := zone(x, drawn)
		mean += q.WidthMM / draws
		qu := q.U(cov)
		u += qu * qu / draws
	}
	return mean, math.Sqrt(u)
}
