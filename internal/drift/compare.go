package drift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// LevelsDiffer says whether groups of necks stand at different levels: F of a
// one-way analysis of variance from each group's size, mean and scatter, and
// its p. Groups of no neck are passed over; NaN where fewer than two are left,
// or where nothing scatters.
//
// Source: textbook; checked by TestLevelsDiffer_SiRstv against NIST's
// certified analysis.
func LevelsDiffer(groups []Level) (f, p float64) {
	var n, k, sum, within float64
	for _, g := range groups {
		if g.N == 0 {
			continue
		}
		k++
		n += float64(g.N)
		sum += float64(g.N) * g.Mean
		if g.N > 1 {
			within += float64(g.N-1) * g.SD * g.SD
		}
	}
	if k < 2 || n <= k || !(within > 0) {
		return math.NaN(), math.NaN()
	}
	var between float64
	for _, g := range groups {
		if g.N > 0 {
			between += float64(g.N) * (g.Mean - sum/n) * (g.Mean - sum/n)
		}
	}
	f = between / (k - 1) / (within / (n - k))
	return f, distuv.F{D1: k - 1, D2: n - k}.Survival(f)
}

// LevelOf is the level of plain values, not held against anything: P is NaN.
func LevelOf(values []float64) Level {
	var c cell
	first := 0.0
	if len(values) > 0 {
		first = values[0] // squares about a value of their own lose no digits
	}
	for _, v := range values {
		c.add(v - first)
	}
	l := c.level()
	l.Mean, l.P = l.Mean+first, math.NaN()
	return l
}

// SharesDiffer says whether groups differ in the share of faulty ones: Pearson's
// chi-square of bad[i] out of outOf[i], and its p. NaN where all or none are
// faulty, or fewer than two groups hold any.
//
// Source: NIST/SEMATECH e-Handbook 7.4.5; checked by TestSharesDiffer_NIST.
func SharesDiffer(bad, outOf []float64) (chi2, p float64) {
	var all, looked, k float64
	for i, n := range outOf {
		if n > 0 {
			k++
			all += bad[i]
			looked += n
		}
	}
	share := all / looked
	if k < 2 || !(share > 0 && share < 1) {
		return math.NaN(), math.NaN()
	}
	for i, n := range outOf {
		if n > 0 {
			d := bad[i] - n*share
			chi2 += d * d / (n * share * (1 - share))
		}
	}
	return chi2, distuv.ChiSquared{K: k - 1}.Survival(chi2)
}

// CountsDiffer says whether groups differ in their mean count: chi-square of
// faults[i] found on pieces[i] against one rate for all, and its p. NaN where
// there is no fault or fewer than two groups hold any piece.
//
// Source: the index of dispersion, Fisher, Statistical Methods for Research
// Workers, section 16 (from memory); with equal pieces it is the chi-square of
// equal shares, which TestCountsDiffer_EqualPieces uses.
func CountsDiffer(faults, pieces []float64) (chi2, p float64) {
	var all, looked, k float64
	for i, n := range pieces {
		if n > 0 {
			k++
			all += faults[i]
			looked += n
		}
	}
	if k < 2 || !(all > 0) {
		return math.NaN(), math.NaN()
	}
	for i, n := range pieces {
		if n > 0 {
			want := n * all / looked
			chi2 += (faults[i] - want) * (faults[i] - want) / want
		}
	}
	return chi2, distuv.ChiSquared{K: k - 1}.Survival(chi2)
}
