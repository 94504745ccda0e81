package level

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Answers of HiGHS (scipy) to the same program in another basis.
func TestFair_HiGHS(t *testing.T) {
	for k, c := range highs(t).Necks {
		var lanes []Lane
		for i, d := range c.D {
			l := one(c.X, d)[0]
			l.Lane = float64(i + 1)
			lanes = append(lanes, l)
		}
		p, err := Fair(lanes, c.Zone)
		var unfair *UnfairError
		if c.Total == nil {
			if !errors.As(err, &unfair) {
				t.Errorf("neck %d: HiGHS finds no plan, we %v", k, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("neck %d: %v", k, err)
			continue
		}
		if math.Abs(p.TotalMM-*c.Total) > 1e-9 {
			t.Errorf("neck %d: %.12f, HiGHS %.12f", k, p.TotalMM, *c.Total)
		}
		checkFair(t, lanes, c.Zone, p)
	}
}

type failer interface{ Errorf(string, ...any) }

// checkFair: within the zone, never added, a parabola across each fret, no less
// than the least plan.
func checkFair(t failer, lanes []Lane, zone float64, p Plan) {
	across := map[int][]float64{}
	for l, lane := range lanes {
		for i, r := range p.Lanes[l].RemoveMM {
			over := lane.D[i] - r - p.Lanes[l].Target.At(lane.X[i])
			if r < 0 || over > 1e-9 || over < -zone-1e-9 {
				t.Errorf("lane %d crown %d: removal %v ends %v above the target", l+1, i+1, r, over)
			}
			across[lane.Frets[i]] = append(across[lane.Frets[i]], r)
		}
	}
	for fret, r := range across {
		if len(r) < 4 {
			continue
		}
		a := mat.NewDense(len(r), 3, nil)
		for k := range r {
			a.SetRow(k, []float64{1, float64(k), float64(k * k)})
		}
		var fit, back mat.VecDense
		if err := fit.SolveVec(a, mat.NewVecDense(len(r), r)); err != nil {
			t.Errorf("fret %d: %v", fret, err)
		}
		back.MulVec(a, &fit)
		for k := range r {
			if math.Abs(back.AtVec(k)-r[k]) > 1e-9 {
				t.Errorf("fret %d: %v is no parabola", fret, r)
			}
		}
	}
	least, err := Least(lanes, zone)
	if err != nil || p.TotalMM < least.TotalMM-1e-9 {
		t.Errorf("fair %v, least %v, %v", p.TotalMM, least.TotalMM, err)
	}
}

func TestFair_Property(t *testing.T) {
	tried, plans := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tried++
		seed := rapid.Uint64().Draw(t, "seed")
		frets, count := rapid.IntRange(1, 14).Draw(t, "frets"), rapid.IntRange(1, 7).Draw(t, "lanes")
		lanes := fretted(seeded(seed), frets, count, rapid.SampledFrom([]float64{0, .004, .01}).Draw(t, "scatter"), 2)
		p, err := Fair(lanes, .03)
		var unfair *UnfairError
		if errors.As(err, &unfair) {
			if count < 4 || len(unfair.Frets) == 0 {
				t.Fatalf("%d lanes: %v", count, err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		plans++
		checkFair(t, lanes, .03, p)
	})
	if 2*plans < tried { // rapid draws fewer under -short
		t.Errorf("only %d plans of %d necks", plans, tried)
	}
}

// Where lanes are alike, or three at most, smoothness costs nothing.
func TestFair_CostsNothing(t *testing.T) {
	for _, count := range []int{1, 2, 3} {
		lanes := fretted(seeded(uint64(count)), 20, count, .012, 3)
		p, err := Fair(lanes, .03)
		if err != nil {
			t.Fatal(err)
		}
		least, err := Least(lanes, .03)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.TotalMM-least.TotalMM) > 1e-9 || least.TotalMM == 0 {
			t.Errorf("%d lanes: fair %v, least %v", count, p.TotalMM, least.TotalMM)
		}
	}
}

// A pit of 0.3 mm under one string of six: no parabola follows it.
func TestFair_Pit(t *testing.T) {
	lanes := fretted(seeded(5), 22, 6, .002, 0)
	for _, l := range lanes {
		l.D[9] += .05
	}
	if _, err := Fair(lanes, .03); err != nil {
		t.Fatal(err)
	}
	lanes[3].D[9] -= .3
	_, err := Fair(lanes, .03)
	var unfair *UnfairError
	if !errors.As(err, &unfair) || !slices.Equal(unfair.Frets, []int{10}) {
		t.Fatalf("%v", err)
	}
	if s := unfair.ShortMM[0]; s < .01 || s > .3 {
		t.Errorf("short by %v", s)
	}
}
