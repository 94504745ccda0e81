package level

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestRobust: a third of the crowns moved, and the curve through the others is
// found all the same, to their noise.
func TestRobust(t *testing.T) {
	const noise = 0.002
	for seed := range uint64(20) {
		rnd := rand.New(rand.NewPCG(seed, 3))
		var x, y, u []float64
		for i := range 22 {
			at := 25 * float64(i)
			x, u = append(x, at), append(u, noise)
			y = append(y, 0.1-2e-4*at+3e-7*at*at+noise*rnd.NormFloat64())
			if i%3 == 1 {
				y[i] += 0.05
			}
		}
		bowed, line := robust(x, y, u, true), robust(x, y, u, false)
		for _, at := range []float64{0, 200, 525} {
			if d := bowed.at(at) - (0.1 - 2e-4*at + 3e-7*at*at); math.Abs(d) > 3*noise {
				t.Errorf("seed %d: off by %.4f mm at %g", seed, d, at)
			}
		}
		if line.c[2] != 0 || math.Abs(bowed.bow(x[0])) > 1e-12 || math.Abs(bowed.bow(x[21])) > 1e-12 || bowed.bow(262.5) >= 0 {
			t.Errorf("seed %d: %+v, %+v", seed, line, bowed)
		}
	}
}

// TestLevelling_Otherwise: of a hand that did as told but for two crowns, these two
// are named. What was read before counts of crowns left alone; where the lane lost more
// than was planned, of no filed one.
func TestLevelling_Otherwise(t *testing.T) {
	const u = 1e-4
	var before, now Lane
	plan := Plan{Lanes: []LanePlan{{}}}
	for f := 1; f <= 12; f++ {
		remove := 0.0
		if f%2 == 0 {
			remove = 0.05
		}
		plan.Lanes[0].RemoveMM = append(plan.Lanes[0].RemoveMM, remove)
		before.Frets, before.X, before.D, before.U = append(before.Frets, f), append(before.X, 30*float64(f)), append(before.D, 0.2), append(before.U, u)
		taken := remove
		switch f {
		case 3:
			taken = 0.06 // by mistake
		case 8:
			taken = 0.11 // beyond
		case 10:
			taken = 0.049
		}
		now.Frets, now.X, now.D, now.U = append(now.Frets, f), append(now.X, 30*float64(f)), append(now.D, 0.2-taken), append(now.U, u)
	}
	v := Levelling{Lanes: []Lane{before}, Now: []Lane{now}, Planned: plan, Known: true, First: map[int]bool{12: true}}
	v.Compare()
	d := v.Otherwise(map[Place]bool{{10, 0}: true, {11, 0}: false, {12, 0}: true})
	if len(d.FiledByMistake) != 1 || d.FiledByMistake[0].Fret != 3 || math.Abs(d.FiledByMistake[0].TakenMM-0.06) > 1e-3 ||
		len(d.Beyond) != 1 || d.Beyond[0].Fret != 8 || len(d.Proud) != 1 || d.Proud[0].Fret != 10 || math.Abs(d.BeyondMM-0.12) > 2e-3 {
		t.Errorf("%+v", d)
	}
	if filed := v.Filed(); len(filed) != 5 || filed[Place{8, 0}] != 0.05 {
		t.Errorf("%v", filed)
	}
	for f, want := range map[int]bool{1: true, 2: false, 3: false, 8: false, 12: false} {
		if v.stillHolds(Place{f, 0}) != want {
			t.Errorf("fret %d holds: %t", f, !want)
		}
	}
}

// TestWithout: a plan of what is left is written back to where its crowns stand.
func TestWithout(t *testing.T) {
	lanes := []Lane{{Lane: 1, Frets: []int{1, 2, 3}, X: []float64{1, 2, 3}, D: []float64{0, 0, 0}, Y: []float64{0, 0, 0}},
		{Lane: 2, Frets: []int{2}, X: []float64{2}, D: []float64{0}, Y: []float64{0}},
		{Lane: 3, Frets: []int{1, 2}, X: []float64{1, 2}, D: []float64{0, 0}, Y: []float64{0, 0}}}
	kept, full := Without(lanes, []int{2})
	if len(kept) != 2 || len(kept[0].Frets) != 2 || kept[1].Lane != 3 {
		t.Fatalf("%+v", kept)
	}
	p := full(Plan{TotalMM: 6, Lanes: []LanePlan{{RemoveMM: []float64{1, 2}}, {RemoveMM: []float64{3}}}})
	for a, want := range [][]float64{{1, 0, 2}, {0}, {3, 0}} {
		for i, w := range want {
			if p.Lanes[a].RemoveMM[i] != w {
				t.Errorf("lane %d: %v, want %v", a+1, p.Lanes[a].RemoveMM, want)
			}
		}
	}
	if p.TotalMM != 6 {
		t.Errorf("%+v", p)
	}
}
