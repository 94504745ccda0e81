package glue

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
)

// curve are readings of a known curve at the form's times, with errors that noise
// draws for a force.
func curve(times []float64, full, half, m float64, noise func(force float64) float64) (all []Push) {
	for _, t := range times {
		f := full / (1 + math.Pow(half/t, m))
		all = append(all, Push{Minutes: t, ForceN: math.Max(0, f+noise(f))})
	}
	return all
}

func exact(float64) float64 { return 0 }

// TestFitTest_knownCurve: readings without error give the curve back, and the wait
// in closed form: t50·9^(1/m).
func TestFitTest_knownCurve(t *testing.T) {
	for _, c := range []struct{ full, half, m float64 }{{300, 3, 1}, {120, 12, 1.6}, {450, 1.5, 0.8}} {
		f := FitTest(curve(FormMinutes(), c.full, c.half, c.m, exact))
		want := c.half * math.Pow(9, 1/c.m)
		if f.Verdict != Fitted || f.Readings != 10 || f.Times != 7 {
			t.Errorf("%+v", f)
		}
		casetest.Near(t, "wait", f.WaitMin, want, 1e-3*want)
		casetest.Near(t, "full", f.FullN, c.full, 1e-3*c.full)
		casetest.Near(t, "half", f.HalfMin, c.half, 1e-3*c.half)
		casetest.Near(t, "power", f.Power, c.m, 1e-3*c.m)
		casetest.Near(t, "at the wait", f.ForceN(want), 0.9*c.full, 1e-3*c.full)
		casetest.Near(t, "at t50", f.ForceN(c.half), c.full/2, 2e-3*c.full)
		if !(f.Range.Low <= f.WaitMin && f.WaitMin <= f.Range.High && f.Range.High < 1.01*f.Range.Low) {
			t.Errorf("range %+v", f.Range)
		}
	}
}

// TestFitTest_coverage: over 200 draws of the form's ten readings the range holds
// the true wait 95 times in 100 (within what 200 draws leave open), with errors of
// one size, and in at least as many with errors that grow with the force; and never
// is a plateau claimed where the truth lies far beyond the last reading.
func TestFitTest_coverage(t *testing.T) {
	const draws = 200
	for _, c := range []struct {
		what          string
		half, m       float64
		noise         func(r *rand.Rand, force float64) float64
		least, atMost float64
	}{
		{"one size", 3, 1, func(r *rand.Rand, _ float64) float64 { return 15 * r.NormFloat64() }, 0.92, 0.985},
		{"steeper", 10, 1.5, func(r *rand.Rand, _ float64) float64 { return 30 * r.NormFloat64() }, 0.92, 0.985},
		{"in proportion", 3, 1, func(r *rand.Rand, f float64) float64 { return 0.1 * f * r.NormFloat64() }, 0.92, 1},
	} {
		r := rand.New(rand.NewPCG(7, 15))
		truth := c.half * math.Pow(9, 1/c.m)
		held, fitted, right := 0, 0, 0
		for range draws {
			f := FitTest(curve(FormMinutes(), 300, c.half, c.m, func(force float64) float64 { return c.noise(r, force) }))
			in := f.Range.Low <= truth && truth <= f.Range.High
			if in {
				held++
			}
			if f.Verdict == Fitted {
				fitted++
				if truth <= f.Range.High {
					right++
				}
			}
		}
		t.Logf("%s: held in %d, fitted %d, of those not too short %d", c.what, held, fitted, right)
		if share := float64(held) / draws; share < c.least || share > c.atMost {
			t.Errorf("%s: held in %.3f of the draws", c.what, share)
		}
		if float64(fitted) < 0.5*draws || float64(right) < 0.94*float64(fitted) {
			t.Errorf("%s: %d fitted, %d not too short", c.what, fitted, right)
		}
	}
}

// TestFitTest_notEnough: too few readings, too few times, no plateau, no force.
func TestFitTest_notEnough(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	noise := func(float64) float64 { return 5 * r.NormFloat64() }
	for _, c := range []struct {
		what     string
		readings []Push
		want     Verdict
	}{
		{"five", curve([]float64{1, 4, 15, 60, 240}, 300, 3, 1, noise), NotEnough},
		{"three times", curve([]float64{1, 1, 4, 4, 15, 15, 15}, 300, 3, 1, noise), NotEnough},
		{"still rising", curve([]float64{0.25, 1, 2, 4, 4, 8, 8}, 300, 60, 1, noise), NoPlateau},
		{"scattered", curve([]float64{1, 2, 4, 8, 16, 30}, 300, 3, 1, func(float64) float64 { return 150 * r.NormFloat64() }), NoPlateau},
		{"none holds", curve(FormMinutes(), 0, 3, 1, exact), NoStrength},
		{"nothing", nil, NotEnough},
	} {
		if f := FitTest(c.readings); f.Verdict != c.want {
			t.Errorf("%s: %+v", c.what, f)
		}
	}
	f := FitTest(curve([]float64{15, 60, 60, 240, 240, 1440}, 300, 0.5, 2, func(float64) float64 { return 5 * r.NormFloat64() }))
	if f.Verdict != Fitted || f.Range.Low != 0 || !(f.Range.High <= 60) {
		t.Errorf("there before the first reading: %+v", f)
	}
}

// TestFitTest_units: forces in another unit, times in another, change the wait in
// the same way or not at all.
func TestFitTest_units(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	a := curve(FormMinutes(), 300, 3, 1, func(float64) float64 { return 15 * r.NormFloat64() })
	b := make([]Push, len(a))
	for i, p := range a {
		b[len(a)-1-i] = Push{Minutes: 60 * p.Minutes, ForceN: p.ForceN / 4.448}
	}
	fa, fb := FitTest(a), FitTest(b)
	casetest.Near(t, "wait", fb.WaitMin, 60*fa.WaitMin, 1e-3*fb.WaitMin)
	casetest.Near(t, "high", fb.Range.High, 60*fa.Range.High, 1e-3*fb.Range.High)
	casetest.Near(t, "full", fb.FullN*4.448, fa.FullN, 1e-3*fa.FullN)
}
