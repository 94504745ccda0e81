package sheet

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/draw"
)

// someControls are charts as `drift` draws them: a step, limits that vary, sums.
func someControls(n int, units Units) (*draw.Page, error) {
	return controls(heading{title: "zone", say: []string{"A few words."}}, controlsOf(n), units)
}

func controlsOf(n int) []*control {
	r := rand.New(rand.NewPCG(6, 4))
	x, high, low := make([]float64, n), make([]float64, n), make([]float64, n)
	lower, upper := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = 0.021 + 0.003*r.NormFloat64()
		if i >= 2*n/3 {
			x[i] += 0.006
		}
		if i > 0 {
			high[i] = math.Max(0, high[i-1]+x[i]-0.0235)
			low[i] = -math.Max(0, -low[i-1]-x[i]+0.0215)
		}
		spread := 0.004 * math.Sqrt(1-math.Pow(0.64, float64(i+1)))
		lower[i], upper[i] = 0.0225-spread, 0.0225+spread
	}
	each := newControl("Each value", "zone, mm", 1, n, 0.0225, 4)
	each.points(x, "", []int{n - 1})
	each.limit("lower", []float64{0.012})
	each.limit("upper", []float64{0.033})
	each.Rules = append(each.Rules, rule{At: float64(2*n/3) + 0.5, Label: "2024-04-19", Upright: true, Dashed: true})
	if n <= maxJoined {
		each.Notes = []note{{X: float64(n), Y: x[n-1], Text: "0472"}}
	}
	average := newControl("Moving average", "zone, mm", 1, n, 0.0225, 4)
	average.points(x, "", nil)
	average.limit("lower", lower)
	average.limit("upper", upper)
	sums := newControl("Cumulative sums", "zone, mm", 1, n, 0, 4)
	sums.points(high, "above", nil)
	sums.points(low, "below", []int{3})
	sums.limit("lower", []float64{-0.015})
	sums.limit("upper", []float64{0.015})
	return []*control{each, average.besides(true), sums.besides(true)}
}

func TestDrift_Golden(t *testing.T) {
	p, err := someControls(45, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "drift.svg")
}

// A long series is no larger a picture than a short one, and keeps its size.
func TestDrift_Long(t *testing.T) {
	p, err := someControls(100_000, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	short, err := someControls(maxJoined, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	if long, few := len(p.TextBoxes()), len(short.TextBoxes()); long > few+10 {
		t.Errorf("%d texts for a long series, %d for a short one", long, few)
	}
}

// Thinning keeps the order, the bounds, and the least and the greatest point.
func TestThinned_KeepsExtremes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 300).Draw(r, "x")
		most := rapid.IntRange(2, 60).Draw(r, "most")
		places := thinned(x, most)
		if len(places) > most && len(x) > most {
			r.Fatalf("%d places, at most %d", len(places), most)
		}
		least, greatest := math.Inf(1), math.Inf(-1)
		for i, p := range places {
			if i > 0 && p <= places[i-1] {
				r.Fatalf("places %v do not ascend", places)
			}
			least, greatest = math.Min(least, x[p]), math.Max(greatest, x[p])
		}
		for _, v := range x {
			if v < least || v > greatest {
				r.Fatalf("%g was lost", v)
			}
		}
	})
}

func TestControl_RingsTheFarthest(t *testing.T) {
	n := maxJoined + 100
	c := &control{}
	points, flags := make([]float64, n), []int{}
	for i := range points {
		points[i] = float64(i)
		flags = append(flags, i)
	}
	got := c.ringed(points, flags)
	if len(got) != maxRings || got[0] != n-1 {
		t.Errorf("%d rings from %d on, want %d from %d", len(got), got[0], maxRings, n-1)
	}
	if few := c.ringed(points[:20], flags[:20]); len(few) != 20 {
		t.Errorf("%d rings in a short series, want all 20", len(few))
	}
}

// A name stands to the right of its ring and needs a tenth of the chart free.
func TestLone_NamesDoNotMeetRings(t *testing.T) {
	for _, c := range []struct {
		signals []int
		points  int
		want    []int
	}{
		{nil, 50, nil},
		{[]int{7}, 50, []int{7}},
		{[]int{3, 4, 5, 20}, 50, []int{5, 20}},
		{[]int{20, 3, 5, 4, 4}, 50, []int{5, 20}}, // several rules, in no order
		{[]int{0, 5, 10}, 50, []int{10}},          // just too near
		{[]int{0, 6, 12}, 50, []int{0, 6, 12}},
		{[]int{0, 20, 40, 60, 80}, 100, []int{0, 20, 40, 60}}, // no more than four
	} {
		if got := lone(c.signals, c.points); !slices.Equal(got, c.want) {
			t.Errorf("lone(%v, %d) = %v, want %v", c.signals, c.points, got, c.want)
		}
	}
}
