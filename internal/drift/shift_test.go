package drift

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"

	"pgregory.net/rapid"
)

// A steady series looks stepped in at most 1 of 20; and the bound is not so
// wide that nothing would ever be found.
func TestShifts_FalseAlarms(t *testing.T) {
	for _, n := range []int{12, 40, 200} {
		const trials = 1500
		alarms := 0
		for seed := range trials {
			c, err := Shifts(noise(uint64(1000*n+seed), n), nil, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if len(c) > 0 {
				alarms++
			}
		}
		share := float64(alarms) / trials
		four := 4 * math.Sqrt(0.05*0.95/trials)
		if share > 0.05+four || share < 0.02 {
			t.Errorf("n %d: %.3f of steady series look stepped, want 0.02 to %.3f", n, share, 0.05+four)
		}
	}
}

// Where a step is found, its true place lies between Earliest and Latest as
// often as was asked.
func TestShifts_Confidence(t *testing.T) {
	const trials, n, at = 600, 60, 41 // the 41st is the first at the new level
	found, held := 0, 0
	for seed := range trials {
		x := noise(uint64(77_000+seed), n)
		for i := at - 1; i < n; i++ {
			x[i] += 1.5
		}
		c, err := Shifts(x, nil, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if len(c) != 1 {
			continue
		}
		found++
		if c[0].Earliest <= at && at <= c[0].Latest {
			held++
		}
	}
	if found < trials*9/10 {
		t.Errorf("found the step in %d of %d", found, trials)
	}
	if share := float64(held) / float64(found); share < 0.93 {
		t.Errorf("the true place lies within in %.3f, want 0.93 or more", share)
	}
}

func TestShifts_Places(t *testing.T) {
	x := []float64{0, 0.1, -0.1, 0, 0.1, 5, 5.1, 4.9, 5, 5.1, 9, 9.1, 8.9, 9, 9.1}
	c, err := Shifts(x, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if len(c) != 2 || c[0].First != 6 || c[1].First != 11 {
		t.Fatalf("steps %+v, want at 6 and 11", c)
	}
	casetest.Near(t, "level before", c[0].Before, 0.02, 1e-9)
	casetest.Near(t, "level after the second", c[1].After, 9.02, 1e-9)
	if c[1].Earliest != 11 || c[1].Latest != 11 {
		t.Errorf("second step between %d and %d, want 11 alone", c[1].Earliest, c[1].Latest)
	}
}

func TestShifts_EqualValues(t *testing.T) {
	for _, n := range []int{0, 1, 5, 6, 30} {
		x := make([]float64, n)
		for i := range x {
			x[i] = 0.1
		}
		if c, err := Shifts(x, nil, 0.95); err != nil || len(c) != 0 {
			t.Errorf("%d equal values: %v, %v", n, c, err)
		}
	}
	// Two levels without scatter are a step beyond doubt.
	c, err := Shifts([]float64{1, 1, 1, 1, 2, 2, 2, 2}, nil, 0.95)
	if err != nil || len(c) != 1 || c[0].First != 5 || c[0].P != 0 {
		t.Errorf("bare step: %+v, %v", c, err)
	}
}

// A weight counts as so many equal values.
func TestShifts_Weights(t *testing.T) {
	x := []float64{1, 3, 2, 2, 8, 9, 7, 8}
	w := []float64{1, 2, 1, 1, 2, 1, 1, 1}
	s := newSplit(x, w)
	var long, ones []float64
	for i, v := range x {
		for range int(w[i]) {
			long, ones = append(long, v), append(ones, 1)
		}
	}
	l := newSplit(long, ones)
	casetest.Near(t, "squares", s.square, l.square, 1e-12)
	casetest.Near(t, "explained after 4 (5 values)", s.betweenSS(4), l.betweenSS(5), 1e-12)
}

func TestShifts_Unit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), 6, 40).Draw(t, "x")
		y := make([]float64, len(x))
		for i, v := range x {
			y[i] = 2*v + 8
		}
		a, _ := Shifts(x, nil, 0.95)
		b, _ := Shifts(y, nil, 0.95)
		if len(a) != len(b) {
			t.Fatalf("%d steps, in another unit %d", len(a), len(b))
		}
		for i := range a {
			if a[i].First != b[i].First {
				t.Errorf("step %d at %d, in another unit at %d", i, a[i].First, b[i].First)
			}
		}
	})
}

// The best known change of level: the Nile at Aswan carries less from 1899 on.
func TestShifts_Cobb1978(t *testing.T) {
	d := casetest.Columns(t, "metro_nile_cobb1978")
	years, flow := casetest.Numbers(t, d["year"]), casetest.Numbers(t, d["volume"])
	c, err := Shifts(flow, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if len(c) != 1 {
		t.Fatalf("%d changes %+v, want the one near 1898", len(c), c)
	}
	if last := years[c[0].First-2]; last != 1898 {
		t.Errorf("the last year of the old level is %g, want 1898", last)
	}
	casetest.Near(t, "mean to 1898", c[0].Before, 1097.75, 0.005)
	casetest.Near(t, "mean from 1899", c[0].After, 849.97, 0.005)
	if from, to := years[c[0].Earliest-1], years[c[0].Latest-1]; from < 1892 || to > 1903 || c[0].P > 1e-6 {
		t.Errorf("between %g and %g, p %g", from, to, c[0].P)
	}
}
