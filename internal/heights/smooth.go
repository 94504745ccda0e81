package heights

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// bend is a prior equation across a fret: the crown's slope changes at the
// middle one of three neighbouring lanes by 0 ± τ·√spacing.
type bend struct {
	crowns  [3]int
	weights [3]float64
	spacing float64 // mean distance to both neighbours, 1 on six lanes over the full spread
	value   float64 // of the lanes' own estimates, less the line common to all frets
}

// surface is the bend of the intended board's surface.
func (b bend) surface(c *crowns) (v float64) {
	for k, i := range b.crowns {
		v += b.weights[k] * c.list[i].surface
	}
	return v
}

// bendsOf lists the three-lane equations of every fret, fret by fret; none
// where the lanes are taken apart.
func bendsOf(c *crowns) [][]bend {
	if c.apart {
		return nil
	}
	byFret := map[int][]int{}
	last := 0
	for i, k := range c.list {
		byFret[k.fret] = append(byFret[k.fret], i)
		last = max(last, k.fret)
	}
	var out [][]bend
	for f := 0; f <= last; f++ {
		at := byFret[f]
		if len(at) < 3 {
			continue
		}
		row := make([]bend, 0, len(at)-2)
		for k := 1; k+1 < len(at); k++ {
			h1 := c.list[at[k]].t - c.list[at[k-1]].t
			h2 := c.list[at[k+1]].t - c.list[at[k]].t
			row = append(row, bend{
				crowns:  [3]int{at[k-1], at[k], at[k+1]},
				weights: [3]float64{1 / h1, -1/h1 - 1/h2, 1 / h2},
				spacing: (h1 + h2) / 2,
			})
		}
		out = append(out, row)
	}
	return out
}

// The scatter τ of the slope change from lane to lane (lanes a fifth of the
// spread apart) is learned from the readings. Its prior is the range in which
// pressed wire was taken to lie, 2 to 4 µm, left wide: a convention.
const (
	tauMiddleMM = 0.0007 // median of the prior
	tauSpread   = 1.0    // its standard deviation in ln τ
	tauLeastMM  = 0.0003
	tauMostMM   = 0.040
	tauSteps    = 16
	// oddShare of the frets may be bent, pitted or misread, by about slightMM or
	// by about grossMM, without telling anything of the others.
	oddShare = 0.08
	slightMM = 0.012
	grossMM  = 0.06
)

// learnTau is the posterior geometric mean of τ, given the bends of the
// lanes' own estimates and the variance of those. Correlation between frets is
// left out, which only widens the answer.
func learnTau(bends [][]bend, variance []float64) float64 {
	logs := make([]float64, tauSteps)
	taus := make([]float64, tauSteps)
	best := math.Inf(-1)
	prior := distuv.Normal{Mu: math.Log(tauMiddleMM), Sigma: tauSpread}
	for i := range taus {
		share := float64(i) / (tauSteps - 1)
		taus[i] = tauLeastMM * math.Pow(tauMostMM/tauLeastMM, share)
		logs[i] = prior.LogProb(math.Log(taus[i]))
		for _, row := range bends {
			logs[i] += fretLogLikelihood(row, variance, taus[i])
		}
		best = math.Max(best, logs[i])
	}
	sum, weight := 0.0, 0.0
	for i, l := range logs {
		p := math.Exp(l - best)
		sum += p * math.Log(taus[i])
		weight += p
	}
	return math.Exp(sum / weight)
}

// fretLogLikelihood is the log likelihood of one fret's bends, a mixture of a
// usual fret and two kinds of odd ones.
func fretLogLikelihood(row []bend, variance []float64, tau float64) float64 {
	usual := bendLogDensity(row, variance, tau, 0) + math.Log(1-oddShare)
	slight := bendLogDensity(row, variance, tau, slightMM) + math.Log(oddShare/2)
	gross := bendLogDensity(row, variance, tau, grossMM) + math.Log(oddShare/2)
	return floats.LogSumExp([]float64{usual, slight, gross})
}

