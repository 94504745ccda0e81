package heights

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
)

// rankWithSetups is rankComplete by a second route: every set-up's offset and tilt
// are unknowns of one matrix.
func rankWithSetups(obs []observation, want map[int]bool, c *crowns) bool {
	frets := slices.Sorted(maps.Keys(want))
	setup, over := map[passKey]int{}, map[passKey]map[int]bool{}
	for _, o := range obs {
		if o.pass == (passKey{}) {
			continue
		}
		if over[o.pass] == nil {
			setup[o.pass], over[o.pass] = len(frets)+2*len(setup), map[int]bool{}
		}
		over[o.pass][o.frets[0]] = true
	}
	n := len(frets) + 2*len(setup)
	a := mat.NewDense(len(obs), n, nil)
	for i, o := range obs {
		for k, f := range o.frets {
			a.Set(i, slices.Index(frets, f), o.weights[k])
		}
		if at, known := setup[o.pass]; known {
			a.Set(i, at, 1)
			a.Set(i, at+1, c.list[c.index[place{o.frets[0], o.lane}]].x/100)
		}
	}
	var svd mat.SVD
	free := 2
	for _, f := range over {
		if len(f) < 2 {
			free++ // a set-up over one crown has its tilt free
		}
	}
	return svd.Factorize(a, mat.SVDNone) && svd.Rank(1e-9) >= n-free
}

// What readings fix jointly does not depend on the route.
func TestRankComplete_SecondRoute(t *testing.T) {
	rng := rand.New(rand.NewPCG(412, 18))
	seen := map[bool]int{}
	for trial := range 1500 {
		const frets = 8
		c := &crowns{index: map[place]int{}}
		for f := range frets {
			c.index[place{f, 1}] = f
			c.list = append(c.list, crown{fret: f, lane: 1, x: 36*float64(f) - float64(f*f)})
		}
		var obs []observation
		want := map[int]bool{}
		add := func(o observation) {
			for _, f := range o.frets {
				want[f] = true
			}
			obs = append(obs, o)
		}
		for p := range 1 + rng.IntN(5) {
			key := passKey{lane: 1, pass: fmt.Sprint(p)}
			for range 1 + rng.IntN(4) {
				add(observation{frets: []int{rng.IntN(frets)}, weights: []float64{1}, lane: 1, pass: key, method: reading.Beam})
			}
		}
		for range rng.IntN(4) {
			f := rng.IntN(frets - 2)
			add(observation{frets: []int{f, f + 1, f + 2}, weights: []float64{-0.52, 1, -0.48}, lane: 1})
		}
		if len(want) < 3 {
			continue
		}
		got, other := rankComplete(obs, want, c), rankWithSetups(obs, want, c)
		if got != other {
			t.Errorf("trial %d: %v, by the other route %v", trial, got, other)
		}
		seen[got]++
	}
	if seen[true] < 50 || seen[false] < 50 {
		t.Fatalf("too few of one kind: %v", seen)
	}
}
