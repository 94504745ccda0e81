package drift

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

func TestConstants_Published(t *testing.T) {
	c := casetest.Columns(t, "metro_spc_constants")
	for i, n := range casetest.Numbers(t, c["n"]) {
		n := int(n)
		casetest.Near(t, "d2", D2(n), casetest.Numbers(t, c["d2"])[i], 6e-10)
		casetest.Near(t, "d3", D3(n), casetest.Numbers(t, c["d3"])[i], 6e-9)
		casetest.Near(t, "c4", C4(n), casetest.Numbers(t, c["c4"])[i], 6e-10)
	}
	// Closed forms.
	casetest.Near(t, "d2(2)", D2(2), 2/math.Sqrt(math.Pi), 1e-12)
	casetest.Near(t, "d3(2)", D3(2), math.Sqrt(2-4/math.Pi), 1e-9)
	casetest.Near(t, "d2(3)", D2(3), 3/math.Sqrt(math.Pi), 1e-12)
	// ASTM E2587 and Montgomery print three decimals.
	for i, d2 := range []float64{1.128, 1.693, 2.059, 2.326, 2.534} {
		casetest.Near(t, "d2 as printed", D2(i+2), d2, 5.1e-4)
	}
	casetest.Near(t, "d2(10)", D2(10), 3.078, 5.1e-4)
}

func TestIndividuals_NISTFlowRate(t *testing.T) {
	x := casetest.Numbers(t, casetest.Columns(t, "metro_spc_nist_flowrate_imr")["x"])
	c, r, err := Individuals(x, Basis{})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "centre", c.Centre, 50.81, 6e-5)
	casetest.Near(t, "mean moving range", r.Centre, 1.8778, 6e-5)
	casetest.Near(t, "lower", c.Lower, 45.8159, 6e-5)
	casetest.Near(t, "upper", c.Upper, 55.8041, 6e-5)
	casetest.Near(t, "upper of the ranges", r.Upper, 3.267*1.8778, 2e-3)
	if len(c.Signals)+len(r.Signals) != 0 || r.Lower != 0 || r.First != 2 {
		t.Errorf("signals %v, %v, ranges from %d above %g; want none, from 2 above 0", c.Signals, r.Signals, r.First, r.Lower)
	}
}

// rings returns the subgroups of the given phase of the piston rings.
func rings(t *testing.T, phases string) (groups [][]float64) {
	t.Helper()
	c := casetest.Columns(t, "metro_spc_pistonrings")
	for i, phase := range c["phase"] {
		if !strings.Contains(phases, phase) {
			continue
		}
		var g []float64
		for _, name := range []string{"x1", "x2", "x3", "x4", "x5"} {
			g = append(g, casetest.Numbers(t, c[name])[i])
		}
		groups = append(groups, g)
	}
	return groups
}

func flat(groups [][]float64) (all []float64) {
	for _, g := range groups {
		all = append(all, g...)
	}
	return all
}

func TestMeans_PistonRings(t *testing.T) {
	c, r, err := Means(rings(t, "1"), ByRange, Basis{})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "centre", c.Centre, 74.00118, 6e-6)
	casetest.Near(t, "mean range", r.Centre, 0.02276, 6e-8)
	casetest.Near(t, "sigma", c.Sigma, 0.009785039, 1e-6) // they round d2 to 2.326
	casetest.Near(t, "lower", c.Lower, 73.98805, 6e-6)
	casetest.Near(t, "upper", c.Upper, 74.01430, 6e-6)
	casetest.Near(t, "upper of the ranges", r.Upper, 0.04812533, 1e-6) // they round d3
	if len(c.Signals)+len(r.Signals) != 0 {
		t.Errorf("signals %v %v in phase 1, want none", c.Signals, r.Signals)
	}
	c, s, err := Means(rings(t, "1"), ByDeviation, Basis{})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "mean sd", s.Centre, 0.009240037, 6e-10)
	casetest.Near(t, "sigma by sd", c.Sigma, 0.009829977, 6e-10)
	casetest.Near(t, "upper of the sds", s.Upper, 0.01930242, 6e-9)
}

