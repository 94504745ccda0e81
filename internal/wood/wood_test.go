package wood

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/material"
)

func emc(t testing.TB, tempC, rh float64) float64 {
	t.Helper()
	m, err := Equilibrium(tempC, rh)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func celsius(f float64) float64 { return (f - 32) / 1.8 }

// TestEquilibrium_Table42 is the whole of the Wood Handbook's Table 4-2 as it
// was read: the Celsius form keeps to 0.06 of it.
func TestEquilibrium_Table42(t *testing.T) {
	read := 0
	for _, r := range casetest.Published(t, "emc_table") {
		m := emc(t, celsius(casetest.Number(t, r["temp_f"])), casetest.Number(t, r["rh_pct"]))
		tol := 0.06
		if !strings.HasPrefix(r["status"], "read") {
			tol = 0.15 // from memory: no more than plausible
		} else {
			read++
		}
		if want := casetest.Number(t, r["emc_table_pct"]); math.Abs(m-want) > tol {
			t.Errorf("%s F, %s %%: %.3f, table %g", r["temp_f"], r["rh_pct"], m, want)
		}
		if want := casetest.Number(t, r["emc_eq_c_pct"]); math.Abs(m-want) > 0.0006 {
			t.Errorf("%s F, %s %%: %.4f, recomputed %g", r["temp_f"], r["rh_pct"], m, want)
		}
	}
	if read != 193 {
		t.Errorf("%d cells read in the handbook, want 193", read)
	}
}

// TestEquilibrium_cases is EMC-T, EMC-E, EMC-X2 and -X3: each case's inputs are
// read from its row.
func TestEquilibrium_cases(t *testing.T) {
	n := 0
	for _, r := range casetest.Published(t, "materials_check_cases") {
		id := r["id"]
		if !strings.HasPrefix(id, "EMC-") || id == "EMC-X1" || strings.HasPrefix(id, "EMC-I") {
			continue
		}
		n++
		in := strings.NewReplacer("T=", "", "RH=", "", "RH ", "", "%", "", ",", "").Replace(r["inputs"])
		if i, j := strings.Index(in, "("), strings.Index(in, ")"); i >= 0 {
			in = in[:i] + in[j+1:]
		}
		f := strings.Fields(in)
		if len(f) != 3 {
			t.Fatalf("%s: inputs %q", id, r["inputs"])
		}
		temp, rh := casetest.Number(t, f[0]), casetest.Number(t, f[2])
		if f[1] == "degF" {
			temp = celsius(temp)
		}
		if m := emc(t, temp, rh); math.Abs(m-casetest.Number(t, r["expected"])) > casetest.Number(t, r["tolerance"]) {
			t.Errorf("%s (%s): %.5f, want %s", id, r["inputs"], m, r["expected"])
		}
	}
	if n != 24+13+2 {
		t.Errorf("%d cases, want 39", n)
	}
}

// TestEquilibrium_FahrenheitForm is EMC-X1: the handbook prints the equation in
// both scales; they differ by 0.0126 at the most.
func TestEquilibrium_FahrenheitForm(t *testing.T) {
	worst := 0.0
	for f := 30.0; f <= 130; f++ {
		for rh := 5.0; rh <= 95; rh++ {
			w := 330 + 0.452*f + 0.00415*f*f
			k := 0.791 + 0.000463*f - 0.000000844*f*f
			k1 := 6.34 + 0.000775*f - 0.0000935*f*f
			k2 := 1.09 + 0.0284*f - 0.0000904*f*f
			worst = math.Max(worst, math.Abs(hydrates(w, k, k1, k2, rh/100)-emc(t, celsius(f), rh)))
		}
	}
	casetest.Checked(t, map[string]float64{"EMC-X1": worst})
}

// TestHumidity_inverse is EMC-I1 and -I2, and there and back over the range.
func TestHumidity_inverse(t *testing.T) {
	inverse := func(temp, m float64) float64 {
		rh, err := Humidity(temp, m)
		if err != nil {
			t.Fatal(err)
		}
		return rh
	}
	casetest.Checked(t, map[string]float64{"EMC-I1": inverse(20, 8), "EMC-I2": inverse(20, 12)})
	rapid.Check(t, func(t *rapid.T) {
		temp, rh := rapid.Float64Range(ColdestC, HottestC).Draw(t, "temp"), rapid.Float64Range(0, 100).Draw(t, "rh")
		m, err := Equilibrium(temp, rh)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Humidity(temp, m)
		if err != nil || math.Abs(back-rh) > 1e-7 {
			t.Fatalf("%g %% gives %g %% moisture, back %g %%, %v", rh, m, back, err)
		}
		if damper, err := Equilibrium(temp, math.Min(100, rh+1)); err != nil || rh < 100 && !(damper > m) {
			t.Fatalf("damper air, drier wood: %g after %g, %v", damper, m, err)
		}
	})
}

func TestEquilibrium_refuses(t *testing.T) {
	for _, c := range []struct {
		temp, rh float64
		want     error
	}{
		{20, -1, ErrHumidity}, {20, 101, ErrHumidity}, {20, math.NaN(), ErrHumidity},
		{-2, 50, ErrTemperature}, {55, 50, ErrTemperature}, {math.NaN(), 50, ErrTemperature}, {math.Inf(1), 50, ErrTemperature},
	} {
		if m, err := Equilibrium(c.temp, c.rh); !errors.Is(err, c.want) {
			t.Errorf("%g C, %g %%: %g, %v; want %v", c.temp, c.rh, m, err, c.want)
		}
	}
	if rh, err := Humidity(20, 60); !errors.Is(err, ErrMoisture) {
		t.Errorf("wood at 60 %%: %g, %v", rh, err)
	}
}

// TestChange_WoodHandbook is DIM-01 to -09: the handbook's example board in its
// three forms, the flooring trade's, partial shrinkage and the saturation's part.
func TestChange_WoodHandbook(t *testing.T) {
	cT := 0.00245
	casetest.Checked(t, map[string]float64{
		"DIM-01": ChangeLinear(232, cT, 8, 11), "DIM-02": 232 + ChangeLinear(232, cT, 8, 11), "DIM-03": ChangeLinear(9.15, cT, 8, 11),
		"DIM-04": Change(232, 7, 30, 8, 11), "DIM-05": ChangeLinear(5, 0.00129, 5, 8),
		"DIM-06": -100 * Change(1, 11.5, 30, 30, 6), "DIM-07": -100 * Change(1, 14.7, 30, 30, 6),
		"DIM-09": Coefficient(9.1, 22),
	})
}

// TestCoefficient_Table135 is DIM-C01 to -C16: printed coefficients from total
// shrinkage.
func TestCoefficient_Table135(t *testing.T) {
	n := 0
	for _, r := range casetest.Published(t, "materials_check_cases") {
		if !strings.HasPrefix(r["id"], "DIM-C") {
			continue
		}
		n++
		_, s, ok := strings.Cut(r["inputs"], "S=")
		if !ok {
			t.Fatalf("%s: inputs %q", r["id"], r["inputs"])
		}
		if c := Coefficient(casetest.Number(t, strings.TrimSuffix(s, "%")), 30); math.Abs(c-casetest.Number(t, r["expected"])) > casetest.Number(t, r["tolerance"]) {
			t.Errorf("%s (%s): %.6f, want %s", r["id"], r["what"], c, r["expected"])
		}
	}
	if n != 16 {
		t.Errorf("%d cases, want 16", n)
	}
}

// TestCoefficient_speciesTable: in the data, shrinkage and coefficient of each
// wood agree, but where the row says that the two are of different material.
func TestCoefficient_speciesTable(t *testing.T) {
	for _, s := range material.AllSpecies() {
		if strings.Contains(s.CoefficientStatus, "implies S_T") {
			continue
		}
		for _, c := range [][2]float64{{s.RadialPct, s.RadialCoeff}, {s.TangentialPct, s.TangentialCoeff}} {
			tol := 6.5e-6
			if s.Name == "teak" { // its coefficients were read in other tables than its shrinkage
				tol = 1.7e-4
			}
			if got := Coefficient(c[0], s.SaturationPct); math.Abs(got-c[1]) > tol {
				t.Errorf("%s: %g %% gives %.6f, table %g", s.Name, c[0], got, c[1])
			}
		}
	}
}

// TestChange_sprout is SPR-01 to -05: a fretboard in dry winter air.
func TestChange_sprout(t *testing.T) {
	casetest.Checked(t, map[string]float64{
		"SPR-01": ChangeLinear(56, Coefficient(5.8, 30), 8.46, 5.36), "SPR-02": Change(56, 5.8, 30, 8.46, 5.36),
		"SPR-03": Change(56, 2.7, 30, 8.46, 5.36), "SPR-04": Change(56, 9.9, 30, 8.46, 5.36),
		"SPR-05": Change(56, 5.8, 30, emc(t, 21.11, 45), emc(t, 21.11, 25)),
	})
}

// TestChange_thereAndBack: the change is the true ratio of two widths, so going
// on from the new width and back again ends where it began.
func TestChange_thereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(2, 15).Draw(t, "S")
		a, b := rapid.Float64Range(0, 30).Draw(t, "from"), rapid.Float64Range(0, 30).Draw(t, "to")
		w := 56 + Change(56, s, 30, a, b)
		if back := w + Change(w, s, 30, b, a); math.Abs(back-56) > 1e-10 {
			t.Fatalf("56 mm becomes %g and again %g", w, back)
		}
	})
}

