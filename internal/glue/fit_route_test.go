package glue

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/casetest"
)

// leastBy finds the least sum of squares by gonum's Nelder-Mead over the curve's own
// parameters, F∞, t50 and m, from starts over a grid; where wait is above 0 only
// curves with that wait.
func leastBy(t *testing.T, readings []Push, wait float64) (least, waits float64) {
	t.Helper()
	of := func(x []float64) (sum, wait90 float64) {
		full, m := math.Exp(x[0]), math.Exp(x[1])
		half := wait * math.Pow(9, -1/m)
		if wait <= 0 {
			half = math.Exp(x[2])
		}
		for _, p := range readings {
			d := p.ForceN - full/(1+math.Pow(half/p.Minutes, m))
			sum += d * d
		}
		if m < flattest || m > steepest {
			sum *= 1 + math.Abs(x[1])*1e3
		}
		return sum, half * math.Pow(9, 1/m)
	}
	least = math.Inf(1)
	for _, m := range []float64{-0.7, 0, 0.7, 1.5} {
		for _, half := range []float64{0, 1, 2, 4} {
			start := []float64{math.Log(300), m}
			if wait <= 0 {
				start = append(start, half)
			}
			r, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { v, _ := of(x); return v }}, start,
				&optimize.Settings{Converger: &optimize.FunctionConverge{Relative: 1e-13, Iterations: 200}}, &optimize.NelderMead{})
			if err != nil {
				t.Fatal(err)
			}
			if r.F < least {
				least = r.F
				_, waits = of(r.X)
			}
		}
	}
	return least, waits
}

// TestFitTest_NelderMead takes a second route: gonum's simplex over the curve's own
// parameters finds the same wait and sum of squares, and at each end of the range
// the least sum of squares is the limit, 1 + t²/(n − 3) times the least of all.
func TestFitTest_NelderMead(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	for range 12 {
		readings := curve(FormMinutes(), 300, 2+4*r.Float64(), 0.8+r.Float64(), func(float64) float64 { return 12 * r.NormFloat64() })
		f := FitTest(readings)
		least, wait := leastBy(t, readings, 0)
		left := float64(len(readings) - 3)
		casetest.Near(t, "scatter", f.ScatterN, math.Sqrt(least/left), 1e-4*f.ScatterN)
		casetest.Near(t, "wait", f.WaitMin, wait, 2e-3*wait)
		q := distuv.StudentsT{Sigma: 1, Nu: left}.Quantile(0.975)
		for _, end := range []float64{f.Range.Low, f.Range.High} {
			if end <= 0 || math.IsInf(end, 0) {
				continue
			}
			at, _ := leastBy(t, readings, end)
			casetest.Near(t, "limit", at, least*(1+q*q/left), 2e-3*at)
		}
	}
}
