package gauge

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/num"
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
	Reference float64 `json:"reference"`
	N         int     `json:"readings"`
	Mean      float64 `json:"bias"`   // of readings less reference
	SD        num.Opt `json:"sd"`     // missing for one reading
	U         num.Opt `json:"u"`      // standard uncertainty of Mean, the block's own included
	Limits    Limits  `json:"limits"` // of Mean
	P         num.Opt `json:"p"`      // chance of such a bias where there is none
	Detected  bool    `json:"beyond_chance"`
}

// Linearity is what blocks say of a gauge: its bias at each, and the line of
// bias over size.
type Linearity struct {
	Blocks        []Bias  `json:"blocks"`
	Intercept     float64 `json:"intercept"` // bias = Intercept + Slope × reference
	InterceptU    float64 `json:"intercept_u"`
	InterceptP    num.Opt `json:"intercept_p"` // chance of such an intercept where there is none
	Slope         float64 `json:"slope"`
	SlopeU        float64 `json:"slope_u"`
	SlopeP        num.Opt `json:"slope_p"`
	Correlation   num.Opt `json:"correlation"` // of intercept and slope
	R2            float64 `json:"r2"`
	ResidualSD    float64 `json:"residual_sd"`
	BendP         num.Opt `json:"bend_p"` // chance that block means stray so far from the line by scatter alone; missing for 2 blocks or single readings
	Repeatability num.Opt `json:"-"`      // standard deviation within blocks; missing for single readings
	Step          float64 `json:"-"`      // a step that the gauge has to judge, set by Judge: the zone, or else 0.1 mm
}

// Farthest is the block that the gauge reads farthest off.
func (l Linearity) Farthest() Bias {
	worst := l.Blocks[0]
	for _, b := range l.Blocks {
		if math.Abs(b.Mean) > math.Abs(worst.Mean) {
			worst = b
		}
	}
	return worst
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
	line, err := LeastSquares(powers(x, 1), y)
	if err != nil {
		return Linearity{}, err
	}
	l.R2 = 1
	if total := squares(y); total > 0 {
		l.R2 = 1 - line.SS/total
	}
	l.Intercept, l.InterceptU, l.Slope, l.SlopeU = line.Coefficients[0], line.U(0), line.Coefficients[1], line.U(1)
	l.InterceptP = num.Some(tTest(l.Intercept, l.InterceptU, line.DF))
	l.SlopeP = num.Some(tTest(l.Slope, l.SlopeU, line.DF))
	l.Correlation, l.ResidualSD = num.Some(line.correlation(0, 1)), line.Residual
	l.bend(line.SS, groups)
	for i, b := range blocks {
		l.Blocks = append(l.Blocks, biasOf(b, groups[i], l.Repeatability, len(y)-len(groups), confidence))
	}
	return l, nil
}

// bend tests the block means against the line, which leaves squares ss, by the
// scatter within blocks.
func (l *Linearity) bend(ss float64, groups [][]float64) {
	a, err := AnalyseGroups(groups)
	if err != nil {
		return // single readings: no scatter to test by
	}
	l.Repeatability = num.Some(math.Sqrt(a.Within.MS))
	if df := len(groups) - 2; df > 0 {
		lack := math.Max(0, ss-a.Within.SS) / float64(df)
		_, p := fTest(lack, a.Within.MS, df, a.Within.DF)
		l.BendP = num.Some(p)
	}
}

// biasOf judges one block, its scatter being that pooled over all blocks.
func biasOf(b Block, off []float64, pooled num.Opt, df int, confidence float64) Bias {
	v := Bias{Reference: b.Reference, N: len(off), Mean: stat.Mean(off, nil)}
	if len(off) > 1 {
		v.SD = num.Some(stat.StdDev(off, nil))
	}
	scatter, known := pooled.Get()
	if !known {
		return v
	}
	u, free := Combine([]Share{{U: scatter / math.Sqrt(float64(len(off))), DF: float64(df)}, {U: b.U, DF: math.Inf(1)}})
	half := u * Coverage(free, confidence)
	v.U, v.Limits = num.Some(u), limitsOf(v.Mean-half, v.Mean+half)
	v.P = num.Some(tTest(v.Mean, u, int(math.Min(free, 1e9))))
	v.Detected = math.Abs(v.Mean) > half
	return v
}

// correlation is that of two coefficients of a fit.
func (f Fit) correlation(i, j int) float64 {
	return f.Covariance.At(i, j) / (f.U(i) * f.U(j))
}
