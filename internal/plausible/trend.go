package plausible

import (
	"math"

	"ringtrue/internal/num"
)

// trend is what some readings say of another: a straight line, or one height
// where the gauge has no line of its own.
type trend struct {
	n    int
	a, b float64 // a + b·(x − mid), mm
	mid  float64
	sxx  float64 // +Inf for one height
	s    float64 // the readings' scatter about it, mm
}

// robust turns the median distance from a centre into a standard deviation, for
// a normal distribution.
const robust = 1.4826

// enough is from how many readings on a trend's scatter is taken from them, and
// a difference of two lanes is used.
const enough = 5

func (t trend) at(x float64) float64 { return t.a + t.b*(x-t.mid) }

// limit is how far a reading at x may lie from the trend unasked: spread times
// the scatter of a prediction there, and never under floor. The leverage of x,
// beyond the readings too, is 1/n + (x−x̄)²/Σ(x−x̄)².
func (t trend) limit(x, floor float64) float64 {
	h := 1/float64(t.n) + (x-t.mid)*(x-t.mid)/t.sxx
	return max(floor, spread*t.s*math.Sqrt(1+h))
}

// spread is how many standard deviations are unasked.
const spread = 4.5

// lineOf is the line of least absolute distances through points, n ≥ 2, with a
// scatter of at least least. It passes through two of them; of several best
// lines it is the first. Order n³ at worst, most pairs being given up early.
func lineOf(x, y []float64, least float64) trend {
	t := about(x)
	if !(t.sxx > 0) {
		return levelOf(y, least)
	}
	best := t.leastSquares(x, y) // no best line is worse: pairs are given up beyond it
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			if x[i] == x[j] {
				continue
			}
			b := (y[j] - y[i]) / (x[j] - x[i])
			a := y[i] - b*(x[i]-t.mid)
			sum := 0.0
			for k := range x {
				if sum += math.Abs(y[k] - a - b*(x[k]-t.mid)); sum >= best {
					break
				}
			}
			if sum < best {
				best, t.a, t.b = sum, a, b
			}
		}
	}
	t.s = scatter(t, x, y, least)
	return t
}

// leastSquares sets the line of least squares and gives its sum of absolute
// distances.
func (t *trend) leastSquares(x, y []float64) (sum float64) {
	for i := range x {
		t.a += y[i] / float64(len(x))
		t.b += y[i] * (x[i] - t.mid) / t.sxx
	}
	for i := range x {
		sum += math.Abs(y[i] - t.at(x[i]))
	}
	return sum
}

func about(x []float64) trend {
	t := trend{n: len(x)}
	for _, v := range x {
		t.mid += v / float64(len(x))
	}
	for _, v := range x {
		t.sxx += (v - t.mid) * (v - t.mid)
	}
	return t
}

// levelOf is the median of heights, n ≥ 1.
func levelOf(y []float64, least float64) trend {
	t := trend{n: len(y), a: num.Median(y), sxx: math.Inf(1)}
	t.s = scatter(t, make([]float64, len(y)), y, least)
	return t
}

func scatter(t trend, x, y []float64, least float64) float64 {
	if len(y) < enough {
		return least
	}
	away := make([]float64, len(y))
	for i := range y {
		away[i] = math.Abs(y[i] - t.at(x[i]))
	}
	return max(least, robust*num.Median(away))
}
