package num

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestProgram_CostsNearlyTie: costs that differ by less than the nudge are told
// apart all the same, whichever variable is the dearer, at either sign.
func TestProgram_CostsNearlyTie(t *testing.T) {
	for _, gap := range []float64{3e-8, -3e-8, 6e-8, -6e-8} {
		p := NewProgram([]float64{1, 1})
		p.AtLeast(1, []int{0, 1}, []float64{1, 1 + gap})
		p.AtLeast(0, []int{0}, []float64{1})
		p.AtLeast(0, []int{1}, []float64{1})
		v, value, err := p.Solve()
		want := math.Min(1, 1/(1+gap))
		if err != nil || math.Abs(value-want) > 1e-12 {
			t.Errorf("gap %g: %.12f at %v, %v; want %.12f", gap, value, v, err, want)
		}
	}
	for _, turned := range []float64{1, -1} { // x and y may grow together without end, and cost nothing together
		p := NewProgram([]float64{turned, -turned})
		p.AtLeast(2, []int{0, 1}, []float64{turned, -turned})
		if v, value, err := p.Solve(); err != nil || math.Abs(value-2) > 1e-9 {
			t.Errorf("a cost level along a line: %v at %v, %v", value, v, err)
		}
	}
}

// TestProgram_FallsSlowly: what falls without end by a share below the nudge
// has no least value either.
func TestProgram_FallsSlowly(t *testing.T) {
	for _, c := range [][]float64{{1, -1 - 5e-8}, {-1 - 5e-8, 1}, {1 - 5e-8, -1}} {
		row := []float64{1, -1}
		if c[0] < 0 {
			row = []float64{-1, 1}
		}
		p := NewProgram(c)
		p.AtLeast(0, []int{0, 1}, row)
		if v, value, err := p.Solve(); !errors.Is(err, ErrUnbounded) {
			t.Errorf("cost %v: %v at %v, %v; want ErrUnbounded", c, value, v, err)
		}
	}
}

// TestProgram_Corners: in two variables the least cost is the least over the
// corners, all tried here; the answer keeps every row. Costs inside the cone of
// the rows, so that there is a least value.
func TestProgram_Corners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "rows")
		rows := make([][3]float64, n) // a·x + b·y ≥ c
		cost := []float64{0, 0}
		for i := range rows {
			for k := range rows[i] {
				rows[i][k] = float64(rapid.IntRange(-5, 5).Draw(t, "number"))
			}
			share := float64(rapid.IntRange(0, 2).Draw(t, "share"))
			cost[0] += share * rows[i][0]
			cost[1] += share * rows[i][1]
		}
		p := NewProgram(cost)
		for _, r := range rows {
			p.AtLeast(r[2], []int{0, 1}, r[:2])
		}
		best := math.Inf(1)
		for i, a := range rows {
			for _, b := range rows[:i] {
				det := a[0]*b[1] - a[1]*b[0]
				if det == 0 {
					continue
				}
				x, y := (a[2]*b[1]-a[1]*b[2])/det, (a[0]*b[2]-a[2]*b[0])/det
				if missed(rows, x, y) < 1e-9 {
					best = math.Min(best, cost[0]*x+cost[1]*y)
				}
			}
		}
		v, value, err := p.Solve()
		if err == nil {
			if m := missed(rows, v[0], v[1]); m > 1e-9 {
				t.Fatalf("the answer misses a row by %v", m)
			}
		}
		switch {
		case math.IsInf(best, 1): // no corner: nothing satisfies all rows, or all lines are parallel
			if err != nil && !errors.Is(err, ErrInfeasible) {
				t.Fatal(err)
			}
		case err != nil || math.Abs(value-best) > 1e-7*(1+math.Abs(best)):
			t.Fatalf("%v, %v; the best corner costs %v", value, err, best)
		}
	})
}

// missed is the most by which a point misses a row.
func missed(rows [][3]float64, x, y float64) float64 {
	most := 0.0
	for _, r := range rows {
		most = math.Max(most, r[2]-r[0]*x-r[1]*y)
	}
	return most
}
