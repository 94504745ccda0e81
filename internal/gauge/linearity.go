package gauge

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"
)

// Block is the readings of one gauge block, or of another thing whose size is
// known.
type Block struct {
	Reference float64
	U         float64 // standard uncertainty of Reference; 0 where not stated
	Readings  []float64
}

// Bias is how far the gauge reads off at one block.
type Bias struct {
	Reference    float64
	N            int
	Mean, SD     float64 // of readings less reference; SD NaN for one reading
	U, DF        float64 // standard uncertainty of Mean, the block's own included
	Lower, Upper float64 // of Mean
	P            float64 // chance of such a bias where there is none
	Detected     bool    // beyond its limits of confidence
}

// Linearity is what blocks say of a gauge: its bias at each, and the line of
// bias over size.
type Linearity struct {
	Blocks        []Bias
	Line          Fit // bias = Coefficients[0] + Coefficients[1] × reference
	R2            float64
	SlopeP        float64 // chance of such a slope where there is none
	InterceptP    float64
	BendP         float64 // chance that block means stray so far from the line by scatter alone; NaN for 2 blocks or single readings
	Repeatability float64 // standard deviation within blocks; NaN for single readings
}

// AnalyseLinearity takes readings of blocks apart. There must be 2 blocks of
// different size or more, and 3 readings or more in all: ErrTooFew, ErrAlike.
// The limits of each bias have the given confidence.
//
// Source: AIAG MSA 4th ed., chapter III B, "guidelines for determining
// linearity"; checked by TestAnalyseLinearity_AIAG. The line is that of JCGM
// 100:2008 H.3, TestLeastSquares_GUMH3.
func AnalyseLinearity(blocks []Block, confidence float64) (Linearity, error) {
	blocks = append([]Block(nil), blocks...)
	sort.SliceStable(blocks, func(i, j int) bool { return blocks[i].Reference < blocks[j].Reference })
	var l Linearity
	var x, y []float64
	var groups [][]float64
	for _, b := range blocks {
		off := make([]float64, len(b.Readings))
		for i, v := range b.Readings {
			off[i] = v - b.Reference
			x = append(x, b.Reference)
		}
		if err := checkFinite(append([]float64{b.Reference, b.U}, off...)); err != nil {
			return Linearity{}, err
		}
		if len(off) == 0 {
			return Linearity{}, fmt.Errorf("%w: a block without one", ErrTooFew)
		}
		y = append(y, off...)
		groups = append(groups, off)
	}
	if len(blocks) < 2 {
		return Linearity{}, fmt.Errorf("%w: linearity needs 2 blocks or more", ErrTooFew)
	}
	var err error
	if l.Line, err = LeastSquares(powers(x, 1), y); err != nil {
		return Linearity{}, err
	}
	total := squares(y)
	l.R2 = 1
	if total > 0 {
		l.R2 = 1 - l.Line.SS/total
	}
	l.InterceptP = tTest(l.Line.Coefficients[0], l.Line.U(0), l.Line.DF)
	l.SlopeP = tTest(l.Line.Coefficients[1], l.Line.U(1), l.Line.DF)
	l.bend(groups)
	for i, b := range blocks {
		l.Blocks = append(l.Blocks, biasOf(b, groups[i], l.Repeatability, len(y)-len(groups), confidence))
	}
	return l, nil
}

// bend tests the block means against the line by the scatter within blocks.
func (l *Linearity) bend(groups [][]float64) {
	l.BendP, l.Repeatability = math.NaN(), math.NaN()
	a, err := AnalyseGroups(groups)
	if err != nil {
		return // single readings: no scatter to test by
	}
	l.Repeatability = math.Sqrt(a.Within.MS)
	if df := len(groups) - 2; df > 0 {
		lack := math.Max(0, l.Line.SS-a.Within.SS) / float64(df)
		_, l.BendP = fTest(lack, a.Within.MS, df, a.Within.DF)
	}
}

// biasOf judges one block, its scatter being that pooled over all blocks.
func biasOf(b Block, off []float64, pooled float64, df int, confidence float64) Bias {
	v := Bias{Reference: b.Reference, N: len(off), Mean: stat.Mean(off, nil), SD: math.NaN(), P: math.NaN()}
	if len(off) > 1 {
		v.SD = stat.StdDev(off, nil)
	}
	v.U, v.Lower, v.Upper = math.NaN(), math.NaN(), math.NaN()
	if math.IsNaN(pooled) {
		return v
	}
	v.U, v.DF = Combine([]Share{{U: pooled / math.Sqrt(float64(len(off))), DF: float64(df)}, {U: b.U, DF: math.Inf(1)}})
	half := v.U * Coverage(v.DF, confidence)
	v.Lower, v.Upper = v.Mean-half, v.Mean+half
	v.P = tTest(v.Mean, v.U, int(math.Min(v.DF, 1e9)))
	v.Detected = math.Abs(v.Mean) > half
	return v
}

// Correlation is that of two coefficients of a fit.
func (f Fit) Correlation(i, j int) float64 {
	return f.Covariance.At(i, j) / (f.U(i) * f.U(j))
}
