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
	y := Yardstick{x: x, limitMM: limitMM, us: make([]float64, 0, triples(len(x))), least: math.Inf(1)}
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
	switch zone := zone(y.x, z); {
	case y.level(z, zone):
		return Level
	case zone.WidthMM-contrastPoint*y.least > y.limitMM && y.exceeds(z, -contrastPoint):
		return NotLevel
	}
	return InDoubt
}

// Level reports whether Verdict is Level.
func (y Yardstick) Level(z []float64) bool { return y.level(z, zone(y.x, z)) }

// level reports whether every three crowns lie within the limit, each at 95 %. Those
// that hold the zone open are looked at first.
func (y Yardstick) level(z []float64, zone ZoneResult) bool {
	if zone.WidthMM+levelFactor*y.most <= y.limitMM {
		return true
	}
	d := zone.J - zone.I
	at := triples(len(z)) - triples(len(z)-zone.I) + (d-2)*(d-1)/2 + zone.K - zone.I - 1
	return zone.WidthMM+levelFactor*y.us[at] <= y.limitMM && !y.exceeds(z, levelFactor)
}

// exceeds reports whether some three crowns stand wider than the limit, with so many
// of their uncertainties added.
func (y Yardstick) exceeds(z []float64, factor float64) bool {
	at, x := 0, y.x
	for i := range x {
		for j := i + 2; j < len(x); j++ {
			slope := (z[j] - z[i]) / (x[j] - x[i])
			for k, u := range y.us[at:][:j-i-1] {
				if math.Abs(z[i+1+k]-z[i]-slope*(x[i+1+k]-x[i]))+factor*u > y.limitMM {
					return true
				}
			}
			at += j - i - 1
		}
	}
	return false
}