func TestMeans_PistonRingsPhase2(t *testing.T) {
	c, _, err := Means(rings(t, "12"), ByRange, Basis{First: 25, Rules: LimitRule()})
	if err != nil {
		t.Fatal(err)
	}
	var at []int
	for _, s := range c.Signals {
		at = append(at, s.Index)
	}
	if want := []int{37, 38, 39}; !reflect.DeepEqual(at, want) {
		t.Errorf("signals at %v, want %v", at, want)
	}
}

func TestMeans_GroupsOfDifferentSize(t *testing.T) {
	c, r, err := Means([][]float64{{1, 3}, {2}, {2, 4, 3}}, ByRange, Basis{})
	if err != nil {
		t.Fatal(err)
	}
	sigma := (2/D2(2) + 2/D2(3)) / 2
	casetest.Near(t, "sigma", c.Sigma, sigma, 1e-12)
	casetest.Near(t, "centre", c.Centre, 2.5, 1e-12)
	casetest.Near(t, "upper of two", c.Uppers[0], 2.5+3*sigma/math.Sqrt2, 1e-12)
	casetest.Near(t, "upper of one", c.Uppers[1], 2.5+3*sigma, 1e-12)
	if !math.IsNaN(r.Points[1]) || !math.IsNaN(r.Uppers[1]) {
		t.Errorf("one value has range %g below %g, want none", r.Points[1], r.Uppers[1])
	}
	if _, _, err := Means([][]float64{{1}, {2}}, ByRange, Basis{}); !errors.Is(err, ErrTooFew) {
		t.Errorf("groups of one: %v, want ErrTooFew", err)
	}
}

func TestEWMA_PistonRings(t *testing.T) {
	c, _, err := Means(rings(t, "1"), ByRange, Basis{})
	if err != nil {
		t.Fatal(err)
	}
	e := EWMA(c, 0.2, 3)
	casetest.Near(t, "lower 1", e.Lowers[0], 73.99855, 6e-6)
	casetest.Near(t, "upper 1", e.Uppers[0], 74.00380, 6e-6)
	casetest.Near(t, "lower 25", e.Lowers[24], 73.99680, 6e-6)
	casetest.Near(t, "upper 25", e.Uppers[24], 74.00555, 6e-6)
}

// known makes a chart of values with a known centre and sigma.
func known(t *testing.T, x []float64, centre, sigma float64) Chart {
	t.Helper()
	c, _, err := Individuals(x, Basis{Centre: num.Some(centre), Sigma: num.Some(sigma)})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestEWMA_NIST(t *testing.T) {
	c := casetest.Columns(t, "metro_spc_nist_ewma")
	e := EWMA(known(t, casetest.Numbers(t, c["x"]), 50, 2.0539), 0.3, 3)
	for i, want := range casetest.Numbers(t, c["ewma_published"]) {
		casetest.Near(t, "ewma", e.Points[i], want, 0.0051)
	}
	casetest.Near(t, "upper", e.Upper, 52.5884, 1e-4)
	casetest.Near(t, "lower", e.Lower, 47.4115, 2e-4) // printed 52.5884/47.4115 about 50: not quite symmetric
	if len(e.Signals) != 0 {
		t.Errorf("signals %v, want none", e.Signals)
	}
}

func TestCumulativeSum_NIST(t *testing.T) {
	x := casetest.Numbers(t, casetest.Columns(t, "metro_spc_nist_cusum")["xbar"])
	const sigma = 0.635
	c, err := CumulativeSum(known(t, x, 325, sigma), CusumDesign{0.3175 / sigma, 4.1959 / sigma, 0})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035} {
		casetest.Near(t, "upper sum", c.High[12+i], want, 1e-9)
	}
	var at []int
	for _, s := range c.Signals {
		at = append(at, s.Index)
		if s.Since != 13 {
			t.Errorf("signal at %d since %d, want 13", s.Index, s.Since)
		}
	}
	if want := []int{14, 15, 16, 17, 18, 19, 20}; !reflect.DeepEqual(at, want) {
		t.Errorf("signals at %v, want %v", at, want)
	}
}