// bendLogDensity is the normal log density of a fret's bends: noise of the
// crowns, τ, and extra scatter. The covariance is a band of width 2.
func bendLogDensity(row []bend, variance []float64, tau, extra float64) float64 {
	n := len(row)
	if n > maxBends {
		n = maxBends
	}
	var l [maxBends][3]float64 // l[i][0] diagonal, l[i][1], l[i][2] towards i−1, i−2
	var y [maxBends]float64
	logDet, square := 0.0, 0.0
	for i := range n {
		var cov [3]float64
		for d := 0; d <= 2 && d <= i; d++ {
			cov[d] = bendCovariance(row[i], row[i-d], variance)
		}
		cov[0] += (tau*tau + extra*extra) * row[i].spacing
		if i >= 2 {
			l[i][2] = cov[2] / l[i-2][0]
		}
		if i >= 1 {
			l[i][1] = (cov[1] - l[i][2]*l[i-1][1]) / l[i-1][0]
		}
		l[i][0] = math.Sqrt(math.Max(cov[0]-l[i][1]*l[i][1]-l[i][2]*l[i][2], 1e-18))
		v := row[i].value
		if i >= 1 {
			v -= l[i][1] * y[i-1]
		}
		if i >= 2 {
			v -= l[i][2] * y[i-2]
		}
		y[i] = v / l[i][0]
		square += y[i] * y[i]
		logDet += math.Log(l[i][0])
	}
	return -logDet - square/2
}

// maxBends is more than any neck's lanes need: 18 whole lanes and as many between.
const maxBends = 40

func bendCovariance(a, b bend, variance []float64) (v float64) {
	for i, p := range a.crowns {
		for j, q := range b.crowns {
			if p == q {
				v += a.weights[i] * b.weights[j] * variance[p]
			}
		}
	}
	return v
}

// straighten sets each bend's value from the lanes' own heights z. Every lane's
// line is its own, so the bends of three lanes share a line over the frets that
// is no part of any crown. It is fitted by least absolute deviations
// (reweighted), because one misread tilts its whole lane's own estimate. The
// bends are those of a board with the intended surface or of one without,
// whichever leaves less.
func (s *system) straighten(bends [][]bend, z []float64) {
	if s.straightenWith(bends, z, 0) < s.straightenWith(bends, z, coneShare) {
		s.straightenWith(bends, z, 0)
	}
}

// straightenWith takes a share of the intended surface off and returns the sum
// of absolute bends left.
func (s *system) straightenWith(bends [][]bend, z []float64, share float64) (left float64) {
	series := map[[3]int][]*bend{}
	var keys [][3]int
	for _, fret := range bends {
		for k := range fret {
			b := &fret[k]
			b.value = -share * b.surface(s.c)
			var lanes [3]int
			for m, i := range b.crowns {
				b.value += b.weights[m] * z[i]
				lanes[m] = s.laneOf(i)
			}
			if series[lanes] == nil {
				keys = append(keys, lanes)
			}
			series[lanes] = append(series[lanes], b)
		}
	}
	for _, lanes := range keys {
		list := series[lanes]
		x, v := make([]float64, len(list)), make([]float64, len(list))
		for i, b := range list {
			x[i], v[i] = s.scaled(lanes[1], b.crowns[1]), b.value
		}
		at, slope := steadyLine(x, v)
		for i, b := range list {
			b.value -= at + slope*x[i]
			left += math.Abs(b.value)
		}
	}
	return left
}

// steadyLine is a line of nearly least absolute deviations by reweighted least
// squares; exact enough for a scatter.
func steadyLine(x, v []float64) (at, slope float64) {
	const (
		rounds  = 25
		floorMM = 1e-4 // deviations below it weigh alike
	)
	weights := make([]float64, len(x))
	for i := range weights {
		weights[i] = 1
	}
	if len(x) < 3 {
		return stat.Mean(v, nil), 0
	}
	for range rounds {
		at, slope = stat.LinearRegression(x, v, weights, false)
		for i := range x {
			weights[i] = 1 / math.Max(math.Abs(v[i]-at-slope*x[i]), floorMM)
		}
	}
	return at, slope
}
