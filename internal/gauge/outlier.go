package gauge

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Outlier is one step of a search for outliers: the value that stands farthest
// from the mean of those that are left.
type Outlier struct {
	Index    int     // of the value, from 0
	Distance float64 // from their mean, over their standard deviation
	Critical float64 // what it would have to exceed
}

// Outliers runs the generalised extreme studentised deviate procedure on
// values: of at most most steps it returns all, and how many of the values are
// outliers at significance alpha. Its first step alone is Grubbs' test, both
// sides.
//
// It stops early where the rest does not vary, or is fewer than three.
// Source: Rosner, Technometrics 25 (1983) 165; the approximation holds from
// about 15 values on. Checked by TestOutliers_Rosner1983, TestOutliers_Grubbs.
func Outliers(values []float64, most int, alpha float64) (steps []Outlier, outliers int) {
	left := make([]int, len(values))
	for i := range left {
		left[i] = i
	}
	for range most {
		n := len(left)
		if n < 3 {
			break
		}
		x := make([]float64, n)
		for k, i := range left {
			x[k] = values[i]
		}
		mean, sd := stat.MeanStdDev(x, nil)
		if !(sd > 1e-14*math.Abs(mean)) {
			break
		}
		far := 0
		for k := range x {
			if math.Abs(x[k]-mean) > math.Abs(x[far]-mean) {
				far = k
			}
		}
		steps = append(steps, Outlier{
			Index: left[far], Distance: math.Abs(x[far]-mean) / sd, Critical: GrubbsCritical(n, alpha/2),
		})
		left = append(left[:far:far], left[far+1:]...)
	}
	for i, s := range steps {
		if s.Distance > s.Critical {
			outliers = i + 1
		}
	}
	return steps, outliers
}

// GrubbsCritical is the distance from the mean, in standard deviations, that
// the farthest of n >= 3 normal values exceeds on one given side with
// probability alpha.
//
// Source: Grubbs & Beck, Technometrics 14 (1972) 847; ASTM E178. Checked by
// TestGrubbsCritical_Published.
func GrubbsCritical(n int, alpha float64) float64 {
	m := float64(n)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: m - 2}.Quantile(1 - alpha/m)
	return (m - 1) / math.Sqrt(m) * math.Sqrt(t*t/(m-2+t*t))
}