func TestCumulativeSum_Montgomery(t *testing.T) {
	x := casetest.Numbers(t, casetest.Columns(t, "metro_spc_cusum_ewma_table9_1")["x"])
	chart := known(t, x, 10, 1)
	c, err := CumulativeSum(chart, CusumDesign{0.5, 5, 0})
	if err != nil {
		t.Fatal(err)
	}
	first := c.Signals[0]
	casetest.Near(t, "C+ at 29", c.High[28], 5.28, 1e-9)
	if first.Index != 29 || first.Index-first.Since+1 != 7 {
		t.Errorf("first signal at %d, %d points above 0; want 29, 7", first.Index, first.Index-first.Since+1)
	}
	e := EWMA(chart, 0.1, 2.7)
	casetest.Near(t, "upper", e.Upper, 10.62, 0.0051)
	// z28 = 10.5731 < 10.62 < z29 = 10.6468.
	if len(e.Signals) == 0 || e.Signals[0].Index != 29 {
		t.Errorf("EWMA signals %v, want the first at 29", e.Signals)
	}
}

func TestCounts_NIST(t *testing.T) {
	c, err := Counts(casetest.Numbers(t, casetest.Columns(t, "metro_spc_nist_cchart")["defects"]), Basis{Rules: LimitRule()})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "centre", c.Centre, 16, 1e-12)
	casetest.Near(t, "lower", c.Lower, 4, 1e-12)
	casetest.Near(t, "upper", c.Upper, 28, 1e-12)
	if len(c.Signals) != 1 || c.Signals[0].Index != 24 { // 31 faults; 28 on the limit is within
		t.Errorf("signals %v, want the 24th", c.Signals)
	}
}

func TestProportions_NIST(t *testing.T) {
	bad := casetest.Numbers(t, casetest.Columns(t, "metro_spc_nist_pchart")["nonconforming_of_50"])
	outOf := make([]int, len(bad))
	for i := range outOf {
		outOf[i] = 50
	}
	c, err := Proportions(bad, outOf, Basis{Rules: LimitRule()})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "centre", c.Centre, 0.2313, 6e-5)
	casetest.Near(t, "lower", c.Lower, 0.0524, 6e-5)
	casetest.Near(t, "upper", c.Upper, 0.4102, 6e-5) // unrounded .410239; some copies print .4103
	var at []int
	for _, s := range c.Signals {
		at = append(at, s.Index)
	}
	if want := []int{15, 23}; !reflect.DeepEqual(at, want) {
		t.Errorf("signals at %v, want %v", at, want)
	}
}

func TestSignals_RunRuleVectors(t *testing.T) {
	c := casetest.Columns(t, "metro_spc_run_rule_vectors")
	rules := map[string][]Rule{"WE": ZoneRules(), "NEL": NelsonRules()}
	for i, set := range c["set"] {
		number, err := strconv.Atoi(c["rule"][i])
		if err != nil || number > len(rules[set]) {
			t.Fatalf("no rule %s of %s", c["rule"][i], set)
		}
		rule := rules[set][number-1]
		t.Run(set+" "+rule.String(), func(t *testing.T) {
			z := casetest.Numbers(t, strings.Fields(c["z"][i]))
			var got, want []int
			for _, s := range Signals(z, []Rule{rule}) {
				got = append(got, s.Index)
			}
			for _, cell := range strings.Fields(c["signals"][i]) {
				n, err := strconv.Atoi(cell)
				if err != nil {
					t.Fatal(err)
				}
				want = append(want, n)
			}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("z %v: signals %v, want %v", z, got, want)
			}
		})
	}
}

// A value that stands exactly on a limit is not beyond it, whatever the last
// bit says: 0.403 − 0.4 is more than 3 × 0.001.
func TestIndividuals_OnTheLimit(t *testing.T) {
	c := known(t, []float64{0.4, 0.403, 0.397, 0.4031}, 0.4, 0.001)
	if len(c.Signals) == 0 || c.Signals[0].Index != 4 {
		t.Errorf("signals %v, want the first at 4", c.Signals)
	}
}

