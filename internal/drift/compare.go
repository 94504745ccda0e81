package drift

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// Difference says whether the parts of a split differ in their mean, or share.
type Difference struct {
	Test      string  `json:"test"`
	F         num.Opt `json:"f,omitzero"`
	ChiSquare num.Opt `json:"chi_square,omitzero"`
	P         float64 `json:"p"`
}

// Real says whether they differ by more than chance.
func (d Difference) Real() bool { return d.P < 0.05 }

// Differ compares the parts of a series: means by analysis of variance, shares
// and counts by chi-square, as the main chart's kind wants. Nil where that
// cannot be told.
func Differ(kind Kind, parts []Part) *Difference {
	var levels []Level
	var sums, outOf []float64
	for _, p := range parts {
		values := p.Series.Values()
		levels = append(levels, LevelOf(values))
		sums = append(sums, floats.Sum(values))
		n := float64(len(values))
		if kind == KindProportion {
			n = 0
			for _, point := range p.Series.Points {
				n += float64(point.OutOf)
			}
		}
		outOf = append(outOf, n)
	}
	var d Difference
	var v float64
	switch kind {
	case KindProportion:
		d.Test = "chi-square of shares"
		v, d.P = SharesDiffer(sums, outOf)
		d.ChiSquare = num.Some(v)
	case KindCount:
		d.Test = "chi-square of counts"
		v, d.P = CountsDiffer(sums, outOf)
		d.ChiSquare = num.Some(v)
	default:
		d.Test = "analysis of variance"
		v, d.P = ANOVA(levels)
		d.F = num.Some(v)
	}
	if math.IsNaN(d.P) {
		return nil
	}
	return &d
}

// ANOVA says whether groups of necks stand at different levels: F of a
// one-way analysis of variance from each group's size, mean and scatter, and
// its p. Groups of no neck are passed over; NaN where fewer than two are left,
// or where nothing scatters.
//
// Source: textbook; checked by TestANOVA_SiRstv against NIST's
// certified analysis.
func ANOVA(groups []Level) (f, p float64) {
	var n, k, sum, within float64
	for _, g := range groups {
		if g.N == 0 {
			continue
		}
		k++
		n += float64(g.N)
		sum += float64(g.N) * g.Mean.OrNaN()
		if g.N > 1 {
			within += float64(g.N-1) * g.SD.OrNaN() * g.SD.OrNaN()
		}
	}
	if k < 2 || n <= k || !(within > 0) {
		return math.NaN(), math.NaN()
	}
	var between float64
	for _, g := range groups {
		if g.N > 0 {
			off := g.Mean.OrNaN() - sum/n
			between += float64(g.N) * off * off
		}
	}
	f = between / (k - 1) / (within / (n - k))
	return f, distuv.F{D1: k - 1, D2: n - k}.Survival(f)
}

// LevelOf is the level of plain values, not held against anything: P is missing.
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
	l.Mean, l.P = num.Some(l.Mean.OrNaN()+first), num.Opt{}
	return l
}

// SharesDiffer says whether groups differ in the share of faulty ones: Pearson's
// chi-square of bad[i] out of outOf[i], and its p. NaN where all or none are
// faulty, or fewer than two groups hold any.
//
// Source: NIST/SEMATECH e-Handbook 7.4.5; checked by TestSharesDiffer_NIST.
func SharesDiffer(bad, outOf []float64) (chi2, p float64) {
	all, looked, k := total(bad, outOf)
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
	all, looked, k := total(faults, pieces)
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

// total sums up the groups that hold any, and counts them.
func total(bad, outOf []float64) (all, looked, groups float64) {
	for i, n := range outOf {
		if n > 0 {
			groups++
			all += bad[i]
			looked += n
		}
	}
	return all, looked, groups
}
