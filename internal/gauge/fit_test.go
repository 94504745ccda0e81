package gauge

import (
	"errors"
	"math"
	"testing"

	"ringtrue/internal/casetest"

	"gonum.org/v1/gonum/mat"
)

// certified compares a fit with certified values, relative to these.
func certified(t *testing.T, f Fit, coefficients []float64, residual, tol float64) {
	t.Helper()
	if len(f.Coefficients) != len(coefficients) {
		t.Fatalf("%d coefficients, want %d", len(f.Coefficients), len(coefficients))
	}
	for i, want := range coefficients {
		casetest.Near(t, "coefficient", f.Coefficients[i], want, tol*math.Abs(want))
	}
	casetest.Near(t, "residual sd", f.Residual, residual, tol*residual)
}

func fitted(t *testing.T, d *mat.Dense, y []float64) Fit {
	t.Helper()
	f, err := LeastSquares(d, y)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestLeastSquares_Norris(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_norris")
	f := fitted(t, powers(casetest.Numbers(t, c["x"]), 1), casetest.Numbers(t, c["y"]))
	certified(t, f, []float64{-.262323073774029, 1.00211681802045}, .884796396144373, 1e-10)
	casetest.Near(t, "sd of B0", f.U(0), .232818234301152, 1e-10)
	casetest.Near(t, "sd of B1", f.U(1), .429796848199937e-3, 1e-13)
}

func TestLeastSquares_Pontius(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_pontius")
	f := fitted(t, powers(casetest.Numbers(t, c["x"]), 2), casetest.Numbers(t, c["y"]))
	certified(t, f, []float64{.673565789473684e-3, .732059160401003e-6, -.316081871345029e-14}, .205177424076185e-3, 1e-9)
}

func TestLeastSquares_Longley(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_longley")
	y := casetest.Numbers(t, c["y"])
	d := mat.NewDense(len(y), 7, nil)
	for i := range y {
		d.Set(i, 0, 1)
		for j, name := range []string{"x1", "x2", "x3", "x4", "x5", "x6"} {
			d.Set(i, j+1, casetest.Numbers(t, c[name])[i])
		}
	}
	certified(t, fitted(t, d, y), []float64{
		-3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683,
		-1.03322686717359, -0.511041056535807e-01, 1829.15146461355,
	}, 304.854073561965, 1e-8)
}

func TestLeastSquares_Wampler4(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_wampler4")
	f := fitted(t, powers(casetest.Numbers(t, c["x"]), 5), casetest.Numbers(t, c["y"]))
	certified(t, f, []float64{1, 1, 1, 1, 1, 1}, 236014.502379268, 1e-6)
}

// JCGM 100:2008, H.3: b = y1 + y2 (t − 20).
func TestLeastSquares_GUMH3(t *testing.T) {
	c := casetest.Columns(t, "metro_gum_h3_thermometer")
	x := casetest.Numbers(t, c["t"])
	for i := range x {
		x[i] -= 20
	}
	f := fitted(t, powers(x, 1), casetest.Numbers(t, c["b"]))
	casetest.Near(t, "y1", f.Coefficients[0], -.17120379, 1e-8)
	casetest.Near(t, "y2", f.Coefficients[1], .0021826977, 1e-9)
	casetest.Near(t, "u(y1)", f.U(0), .0029, 5e-5)
	casetest.Near(t, "u(y2)", f.U(1), .00067, 5e-6)
	casetest.Near(t, "r", f.correlation(0, 1), -.930, 5e-4)
	casetest.Near(t, "s", f.Residual, .0035, 5e-5)
	b, u := f.At([]float64{1, 10})
	casetest.Near(t, "b(30)", b, -.1494, 5e-5)
	casetest.Near(t, "u(b(30))", u, .0041, 5e-5)
}

func TestLeastSquares_Refuses(t *testing.T) {
	if _, err := LeastSquares(powers([]float64{1, 1, 1}, 1), []float64{1, 2, 3}); !errors.Is(err, ErrAlike) {
		t.Errorf("one size: %v, want ErrAlike", err)
	}
	if _, err := LeastSquares(powers([]float64{1, 2}, 1), []float64{1, 2}); !errors.Is(err, ErrTooFew) {
		t.Errorf("two values: %v, want ErrTooFew", err)
	}
	if _, err := LeastSquares(powers([]float64{0, 0, 0}, 1), []float64{1, 2, 3}); !errors.Is(err, ErrAlike) {
		t.Errorf("a column of 0: %v, want ErrAlike", err)
	}
}

func TestAnalyseGroups_SiRstv(t *testing.T) {
	c := casetest.Columns(t, "metro_strd_sirstv_anova")
	y := casetest.Numbers(t, c["resistance"])
	var groups [][]float64
	for i, g := range c["instrument"] {
		if i == 0 || g != c["instrument"][i-1] {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], y[i])
	}
	a, err := AnalyseGroups(groups)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "between", a.Between.SS, .0511462616, 1e-8*.0511462616)
	casetest.Near(t, "within", a.Within.SS, .21663656, 1e-8*.21663656)
	casetest.Near(t, "F", a.Between.F.OrNaN(), 1.18046237440255, 1e-8)
	casetest.Near(t, "R²", a.Between.SS/(a.Between.SS+a.Within.SS), .190999039051129, 1e-8)
}
