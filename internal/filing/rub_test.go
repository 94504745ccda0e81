package filing

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"
)

// frets are crowns 1 to n of a scale of 640 mm in twelve equal divisions.
func frets(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 640 * (1 - math.Exp2(-float64(i+1)/12))
	}
	return x
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

// Flats by the circle's geometry, worked out by hand.
func TestDepth_Circle(t *testing.T) {
	near(t, "depth", Depth(1.2, 0.685565), 0.05, 1e-7)
	near(t, "u", UDepth(1.2, 2*math.Sqrt(0.01*(2.4-0.01)), 0.05, 0), 0.003248, 5e-7)
	rapid.Check(t, func(t *rapid.T) {
		r, q := rapid.Float64Range(0.3, 3).Draw(t, "r"), rapid.Float64Range(1e-7, 1).Draw(t, "d/r")
		d := q * r
		if got := Depth(r, 2*math.Sqrt(d*(2*r-d))); math.Abs(got-d) > 1e-9*r {
			t.Fatalf("depth %g of %g", got, d)
		}
		if got := sunk(r, segment(r, d)); math.Abs(got-d) > 1e-9*d {
			t.Fatalf("sunk %g of %g", got, d)
		}
	})
}

// The lever: two crowns bear what statics say.
func TestPress_Lever(t *testing.T) {
	x := frets(22)
	z := make([]float64, 22)
	z[4], z[13] = 1, 1
	f := make([]float64, 22)
	press(x, z, 10, x[7], 2000, f)
	near(t, "crown 5", f[4], 6.075358, 1e-6)
	near(t, "crown 14", f[13], 3.924642, 1e-6)
}

// All in line: F·(1/n + (x_p − x̄)(x − x̄)/S_xx).
func TestPress_InLine(t *testing.T) {
	x := frets(22)
	mean := 0.0
	for _, v := range x {
		mean += v / 22
	}
	f := make([]float64, 22)
	press(x, make([]float64, 22), 10, mean+40, 2000, f)
	near(t, "mean", mean, 288.06, 0.005)
	near(t, "crown 1", f[0], 0.171518, 1e-6)
	near(t, "crown 12", f[11], 0.490401, 1e-6)
	near(t, "crown 22", f[21], 0.648008, 1e-6)
}

// Outside check: the same forces where another library finds the least of
// ½k·Σ max(0, z − a − b·u)² + F·a, u from the place pressed.
func TestPress_LeastEnergy(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for range 100 {
		x, z, f := frets(22), make([]float64, 22), make([]float64, 22)
		for i := range z {
			z[i] = 8 * r.NormFloat64() // µm, so that both unknowns are of one size
		}
		at := 200 + 150*r.Float64()
		p := press(x, z, 8, at, 2, f)
		got, err := optimize.Minimize(optimize.Problem{
			Func: func(v []float64) float64 {
				e := 8 * v[0]
				for i := range x {
					e += math.Pow(max(0, z[i]-v[0]-v[1]*(x[i]-at)), 2)
				}
				return e
			},
			Grad: func(grad, v []float64) {
				grad[0], grad[1] = 8, 0
				for i := range x {
					f := 2 * max(0, z[i]-v[0]-v[1]*(x[i]-at))
					grad[0], grad[1] = grad[0]-f, grad[1]-f*(x[i]-at)
				}
			},
		}, []float64{40, 0}, &optimize.Settings{GradientThreshold: 1e-9}, &optimize.BFGS{})
		if err != nil && got == nil {
			t.Fatal(err)
		}
		for i := range f {
			if want := 2 * max(0, z[i]-got.X[0]-got.X[1]*(x[i]-at)); math.Abs(f[i]-want) > 1e-6 {
				t.Fatalf("crown %d: %.12g N in pose %v, by another route %.12g in %v", i+1, f[i], p, want, got.X)
			}
		}
	}
}

// What bears the beam balances it, and no crown pulls.
func TestPress_Balances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := frets(rapid.IntRange(2, 24).Draw(t, "frets"))
		z, f := make([]float64, len(x)), make([]float64, len(x))
		for i := range z {
			z[i] = rapid.Float64Range(-0.1, 0.1).Draw(t, "z")
		}
		last := len(x) - 1
		at := x[0] + rapid.Float64Range(0, 1).Draw(t, "at")*(x[last]-x[0])
		press(x, z, 8, at, 2000, f)
		sum, moment := 0.0, 0.0
		for i, v := range f {
			sum, moment = sum+v, moment+v*(x[i]-at)
		}
		if math.Abs(sum-8) > 1e-8 || math.Abs(moment) > 1e-8*8*(x[last]-x[0]) {
			t.Fatalf("forces %v: %g N, moment %g N mm", f, sum, moment)
		}
	})
}

