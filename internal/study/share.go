package study

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the action that a share of the necks can be set to.
type Level struct {
	Share     float64 // 0.9: nine necks in ten
	ActionMM  float64
	LowMM     float64 // the range that holds the true value, had all necks been
	HighMM    float64 // drawn, with 95 % confidence; High is infinite where the draws are too few to say
	NoneClear bool    // so many necks do not clear at any action: the action is infinite
}

// confidence of the ranges.
const confidence = 0.95

// LevelOf is the least action at or under which a share of the necks lies: the
// order statistic of rank ⌈share·n⌉. Its range is between two order statistics,
// free of any law of distribution: the number of necks under the true value is
// binomial.
// Source: W. J. Conover, Practical Nonparametric Statistics, on confidence
// intervals for a quantile (from memory); checked by TestLevelOf_Coverage.
func LevelOf(actionMM []float64, share float64) Level {
	sorted := slices.Clone(actionMM)
	slices.Sort(sorted)
	n := len(sorted)
	l := Level{Share: share, ActionMM: sorted[rankOf(share, n)]}
	b := distuv.Binomial{N: float64(n), P: share}
	low, high := binomialQuantile(b, (1-confidence)/2), binomialQuantile(b, (1+confidence)/2)
	l.LowMM, l.HighMM = math.Inf(-1), math.Inf(1)
	if low > 0 {
		l.LowMM = sorted[low-1]
	}
	if high < n {
		l.HighMM = sorted[high]
	}
	l.NoneClear = math.IsInf(l.ActionMM, 1)
	return l
}

// rankOf is the index, from 0, of the order statistic of rank ⌈share·n⌉.
func rankOf(share float64, n int) int {
	return min(n, max(1, int(math.Ceil(share*float64(n)-1e-9)))) - 1
}

// binomialQuantile is the least count whose probability of not being exceeded is
// at least p.
func binomialQuantile(b distuv.Binomial, p float64) int {
	low, high := 0, int(b.N)
	for low < high {
		if mid := (low + high) / 2; b.CDF(float64(mid)) >= p {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}

// redraws is how often necks are drawn anew from those at hand.
const redraws = 400

// Difference is by how much a share's action rises from a to b, both of the same
// necks in the same order, and its standard uncertainty for having drawn so few:
// the spread of the difference over sets of necks drawn anew, with replacement,
// from these (the bootstrap, B. Efron, Ann. Statist. 7 (1979) 1). Not a number
// where too many necks do not clear at any action.
func Difference(ctx context.Context, a, b []float64, share float64, seed uint64) (mm, u float64, err error) {
	n := len(a)
	orders := [2][]int{order(a), order(b)}
	rank := rankOf(share, n)
	mm = b[orders[1][rank]] - a[orders[0][rank]]
	rng := rand.New(rand.NewPCG(seed, math.MaxUint64))
	times := make([]int, n)
	sum, squares := 0.0, 0.0
	for range redraws {
		if ctx.Err() != nil {
			return 0, 0, ctx.Err()
		}
		clear(times)
		for range n {
			times[rng.IntN(n)]++
		}
		d := b[atRank(orders[1], times, rank)] - a[atRank(orders[0], times, rank)] - mm
		sum += d
		squares += d * d
	}
	mean := sum / redraws
	u = math.Sqrt(max(0, squares/redraws-mean*mean) * redraws / (redraws - 1))
	if math.IsInf(mm, 0) || math.IsNaN(mm) {
		return math.NaN(), math.NaN(), nil
	}
	return mm, u, nil
}

// order lists the necks by action.
func order(v []float64) []int {
	o := make([]int, len(v))
	for i := range o {
		o[i] = i
	}
	slices.SortStableFunc(o, func(i, j int) int {
		switch {
		case v[i] < v[j]:
			return -1
		case v[i] > v[j]:
			return 1
		}
		return 0
	})
	return o
}

// atRank is the neck of a rank, from 0, each neck counting so many times.
func atRank(order, times []int, rank int) int {
	for _, k := range order {
		if rank -= times[k]; rank < 0 {
			return k
		}
	}
	return order[len(order)-1]
}
