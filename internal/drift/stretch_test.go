package drift

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Every value lies in one stretch, and in each at most a tenth of the known ones lie
// outside its band on either side, half on either side of its median.
func TestStretches_CoverAndShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-1, 1), rapid.Just(math.NaN())), 1, 600).Draw(t, "values")
		next := 0
		all := Stretches(values)
		if len(all) > mostStretches {
			t.Fatalf("%d stretches", len(all))
		}
		for _, s := range all {
			if s.First != next || s.Last < s.First {
				t.Fatalf("%+v after %d", s, next)
			}
			next = s.Last + 1
			known := slices.DeleteFunc(slices.Clone(values[s.First:s.Last+1]), math.IsNaN)
			if len(known) == 0 {
				if !math.IsNaN(s.Median) {
					t.Fatalf("%+v of nothing", s)
				}
				continue
			}
			below, above := func(limit float64) (n int) {
				for _, v := range known {
					if v < limit {
						n++
					}
				}
				return n
			}, func(limit float64) (n int) {
				for _, v := range known {
					if v > limit {
						n++
					}
				}
				return n
			}
			tenth, half := float64(len(known))/10+1, float64(len(known))/2+1
			if s.Low > s.Median || s.Median > s.High || float64(below(s.Low)) > tenth || float64(above(s.High)) > tenth ||
				float64(below(s.Median)) > half || float64(above(s.Median)) > half {
				t.Fatalf("%+v of %v", s, known)
			}
		}
		if next != len(values) {
			t.Fatalf("%d of %d values", next, len(values))
		}
	})
}

// By hand: of 1 to 11 a tenth of the way is 2, half 6, nine tenths 10.
func TestStretches_ByHand(t *testing.T) {
	values := []float64{11, 3, 1, 7, 5, 9, 2, 4, 8, 6, 10}
	got := Stretches(values)
	if len(got) != 1 || got[0] != (Stretch{0, 10, 2, 6, 10}) {
		t.Errorf("%+v", got)
	}
	if n := len(Stretches(make([]float64, 500))); n != 25 {
		t.Errorf("500 values in %d stretches", n)
	}
}
