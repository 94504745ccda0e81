package findings

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/straight"
)

// jointDraws is how many draws the critical value of the whole neck comes from.
const jointDraws = 1000

// critical is how many standard uncertainties a statement on a crown or a fret
// takes so that all of them together hold with 95 %: the 95 % point of the largest
// error over its uncertainty, of all crowns and of the means of each fret and of
// its two halves, drawn from the joint covariance. A bridge's long waves are one
// error, not a hundred.
func (n *Neck) critical() float64 {
	if n.crit == 0 {
		n.crit = n.drawCritical()
	}
	return n.crit
}

func (n *Neck) drawCritical() float64 {
	cov, at := n.jointCov()
	size := cov.SymmetricDim()
	if size == 0 {
		return levelFactor
	}
	sums := n.sumsOf(at, size)
	scale, kept := unitScales(cov, sums)
	if kept == 0 {
		return levelFactor
	}
	var chol mat.PivotedCholesky
	chol.Factorize(cov, rankShare*largest(cov))
	if chol.Rank() == 0 {
		return levelFactor
	}
	most := drawLargest(&chol, sums, scale)
	slices.Sort(most)
	return most[int(straight.Confidence*jointDraws)]
}

// drawLargest draws the crowns' errors and gives the largest sum of each draw, each
// sum times its scale. Crowns are drawn in the order of the pivots, in which the
// root is a triangle.
func drawLargest(chol *mat.PivotedCholesky, sums [][]int, scale []float64) []float64 {
	var upper mat.TriDense
	chol.UTo(&upper)
	size, _ := upper.Dims()
	rows := make([][]float64, chol.Rank())
	for k := range rows {
		rows[k] = make([]float64, size-k)
		for col := range rows[k] {
			rows[k][col] = upper.At(k, k+col)
		}
	}
	pivots := chol.ColumnPivots(nil)
	r := rand.New(rand.NewPCG(seed, 77))
	most := make([]float64, jointDraws)
	pivoted, errs := make([]float64, size), make([]float64, size)
	for d := range most {
		clear(pivoted)
		for k, row := range rows {
			floats.AddScaled(pivoted[k:], r.NormFloat64(), row)
		}
		for col, i := range pivots {
			errs[i] = pivoted[col]
		}
		for s, list := range sums {
			v := 0.0
			for _, i := range list {
				v += errs[i]
			}
			most[d] = max(most[d], math.Abs(v*scale[s]))
		}
	}
	return most
}

// levelFactor is the one-sided 95 % point of the normal.
const levelFactor = 1.645

// rankShare is how small, beside the largest variance, what is left of a variance
// counts as rounding.
const rankShare = 1e-12

func largest(cov mat.Symmetric) (v float64) {
	for i := range cov.SymmetricDim() {
		v = math.Max(v, cov.At(i, i))
	}
	return v
}

// jointCov is the covariance of all crowns, lane by lane, and each lane's first
// place in it.
func (n *Neck) jointCov() (*mat.SymDense, []int) {
	at := make([]int, len(n.Lanes))
	size := 0
	for k, l := range n.Lanes {
		at[k] = size
		size += len(l.Frets)
	}
	if size == 0 {
		return &mat.SymDense{}, at
	}
	cov := mat.NewSymDense(size, nil)
	for a, l := range n.Lanes {
		for i := range l.Frets {
			for b := a; b < len(n.Lanes); b++ {
				for j := range n.Lanes[b].Frets {
					if q := at[b] + j; q >= at[a]+i {
						cov.SetSym(at[a]+i, q, n.covBetween(a, i, b, j))
					}
				}
			}
		}
	}
	return cov, at
}

// covBetween is the covariance of two crowns, in mm².
func (n *Neck) covBetween(a, i, b, j int) float64 {
	if a == b {
		return n.Lanes[a].Cov.At(i, j)
	}
	return n.Estimate.CovBetween(a, i, b, j) + sharedExcess(n.Lanes[a], n.Lanes[b], i, j)
}

