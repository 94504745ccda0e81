package gauge

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
)

func TestCombine_GUMH1(t *testing.T) {
	c := casetest.Columns(t, "metro_gum_h1_budget")
	u, nu := casetest.Numbers(t, c["contribution_nm"]), c["nu"]
	var shares []Share
	for i := range u {
		df := math.Inf(1)
		if nu[i] != "inf" {
			df = casetest.Numbers(t, nu)[i]
		}
		shares = append(shares, Share{U: u[i], DF: df})
	}
	// The table rounds the last two; these are length times the inputs.
	length, input := casetest.Numbers(t, c["value"])[0], casetest.Numbers(t, c["u"])
	shares[7].U = length * 0.1 * input[7]
	shares[8].U = length * 1.15e-5 * input[8]
	got, df := Combine(shares)
	casetest.Near(t, "u", got, 32, 0.5)
	casetest.Near(t, "u, more digits", got, 31.705, 5e-3)
	casetest.Near(t, "degrees of freedom", math.Floor(df), 16, 0.5)
	casetest.Near(t, "t99", Coverage(df, 0.99), 2.92, 0.005)
	casetest.Near(t, "U99", got*Coverage(df, 0.99), 93, 0.5)
}

// JCGM 100:2008, G.4.1: three inputs of 0.25, 0.57 and 0.82 %.
func TestCombine_GUMG4(t *testing.T) {
	u, df := Combine([]Share{{0.25, 9}, {0.57, 4}, {0.82, 14}})
	casetest.Near(t, "u %", u, 1.03, 0.005)
	casetest.Near(t, "degrees of freedom", df, 19.0, 0.05)
	casetest.Near(t, "t95", Coverage(df, 0.95), 2.09, 0.005)
	casetest.Near(t, "U %", u*Coverage(df, 0.95), 2.2, 0.05)
}

// Budgets of the NPL beginner's guide and of EA-4/02, examples S4 and S10.
func TestCombine_SmallBudgets(t *testing.T) {
	inf := math.Inf(1)
	for _, b := range []struct {
		u    []float64
		want float64
		tol  float64
	}{
		{[]float64{2.5, 0.3, 5.8, 0.7}, 6.4, 0.05},
		{[]float64{15, 17.3, 5.37, 18.5, 16.6, 11.8, 3.87}, 36.4, 0.05},
		{[]float64{0.46, 2, 15, 29}, 33, 0.5},
	} {
		var shares []Share
		for _, u := range b.u {
			shares = append(shares, Share{u, inf})
		}
		u, df := Combine(shares)
		casetest.Near(t, "u", u, b.want, b.tol)
		if !math.IsInf(df, 1) {
			t.Errorf("degrees of freedom %g, want none", df)
		}
	}
}

func TestStepU_JCGM100(t *testing.T) {
	casetest.Near(t, "step 0.01 mm", StepU(0.01), 0.0028867513, 1e-9)
	casetest.Near(t, "half-width 1", StepU(2), 1/math.Sqrt(3), 1e-9)
}