// The same answer upside down, elsewhere and in another unit.
func TestSignals_Mirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Whole numbers, so that a shift and a scale by 2 stay exact.
		x := rapid.SliceOfN(rapid.IntRange(-40, 40), 2, 60).Draw(t, "x")
		shift := float64(rapid.IntRange(-1000, 1000).Draw(t, "shift"))
		one, other := make([]float64, len(x)), make([]float64, len(x))
		for i, v := range x {
			one[i] = float64(v)
			other[i] = shift - 2*float64(v)
		}
		a, _, err := Individuals(one, Basis{Centre: num.Some(0), Sigma: num.Some(16), Rules: NelsonRules()})
		if err != nil {
			t.Fatal(err)
		}
		b, _, err := Individuals(other, Basis{Centre: num.Some(shift), Sigma: num.Some(32), Rules: NelsonRules()})
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a.Signals, b.Signals) {
			t.Errorf("signals %v, mirrored %v", a.Signals, b.Signals)
		}
	})
}

func TestIndividuals_NoScatter(t *testing.T) {
	for _, v := range []float64{2, 0.1, 0} { // the mean of three times 0.1 is not 0.1
		c, r, err := Individuals([]float64{v, v, v}, Basis{})
		if err != nil {
			t.Fatal(err)
		}
		if e := EWMA(c, 0.3, 3); len(c.Signals)+len(r.Signals)+len(e.Signals) != 0 {
			t.Errorf("equal values %g: %v %v %v", v, c.Signals, r.Signals, e.Signals)
		}
	}
	c, _, err := Individuals([]float64{2, 2, 2, 3}, Basis{First: 3})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Signals) == 0 || c.Signals[0].Index != 4 {
		t.Errorf("a value off equal ones: %v, want a signal at 4", c.Signals)
	}
	if _, err := CumulativeSum(c, CusumDesign{0.5, 5, 0}); !errors.Is(err, ErrNoScatter) {
		t.Errorf("cumulative sum of equal values: %v, want ErrNoScatter", err)
	}
}

func TestCharts_RefuseWhatTheyCannot(t *testing.T) {
	if _, _, err := Individuals([]float64{1}, Basis{}); !errors.Is(err, ErrTooFew) {
		t.Errorf("one value: %v", err)
	}
	if _, _, err := Individuals([]float64{1, math.NaN()}, Basis{}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("NaN: %v", err)
	}
	if _, _, err := Individuals([]float64{1, 2}, Basis{First: 3}); !errors.Is(err, ErrTooFew) {
		t.Errorf("first 3 of 2: %v", err)
	}
	if _, err := Counts([]float64{1.5}, Basis{}); !errors.Is(err, ErrCount) {
		t.Errorf("count 1.5: %v", err)
	}
	if _, err := Proportions([]float64{6}, []int{5}, Basis{}); !errors.Is(err, ErrCount) {
		t.Errorf("6 of 5: %v", err)
	}
}

// noise is a seeded series of standard normal values.
func noise(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 6))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// The last digit is worth a fifth of the scatter at most, and the one before it
// more than that.
func TestChart_Digits(t *testing.T) {
	for _, sigma := range []float64{3, 0.9, 0.0089, 0.0055, 0.005, 0.0033, 0.00089, 1.2e-5} {
		a := Chart{}
		a.Lower, a.Upper = 1-3*sigma, 1+3*sigma
		last := math.Pow(10, -float64(a.Digits()))
		if last > sigma/5*(1+1e-9) || a.Digits() > 0 && 10*last < sigma/5*(1-1e-9) {
			t.Errorf("scatter %g: %d digits", sigma, a.Digits())
		}
	}
	if flat := (&Chart{}).Digits(); flat != 3 {
		t.Errorf("no scatter: %d digits", flat)
	}
}