// sumsOf are the sums that findings use, as lists of crowns: each by itself, each
// fret's, and those of its treble and its bass half.
func (n *Neck) sumsOf(at []int, size int) [][]int {
	var sums [][]int
	for i := range size {
		sums = append(sums, []int{i})
	}
	for f := n.Layout.FirstFret(); f <= n.Layout.LastFret(); f++ {
		var whole []int
		for k, l := range n.Lanes {
			if i := l.at(f); i >= 0 {
				whole = append(whole, at[k]+i)
			}
		}
		if half := len(whole) / 2; half >= 1 {
			sums = append(sums, whole)
			if half > 1 {
				sums = append(sums, whole[:half], whole[len(whole)-half:])
			}
		}
	}
	return sums
}

// unitScales are what brings each sum to a variance of 1, 0 for one that does not
// vary, and how many do.
func unitScales(cov *mat.SymDense, sums [][]int) (scale []float64, kept int) {
	scale = make([]float64, len(sums))
	for s, list := range sums {
		v := 0.0
		for _, i := range list {
			for _, j := range list {
				v += cov.At(i, j)
			}
		}
		if v > 0 {
			kept++
			scale[s] = 1 / math.Sqrt(v)
		}
	}
	return scale, kept
}

// settle gives each crown its word. Its own 95 % counts where its uncertainty is
// at most a quarter of the zone, the whole neck's 95 % elsewhere; a crown that
// lost all its readings is in doubt, and so is its lane unless it is not level
// without it.
func (n *Neck) settle() error {
	zone := n.Model.Level.Zone
	for k := range n.Lanes {
		l := &n.Lanes[k]
		for i := range l.Frets {
			l.Crown[i] = l.word(i, zone, n.critical)
		}
		if err := l.withoutAside(zone); err != nil {
			return err
		}
	}
	return nil
}

// word is a crown's verdict: a sum over its explanations.
func (l *Lane) word(i int, zone float64, critical func() float64) straight.Verdict {
	switch {
	case l.Aside[i]:
		return straight.InDoubt
	case l.U[i] > zone/4:
		if p := (part{math.Abs(l.Off[i]), l.U[i], critical()}); !p.certain(zone / 2) {
			return straight.InDoubt
		}
		if l.Off[i] > 0 {
			return straight.High
		}
		return straight.Low
	}
	level, high, low := 0.0, 0.0, 0.0
	for _, p := range l.parts(i) {
		a, b, c := straight.ConformanceProbability(l.Off[i]+p.ZMM-l.Z[i], p.UMM, zone)
		level, high, low = level+p.Chance*a, high+p.Chance*b, low+p.Chance*c
	}
	switch {
	case level >= straight.Confidence:
		return straight.Level
	case high >= straight.Confidence:
		return straight.High
	case low >= straight.Confidence:
		return straight.Low
	}
	return straight.InDoubt
}

// withoutAside judges a lane with crowns that lost all their readings by the
// others: never level, and not level only if they are.
func (l *Lane) withoutAside(zone float64) error {
	if !slices.Contains(l.Aside, true) || l.Brackets != nil { // the range was taken without them
		return nil
	}
	var keep []int
	for i, aside := range l.Aside {
		if !aside {
			keep = append(keep, i)
		}
	}
	l.Verdict = straight.InDoubt
	if len(keep) < 3 {
		return nil
	}
	v, err := l.verdictOf(keep, zone, seed)
	if v == straight.NotLevel {
		l.Verdict = v
	}
	return err
}

// verdictOf judges a lane by some of its crowns, three or more.
func (l *Lane) verdictOf(at []int, zone float64, seed uint64) (straight.Verdict, error) {
	x, d := make([]float64, len(at)), make([]float64, len(at))
	cov := mat.NewSymDense(len(at), nil)
	for a, i := range at {
		x[a], d[a] = l.X[i], l.D[i]
		for b, j := range at[:a+1] {
			cov.SetSym(a, b, l.Cov.At(i, j))
		}
	}
	j, err := straight.LaneVerdict(x, d, cov, zone, seed)
	return j.Verdict, err
}

// sidak is no less than any critical value of n statements (Šidák 1967, from
// memory): what needs more is certain without a draw.
func sidak(n int) float64 {
	return distuv.UnitNormal.Quantile(1 - (1-math.Pow(straight.Confidence, 1/float64(max(n, 1))))/2)
}
