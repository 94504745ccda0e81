package board

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// planned is a board of a class, judged, with its list.
func planned(t *testing.T, seed uint64, lanes []float64) (*job, *Answer) {
	t.Helper()
	m, l := heron(t, nil)
	w := newWood(t, seed, m, l)
	w.hump(12, 15, 0.08, treble, true)
	w.hump(4, 6, -0.07, allOver, true)
	j := newJob(t, withFive(lanes)(w))
	for _, step := range []func() error{j.setAside, j.judgeLanes} {
		if err := step(); err != nil {
			t.Fatal(err)
		}
	}
	j.judgeRadius()
	j.cover()
	j.find()
	j.conclude()
	if err := j.sand(); err != nil {
		t.Fatal(err)
	}
	if j.a.Sanding == nil {
		t.Fatalf("seed %d: %s and nothing to sand", seed, j.a.Verdict)
	}
	return j, j.a
}

// TestSand_OneCone: nothing is added, and what is left wherever wood comes off lies
// on one cone: a plane and radii linear along the board, for all lanes together.
func TestSand_OneCone(t *testing.T) {
	for seed := range uint64(10) {
		j, a := planned(t, seed, six())
		s := a.Sanding
		spots := j.spots(&Sanding{})
		n, rhs := mat.NewSymDense(5, nil), mat.NewVecDense(5, nil)
		type left struct {
			coef []float64
			mm   float64
		}
		var all []left
		last := j.l.CentreX(22)
		at := []int{0, 1, 2, 3, 4}
		for _, k := range spots {
			sand := s.Lanes[k.lane].Sand
			if i := slices.IndexFunc(sand, func(s Sand) bool { return s.Fret == k.fret }); i >= 0 {
				r := sand[i].RemoveMM
				if r <= 0 {
					t.Fatalf("seed %d: %v is added", seed, r)
				}
				x, y := k.x/last, k.y/20
				all = append(all, left{[]float64{1, x, y, 10 * k.slope * (1 - x), 10 * k.slope * x}, k.mm - r})
				addTo(n, rhs, at, all[len(all)-1].coef, k.mm-r, 1)
			}
		}
		var x mat.VecDense
		if err := x.SolveVec(n, rhs); err != nil && len(all) < 20 {
			t.Fatal(err)
		}
		for _, k := range all {
			v := k.mm
			for i, c := range k.coef {
				v -= c * x.AtVec(i)
			}
			if math.Abs(v) > 1e-7 {
				t.Errorf("seed %d: %v off the one cone", seed, v)
			}
		}
	}
}

// TestSand_Least: no other cone that keeps what the plan keeps takes less off: ten
// thousand neighbours of each plan tried.
func TestSand_Least(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for seed := range uint64(5) {
		j, a := planned(t, seed, three())
		s := &Sanding{}
		spots := j.spots(s)
		zone, room := a.Sanding.PlannedToMM-j.ownShape(), j.radiusRoom()
		best, err := j.target(spots, zone, room)
		if err != nil {
			t.Fatal(err)
		}
		areas := j.areas(spots)
		cost := func(c targetCone) (sum float64, ok bool) {
			deep := 0.0
			for i, k := range spots {
				v := c.at(k)
				if v > j.lowest(k, zone)+1e-9 {
					return 0, false
				}
				off := math.Max(0, k.mm-v)
				sum, deep = sum+areas[i]*off, math.Max(deep, off)
			}
			return sum + deepestWeight*deep, true
		}
		least, ok := cost(best)
		if !ok {
			t.Fatalf("seed %d: the plan does not keep its own limits", seed)
		}
		tried := 0
		for range 10000 {
			c := best
			size := 0.02 * r.Float64()
			c.level += size * (r.Float64() - 0.6)
			c.along += size * (r.Float64() - 0.5)
			c.across += size * (r.Float64() - 0.5)
			for k := range c.radius {
				c.radius[k] = math.Max(-room[k], math.Min(room[k], c.radius[k]+100*size*(r.Float64()-0.5)))
			}
			if v, ok := cost(c); ok {
				tried++
				if v < least-1e-9 {
					t.Errorf("seed %d: %v costs less than %v", seed, v, least)
				}
			}
		}
		if tried < 20 {
			t.Errorf("seed %d: only %d neighbours keep the limits", seed, tried)
		}
	}
}

// TestSand_Untied: without an arch reading the lanes are not tied, and the list
// says so; lanes that were not read get their part.
func TestSand_Untied(t *testing.T) {
	m, l := heron(t, nil)
	w := newWood(t, 1, m, l)
	w.hump(12, 15, 0.1, allOver, true)
	a, err := Judge(m, l, w.beam([]float64{1, 6}, 1, 0.005, ""))
	if err != nil {
		t.Fatal(err)
	}
	if a.Verdict != NotReady || a.Sanding == nil || a.Sanding.Tied || len(a.Sanding.Lanes) != 3 || a.Sanding.Lanes[1].Read || a.Sanding.Lanes[1].Lane != 3.5 {
		t.Errorf("%s, %+v", a.Verdict, a.Sanding)
	}
	w = newWood(t, 1, m, l)
	w.hump(1, 22, -0.14, allOver, true)
	if a, err = Judge(m, l, withFive(three())(w)); err != nil || a.Sanding != nil {
		t.Errorf("a bow that the rod may take out is sanded: %+v, %v", a.Sanding, err)
	}
	m.Body.Rod = false
	if a, err = Judge(m, l, withFive(three())(w)); err != nil || a.Sanding == nil {
		t.Errorf("without a rod the bow is not sanded: %v", err)
	}
}
