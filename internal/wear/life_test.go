package wear

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Archard's law on the groove of a string in a round crown: with V = K·F·s/(3H)
// and V = πD²√(Rr), K = 6e-4 (α/β-brass on tool steel, Archard and Hirst 1956,
// second-hand), F = 1 N, H = 1.77 GPa, R = 1 mm, r = 0.127 mm, a slide of 100 m
// makes a groove of 100.5 µm, and twice the slide one √2 as deep.
func TestRooted_Archard(t *testing.T) {
	depth := func(slideM float64) float64 { // mm
		volume := 6e-4 * 1 * slideM * 1000 / (3 * 1770) // mm³, H in N/mm²
		return math.Sqrt(volume / (math.Pi * math.Sqrt(1*0.127)))
	}
	first, second := depth(100), depth(200)
	if math.Abs(first-0.1005) > 1e-4 {
		t.Fatalf("depth %v mm, want 0.1005", first)
	}
	if got := Rooted(first, 100, second-first); math.Abs(got-100) > 1e-9 {
		t.Errorf("√2 as deep after another %v m, want 100", got)
	}
}

// The square-root law never ends sooner than the linear one, and more wear or
// less left only shortens both.
func TestLifeOf_Order(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		depth := rapid.Float64Range(0.001, 0.2).Draw(t, "depth")
		u := rapid.Float64Range(0, 0.02).Draw(t, "u")
		left := rapid.Float64Range(0.001, 0.5).Draw(t, "left")
		years := rapid.Float64Range(0.1, 30).Draw(t, "years")
		l, err := LifeOf(depth, u, years, left, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		linear, rooted := InProportion(depth, years, left), Rooted(depth, years, left)
		if !(l.SoonestYears <= linear && linear <= rooted && rooted <= l.LatestYears) {
			t.Fatalf("soonest %v, linear %v, rooted %v, latest %v", l.SoonestYears, linear, rooted, l.LatestYears)
		}
		less, err := LifeOf(depth, u, years, left/2, 0.95)
		if err != nil || less.SoonestYears > l.SoonestYears || less.LatestYears > l.LatestYears {
			t.Fatalf("half the crown lasts longer: %+v, %+v", less, l)
		}
	})
}

func TestLifeOf_Edges(t *testing.T) {
	if _, err := LifeOf(0.04, 0.005, 0, 0.1, 0.95); err != ErrTime {
		t.Errorf("no time passed: %v", err)
	}
	if l, err := LifeOf(0.04, 0.005, 2, -0.01, 0.95); err != nil || !l.AlreadyReached || l.LatestYears != 0 {
		t.Errorf("reached already: %+v %v", l, err)
	}
	if l, err := LifeOf(0.01, 0.02, 2, 0.1, 0.95); err != nil || !math.IsInf(l.LatestYears, 1) || l.SoonestYears <= 0 {
		t.Errorf("not certain: %+v %v", l, err)
	}
	// 0.04 mm in 2 years, 0.1 mm left: 5 years in proportion, 22.5 by the root.
	l, err := LifeOf(0.04, 0, 2, 0.1, 0.95)
	if err != nil || math.Abs(l.SoonestYears-5) > 1e-12 || math.Abs(l.LatestYears-22.5) > 1e-12 {
		t.Errorf("%+v %v", l, err)
	}
}
