package sheet

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// controls are charts as `drift` draws them: a step, limits that vary, sums.
func controls(n int) Drift {
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
	centre, zero := 0.0225, 0.0
	return Drift{Name: "zone", Words: "A few words.", Charts: []Control{
		{
			Title: "Each value", Axis: "zone, mm", First: 1, Points: x, Centre: &centre, Lower: []float64{0.012}, Upper: []float64{0.033},
			Flags: []int{n - 1}, Notes: map[int]string{n - 1: "0472"}, Steps: []Step{{Place: 2 * n / 3, Words: "2024-04-19"}}, Decimals: 4,
		},
		{Title: "Moving average", Axis: "zone, mm", First: 1, Points: x, Centre: &centre, Lower: lower, Upper: upper, Decimals: 4},
		{
			Title: "Cumulative sums", Axis: "zone, mm", First: 1, Points: high, Below: low, Names: [2]string{"above", "below"},
			Centre: &zero, Lower: []float64{-0.015}, Upper: []float64{0.015}, FlagsBelow: []int{3}, Decimals: 4,
		},
	}}
}

func TestDrift_Golden(t *testing.T) {
	p, err := controls(45).Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "drift.svg")
}

// A long series is no larger a picture than a short one, and keeps its size.
func TestDrift_Long(t *testing.T) {
	p, err := controls(100_000).Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	short, err := controls(mostJoined).Page()
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
	n := mostJoined + 100
	c := Control{}
	points, flags := make([]float64, n), []int{}
	for i := range points {
		points[i] = float64(i)
		flags = append(flags, i)
	}
	got := c.ringed(points, flags)
	if len(got) != mostRings || got[0] != n-1 {
		t.Errorf("%d rings from %d on, want %d from %d", len(got), got[0], mostRings, n-1)
	}
	if few := c.ringed(points[:20], flags[:20]); len(few) != 20 {
		t.Errorf("%d rings in a short series, want all 20", len(few))
	}
}
