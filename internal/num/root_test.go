package num

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestRoot_closedForms(t *testing.T) {
	for _, c := range []struct {
		name    string
		f       func(float64) float64
		a, b, x float64
	}{
		{"cos x = x", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607},    // OEIS A003957
		{"x^3 - 2x - 5", func(x float64) float64 { return x*x*x - 2*x - 5 }, 2, 3, 2.0945514815423265}, // Wallis 1685; OEIS A007493
		{"flat at the root", func(x float64) float64 { return math.Pow(x-1, 9) }, 0, 3, 1},
		{"a step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, 0, 1, 0.3},
		{"root at the end", func(x float64) float64 { return x }, 0, 1, 0},
	} {
		for _, turned := range []bool{false, true} {
			a, b := c.a, c.b
			if turned {
				a, b = b, a
			}
			x, err := Root(c.f, a, b, 1e-14)
			if tol := 1e-12; err != nil || math.Abs(x-c.x) > tol && math.Abs(c.f(x)) > 1e-100 {
				t.Errorf("%s: %.17g, %v; want %.17g", c.name, x, err, c.x)
			}
		}
	}
}

func TestRoot_errors(t *testing.T) {
	if _, err := Root(func(x float64) float64 { return x*x + 1 }, -1, 1, 0); !errors.Is(err, ErrNoBracket) {
		t.Errorf("%v, want ErrNoBracket", err)
	}
	if _, err := Root(func(x float64) float64 { return math.Sqrt(x) - 2 }, -1, 9, 0); !errors.Is(err, ErrNoRoot) {
		t.Errorf("%v, want ErrNoRoot", err)
	}
	hole := func(x float64) float64 { // no number in the middle, where no end shows it
		if math.Abs(x) < 0.9 {
			return math.NaN()
		}
		return x
	}
	if _, err := Root(hole, -1, 1, 0); !errors.Is(err, ErrNoRoot) {
		t.Errorf("a hole in the middle: %v, want ErrNoRoot", err)
	}
}

// TestRoot_cubics: the root of a rising cubic with a known root is found
// wherever the bracket lies about it.
func TestRoot_cubics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(-100, 100).Draw(t, "root")
		k := rapid.Float64Range(0.01, 10).Draw(t, "slope")
		a := r - rapid.Float64Range(0.001, 50).Draw(t, "below")
		b := r + rapid.Float64Range(0.001, 50).Draw(t, "above")
		x, err := Root(func(x float64) float64 { return (x - r) * (k + (x-r)*(x-r)) }, a, b, 1e-12)
		if err != nil || math.Abs(x-r) > 1e-11 {
			t.Fatalf("%v, %v; want %v", x, err, r)
		}
	})
}
