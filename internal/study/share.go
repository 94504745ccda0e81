package study

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Level is the lowest action that a share of the necks can be set to; missing
// where that share clears at no action. Low and High hold the value that all
// necks would give, with 95 % confidence; missing where the draws do not bound it.
type Level struct {
	SharePct float64 `json:"share_pct"`
	ActionMM num.Opt `json:"action_mm"`
	LowMM    num.Opt `json:"low_mm"`
	HighMM   num.Opt `json:"high_mm"`
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
	l := Level{SharePct: 100 * share, ActionMM: num.Some(sorted[rankOf(share, n)])}
	b := distuv.Binomial{N: float64(n), P: share}
	low, high := binomialQuantile(b, (1-confidence)/2), binomialQuantile(b, (1+confidence)/2)
	if low > 0 {
		l.LowMM = num.Some(sorted[low-1])
	}
	if high < n {
		l.HighMM = num.Some(sorted[high])
	}
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
	slices.SortStableFunc(o, func(i, j int) int { return cmp.Compare(v[i], v[j]) })
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
