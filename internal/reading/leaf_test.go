package reading

import (
	"slices"
	"testing"
)

// TestWithLeaves: what a gap of 0 without no_go says hangs on what the other
// readings tell of the leaves.
func TestWithLeaves(t *testing.T) {
	edge := func(u float64, gaps ...float64) (out []Reading) {
		for i, g := range gaps {
			out = append(out, Reading{Method: Edge, Lane: 1, Frets: []int{i + 1}, Value: g, U: u})
		}
		return out
	}
	leaf := func(r []Reading, i int, noGo float64) []Reading {
		r[i].NoGo = &noGo
		return r
	}
	for name, c := range map[string]struct {
		in   []Reading
		want []float64 // no_go after it, 0 for none
	}{
		"all read 0, nothing told":       {edge(0.005, 0, 0, 0), []float64{0.05, 0.05, 0.05}},
		"all read 0, u stated small":     {edge(0.001, 0, 0, 0), []float64{0.05, 0.05, 0.05}},
		"all read 0, u stated large":     {edge(0.03, 0, 0, 0), []float64{0, 0, 0}},
		"two touch":                      {edge(0.005, 0, 0.07, 0), []float64{0, 0, 0}},
		"three read 0 beside 0.03":       {edge(0.005, 0, 0, 0, 0.03, 0.08), []float64{0.03, 0.03, 0.03, 0, 0}},
		"three read 0 beside 0.30":       {edge(0.005, 0, 0, 0, 0.30), []float64{0.05, 0.05, 0.05, 0}},
		"finer than their uncertainty":   {edge(0.006, 0, 0, 0, 0.01), []float64{0, 0, 0, 0}},
		"a leaf is named":                {leaf(edge(0.005, 0, 0.07), 1, 0.08), []float64{0.07, 0.08}},
		"a fine one":                     {leaf(edge(0.005, 0, 0), 1, 0.005), []float64{0.005, 0.005}},
		"its thinnest":                   {leaf(edge(0.005, 0, 0), 1, 0.04), []float64{0.04, 0.04}},
		"a thinner gap is no leaf there": {leaf(edge(0.001, 0, 0.012, 0), 2, 0.04), []float64{0.04, 0, 0.04}},
	} {
		before := slices.Clone(c.in)
		got, filled := WithLeaves(c.in)
		for i, w := range c.want {
			v := 0.0
			if got[i].NoGo != nil {
				v = *got[i].NoGo
			}
			if v != w {
				t.Errorf("%s: reading %d: no_go %v, want %v", name, i, v, w)
			}
			if v > 0 && before[i].NoGo == nil && filled != v {
				t.Errorf("%s: filled in %v, said %v", name, v, filled)
			}
			if c.in[i].NoGo != before[i].NoGo {
				t.Errorf("%s: the readings given were changed", name)
			}
		}
	}
	others := []Reading{{Method: Beam, Value: 0}, {Method: Rocker, Value: 0}, {Method: Rocker, Answer: Still}}
	if got, filled := WithLeaves(others); filled != 0 || got[0].NoGo != nil || got[1].NoGo != nil || &got[0] != &others[0] {
		t.Error("a beam and a rocker were given leaves")
	}
}
