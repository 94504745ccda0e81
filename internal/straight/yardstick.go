package straight

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// contrastPoint stands for the 95 % point of the largest contrast that errors alone
// make, in its uncertainty: drawn lane by lane it is 3.6 to 3.8 where crowns err each by
// itself, and less where they err together.
const contrastPoint = 3.7

// Yardstick judges heights of one lane as LaneVerdict does, with the uncertainty of
// every three crowns worked out once: for thousands of heights that a lane may yet be
// read with, all of one covariance. Not level is said a little less often: see
// contrastPoint.
type Yardstick struct {
	x       []float64
	limitMM float64
	us      []float64 // of every three crowns, in the order of eachTriple
	least   float64   // of us
	most    float64
}

// NewYardstick works out the uncertainties. Arguments and errors as of LaneVerdict.
func NewYardstick(x []float64, cov mat.Symmetric, limitMM float64) (Yardstick, error) {
	zero := make([]float64, len(x))
	if err := check(x, zero, 3); err != nil {
		return Yardstick{}, err
	}
	if err := checkCov(cov, len(x)); err != nil {
		return Yardstick{}, err
	}
	n := len(x)
	y := Yardstick{x: x, limitMM: limitMM, us: make([]float64, 0, n*(n-1)*(n-2)/6), least: math.Inf(1)}
	eachTriple(x, zero, cov, func(_, _, _ int, _, _, variance float64) bool {
		u := math.Sqrt(variance)
		y.us = append(y.us, u)
		y.least, y.most = math.Min(y.least, u), math.Max(y.most, u)
		return true
	})
	return y, nil
}

// Verdict judges heights z, one for each x.
func (y Yardstick) Verdict(z []float64) Verdict {
	width := zone(y.x, z).WidthMM
	switch {
	case width+levelFactor*y.most <= y.limitMM:
		return Level
	case width <= y.limitMM:
		if y.level(z) {
			return Level
		}
	case width-contrastPoint*y.least > y.limitMM && y.notLevel(z):
		return NotLevel
	}
	return InDoubt
}

// level reports whether every three crowns lie within the limit, each at 95 %.
func (y Yardstick) level(z []float64) bool {
	at, x := 0, y.x
	for i := range x {
		for j := i + 2; j < len(x); j++ {
			slope := (z[j] - z[i]) / (x[j] - x[i])
			for k := i + 1; k < j; k++ {
				if math.Abs(z[k]-z[i]-slope*(x[k]-x[i]))+levelFactor*y.us[at] > y.limitMM {
					return false
				}
				at++
			}
		}
	}
	return true
}

// notLevel reports whether some three crowns surely stand wider than the limit.
func (y Yardstick) notLevel(z []float64) bool {
	at, x := 0, y.x
	for i := range x {
		for j := i + 2; j < len(x); j++ {
			slope := (z[j] - z[i]) / (x[j] - x[i])
			for k := i + 1; k < j; k++ {
				if math.Abs(z[k]-z[i]-slope*(x[k]-x[i]))-contrastPoint*y.us[at] > y.limitMM {
					return true
				}
				at++
			}
		}
	}
	return false
}