// Two supports: volumes by the lever, depths by the power 2/3 (closed form).
func TestRub_TwoSupports(t *testing.T) {
	l := newLane([]float64{100, 400}, []float64{0, 0})
	h := Usual(1.2, 8)
	h.SweepMM = 0
	l.rub(&h, -200, 900, 200, 5)
	near(t, "volumes", l.volume[0]/l.volume[1], 2, 1e-3)
	near(t, "depths", l.taken(0)/l.taken(1), 1.587401, 2e-3)
}

// Everything worn off is what Archard's law says of the whole force.
func TestRub_Balance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := frets(rapid.IntRange(3, 24).Draw(t, "frets"))
		z := make([]float64, len(x))
		for i := range z {
			z[i] = rapid.Float64Range(-0.05, 0.05).Draw(t, "z")
		}
		h := Usual(1.2, 8)
		h.SweepMM = 0
		l := newLane(x, z)
		strokes := rapid.Float64Range(0.1, 20).Draw(t, "strokes")
		l.rub(&h, -200, 900, (x[0]+x[len(x)-1])/2, strokes)
		sum := 0.0
		for _, v := range l.volume {
			sum += v * h.StripMM
		}
		if want := h.Kappa * h.ForceN * h.PathMM * strokes; math.Abs(sum-want) > 1e-9*want {
			t.Fatalf("%g mm³, want %g", sum, want)
		}
	})
}

// Level crowns stay level under a hand at their centroid, and tilt under one
// beside it.
func TestRub_LevelStaysLevel(t *testing.T) {
	x := frets(22)
	mean := 0.0
	for _, v := range x {
		mean += v / 22
	}
	h := Usual(1.2, 8)
	h.SweepMM = 0
	l := newLane(x, make([]float64, 22))
	l.rub(&h, -200, 900, mean, 40)
	for i := range x {
		near(t, "depth", l.taken(i), 0.007088403, 5e-6) // there by the series' first term
	}
	l = newLane(x, make([]float64, 22))
	l.rub(&h, -200, 900, mean+40, 40)
	near(t, "depth at 1", l.taken(0), 0.00395, 2e-5)
	near(t, "depth at 22", l.taken(21), 0.00908, 2e-5)
}

// A lone crown: double strokes until 30 µm are off, by the segment of a circle.
func TestRub_LoneCrown(t *testing.T) {
	h := Usual(1.2, 8)
	h.ForceN = 10
	per := h.Kappa * h.ForceN * h.PathMM / h.StripMM
	near(t, "strokes", 4.0/3*math.Sqrt(2.4)*math.Pow(0.03, 1.5)/per, 12.66, 0.005)
	near(t, "strokes by the whole segment", segment(1.2, 0.03)/per, 12.66, 0.06)
}

// The order in which crowns come in and what they lose, by another program that
// was written for it and gives 0.01 µm: with small steps to 0.05 µm, with the usual
// ones to what nobody measures.
func TestRub_Order(t *testing.T) {
	for _, c := range []struct{ stepMM, withinUM float64 }{{0.0002, 0.05}, {Usual(1.2, 8).StepMM, 0.25}} {
		h := Usual(1.2, 8)
		h.SweepMM, h.NPerMM, h.StepMM = 0, 20000, c.stepMM
		l := newLane([]float64{0, 50, 100, 150, 200, 250, 300}, []float64{0, .005, -.005, .012, 0, .008, -.003})
		l.rub(&h, -200, 900, 150, 5)
		for i, want := range []float64{.36, 4.56, 0, 10.06, 0, 4.66, 0} {
			near(t, "after 5", l.taken(i)*1000, want, c.withinUM)
		}
		l.rub(&h, -200, 900, 150, 25)
		for i, want := range []float64{9.87, 14.72, 4.62, 21.44, 9.33, 17.18, 6.08} {
			near(t, "after 30", l.taken(i)*1000, want, c.withinUM)
		}
	}
}

// Smaller steps and a stiffer backing change the metal little: the parameters of the
// reckoning do not count.
func TestRub_StepAndStiffness(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 7))
	x, z := frets(22), make([]float64, 22)
	for i := range z {
		z[i] = 0.012 * r.NormFloat64()
	}
	metal := func(stepMM, nPerMM float64) (sum float64) {
		h := Usual(1.2, 8)
		h.StepMM, h.NPerMM = stepMM, nPerMM
		l := newLane(x, z)
		l.rub(&h, -200, 900, 288, 60)
		for i := range x {
			sum += l.taken(i)
		}
		return sum
	}
	usual := metal(0.0006, 2000)
	near(t, "smaller steps", metal(0.0002, 2000)/usual, 1, 5e-4)
	near(t, "soft backing", metal(0.0006, 500)/usual, 1, 0.012)
	near(t, "stiff backing", metal(0.0002, 10000)/usual, 1, 0.012)
}

func BenchmarkRub(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 7))
	x, z := frets(22), make([]float64, 22)
	for i := range z {
		z[i] = 0.012 * r.NormFloat64()
	}
	h := Usual(1.2, 8)
	for b.Loop() {
		l := newLane(x, z)
		for range 35 {
			l.rub(&h, -200, 900, 288, 3)
		}
	}
}
