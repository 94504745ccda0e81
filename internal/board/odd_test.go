package board

import (
	"math"
	"testing"
)

// TestLeaveOneOut_Again holds the closed form of a reading's distance from what
// the others say against leaving it out: the others' process, conditioned.
func TestLeaveOneOut_Again(t *testing.T) {
	m, l := heron(t, nil)
	w := newWood(t, 4, m, l)
	j := newJob(t, append(w.beam([]float64{2}, 1, 0.005, "a"), w.beam([]float64{2}, 2, 0.005, "b")...))
	items := j.items()[0]
	all, err := j.leaveOneOut(items)
	if err != nil {
		t.Fatal(err)
	}
	all.note()
	n := len(all.in)
	for _, at := range []int{0, 7, 21, n - 1} {
		// y of the one, given the others, by the inverse of the covariance: its row
		// gives the others' weights.
		mean := 0.0
		for k := range n {
			if k != at {
				mean -= all.inverse.At(at, k) / all.inverse.At(at, at) * all.in[k].y
			}
		}
		if e := all.in[at].y - mean; math.Abs(e-all.in[at].e) > 1e-6 {
			t.Errorf("reading %d: %v off the others, by conditioning %v", at, all.in[at].e, e)
		}
	}
	before := items[7].e
	items[7].y += 0.3
	if all, err = j.leaveOneOut(items); err != nil {
		t.Fatal(err)
	}
	all.note()
	if got := items[7].e - before; math.Abs(got-0.3) > 0.02 || math.Abs(items[7].e) < oddSigmas*items[7].sd {
		t.Errorf("a reading put 0.3 mm up is %v off, ± %v", items[7].e, items[7].sd)
	}
}