// TestSlab_Crank is SLB-01 to -10 and the whole table of fractions.
func TestSlab_Crank(t *testing.T) {
	fourier := func(fraction float64) float64 { // by halving, not by the solver
		lo, hi := 0.0, 5.0
		for range 100 {
			if mid := (lo + hi) / 2; MeanFraction(mid) < fraction {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	thin := Slab{ThicknessMM: 0.4}
	glued := Slab{ThicknessMM: 6.35, OneFace: true}
	days, err := glued.Days(0.5)
	if err != nil {
		t.Fatal(err)
	}
	half := days.Likely * 24 * LikelyM2S() / 1e-10 // time goes with 1/D
	casetest.Checked(t, map[string]float64{
		"SLB-01": thin.Fraction(100.0/86400, 1e-10), "SLB-02": MeanFraction(0.125),
		"SLB-03": fourier(0.5), "SLB-04": fourier(0.5) / 4, "SLB-05": fourier(0.9),
		"SLB-06": MeanFraction(0.05), "SLB-06c": CentreFraction(0.05), "SLB-07": MeanFraction(0.1), "SLB-07c": CentreFraction(0.1),
		"SLB-08": MeanFraction(0.5), "SLB-08c": CentreFraction(0.5), "SLB-09": MeanFraction(1), "SLB-09c": CentreFraction(1),
		"SLB-B1": MeanFractionBiot(1, 0.5), "SLB-B2": MeanFractionBiot(1, 1), "SLB-B3": MeanFractionBiot(10, 0.5), "SLB-B4": MeanFractionBiot(0.1, 2),
		"SLB-10": half,
	})
	for _, r := range casetest.Published(t, "slab_diffusion_checks") {
		fo := casetest.Number(t, r["fo_half_thickness"])
		if m, c := MeanFraction(fo), CentreFraction(fo); math.Abs(m-casetest.Number(t, r["mean_fraction"])) > 1e-8 || math.Abs(c-casetest.Number(t, r["centre_fraction"])) > 1e-8 {
			t.Errorf("Fo %g: %.9f and %.9f, want %s and %s", fo, m, c, r["mean_fraction"], r["centre_fraction"])
		}
	}
}

// TestMeanFraction_joins: the two series agree where one hands over, and a
// surface that hardly holds gives the bare slab.
func TestMeanFraction_joins(t *testing.T) {
	below, above := math.Nextafter(shortTime, 0), shortTime
	if a, b := MeanFraction(below), MeanFraction(above); math.Abs(a-b) > 1e-13 {
		t.Errorf("mean jumps from %.16g to %.16g", a, b)
	}
	if a, b := CentreFraction(below), CentreFraction(above); math.Abs(a-b) > 1e-13 {
		t.Errorf("centre jumps from %.16g to %.16g", a, b)
	}
	if a, b := MeanFractionBiot(1e5, 0.3), MeanFraction(0.3); math.Abs(a-b) > 2e-5 {
		t.Errorf("Biot 1e5 gives %g, bare %g", a, b)
	}
}

// TestSlab_differences takes a second route: explicit finite differences, 40
// cells, within 4e-4 of the series.
func TestSlab_differences(t *testing.T) {
	const n, r = 40, 0.4
	u := make([]float64, n+1) // from the face at 0 to the middle at n
	u[0] = 1
	dx := 1.0 / n
	for step, fo := 0, 0.0; fo < 0.25; step++ {
		next := make([]float64, n+1)
		next[0] = 1
		for i := 1; i < n; i++ {
			next[i] = u[i] + r*(u[i-1]-2*u[i]+u[i+1])
		}
		next[n] = u[n] + 2*r*(u[n-1]-u[n])
		u, fo = next, float64(step+1)*r*dx*dx
		mean := -(u[0] + u[n]) / 2
		for _, v := range u {
			mean += v
		}
		if fo > 0.05 && math.Abs(mean*dx-MeanFraction(fo)) > 4e-4 {
			t.Fatalf("Fo %g: differences %g, series %g", fo, mean*dx, MeanFraction(fo))
		}
	}
}

// TestCurvature_Timoshenko holds the layered strip against the closed forms
// and the table of two-layer strips (FIT-01 to -06, -09; the tang's wedge is a
// free strain).
func TestCurvature_Timoshenko(t *testing.T) {
	strip := func(e1, e2, eps float64) []Layer { return []Layer{{2, e1, eps}, {19, e2, 0}} }
	bow := func(e1, e2, eps float64) float64 { return -Sagitta(Curvature(strip(e1, e2, eps)), 466) }
	casetest.Checked(t, map[string]float64{
		"FIT-01": bow(1, 1, 0.005/25), "FIT-02": bow(1, 1, 0.01/25), "FIT-03": bow(1, 1, 0.02/25), "FIT-04": bow(1, 1, 0.05/25),
		"FIT-05": -Curvature(strip(1, 1, 0.0008)), "FIT-06": -Curvature(strip(17.65, 12.6, 0.0008)),
		"FIT-09": -Stress(strip(12600, 12600, 0.0008), 0), "FIT-10": 12600 * 0.0008,
	})
	n := 0
	for _, r := range casetest.Published(t, "backbow_checks") {
		if r["kappa_per_mm"] == "" || strings.HasPrefix(r["kappa_per_mm"], "phi") {
			continue
		}
		n++
		s := strip(casetest.Number(t, r["E1"]), casetest.Number(t, r["E2"]), casetest.Number(t, r["eps0"]))
		if k := -Curvature(s); math.Abs(k-casetest.Number(t, r["kappa_per_mm"])) > 1e-10 {
			t.Errorf("%s: curvature %.10f, want %s", r["case"], k, r["kappa_per_mm"])
		}
		if v := Stress(s, 0) / s[0].ModulusMPa; math.Abs(v-casetest.Number(t, r["layer_stress_over_E"])) > 1e-8 {
			t.Errorf("%s: stress/E %.9f, want %s", r["case"], v, r["layer_stress_over_E"])
		}
	}
	if n < 7 {
		t.Errorf("%d rows of strips", n)
	}
}

// TestStress_balance: whatever the layers, the stresses carry no net force; a
// strip turned over bows the other way; splitting a layer changes nothing.
func TestStress_balance(t *testing.T) {
	layer := rapid.Custom(func(t *rapid.T) Layer {
		return Layer{rapid.Float64Range(0.5, 20).Draw(t, "h"), rapid.Float64Range(5e3, 20e3).Draw(t, "E"), rapid.Float64Range(-1e-3, 1e-3).Draw(t, "eps")}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SliceOfN(layer, 2, 4).Draw(t, "layers")
		force, turned, split := 0.0, make([]Layer, len(s)), []Layer(nil)
		for i, l := range s {
			force += Stress(s, i) * l.ThicknessMM
			turned[len(s)-1-i] = l
			split = append(split, Layer{l.ThicknessMM / 3, l.ModulusMPa, l.FreeStrain}, Layer{2 * l.ThicknessMM / 3, l.ModulusMPa, l.FreeStrain})
		}
		if math.Abs(force) > 1e-6 {
			t.Fatalf("net force %g N/mm", force)
		}
		k := Curvature(s)
		if math.Abs(k+Curvature(turned)) > 1e-15+1e-10*math.Abs(k) || math.Abs(k-Curvature(split)) > 1e-15+1e-10*math.Abs(k) {
			t.Fatalf("curvature %g, turned %g, split %g", k, Curvature(turned), Curvature(split))
		}
	})
}
