package heights

import (
	"math"
	"slices"
	"testing"
)

// One fret, six lanes, readings of two passes whose set-ups are known to be 0.
// Expected values were worked out by a separate program that sums all
// explanations with at most two unusual crowns through dense normal densities.
var walkCases = []struct {
	id       string
	readings [6][]float64
	pi       [6]float64
	h, u     []float64 // NaN: not stated
	evidence float64
}{
	{"J1", [6][]float64{{2, -3}, {1, 4}, {-2, 0}, {3, 1}, {-1, 2}, {0, -4}}, same(0.004),
		[]float64{.854, .688, .463, .199, -.149, -.556}, []float64{2.572, 1.914, 1.595, 1.595, 1.915, 2.573}, -37.829},
	{"J2", [6][]float64{{2, -3}, {-70, -72}, {-2, 0}, {3, 1}, {-1, 2}, {0, -4}}, same(0.004),
		[]float64{nan, -70.907, -.104, nan, nan, nan}, []float64{nan, 3.525, nan, nan, nan, nan}, -45.831},
	{"J3", [6][]float64{{2, -3}, {-70, 4}, {-2, 0}, {3, 1}, {-1, 2}, {0, -4}}, same(0.004),
		[]float64{nan, .603, nan, nan, nan, nan}, []float64{nan, 2.555, nan, nan, nan, nan}, nan},
	{"J4", [6][]float64{{-55, -60}, {-70, -72}, {-48, -41}, {3, 1}, {-1, 2}, {0, -4}}, same(0.004),
		[]float64{-58.41, -69.49, -43.51, -.43, 1.25, -1.90}, []float64{nan, nan, nan, nan, nan, nan}, nan},
	{"J5", [6][]float64{{-55, -60}, {-70, -72}, {-48, -41}, {3, 1}, {-1, 2}, {0, -4}}, [6]float64{.3, .3, .3, .004, .004, .004},
		[]float64{nan, nan, nan, .905, .054, -.903}, []float64{nan, nan, nan, nan, 2.07, nan}, nan},
	{"J6", [6][]float64{{2}, {-70}, {-2}, {3}, {-1}, {0}}, same(1e-4),
		[]float64{nan, -6.57, nan, nan, nan, nan}, []float64{nan, 21.9, nan, nan, nan, nan}, nan},
}

var nan = math.NaN()

func same(p float64) [6]float64 { return [6]float64{p, p, p, p, p, p} }

// oneFret is a fret read so, walked with the chances that the cases were worked
// out with.
func oneFret(readings [6][]float64, pi [6]float64) (*net, *fretNode) {
	p := newLanesPrior([]float64{1, .6, .2, -.2, -.6, -1})
	n := &net{scales: firstScales(), kappaAt: -1, walkers: map[*lanesPrior][]*walker{}}
	n.scales.chance = [kinds]float64{usual: .88, seat: .06, arch: .03, rough: 0, freely: .02, wild: .01}
	f := &fretNode{fret: 1, prior: &p, pi: pi[:], beta: []float64{.012, .012, .012, .012, .012, .012}, rows: make([][]int, 6), crowns: []int{0, 1, 2, 3, 4, 5}, stale: true, rough: 1}
	for l, list := range readings {
		for _, v := range list {
			f.rows[l] = append(f.rows[l], len(n.rows))
			n.rows = append(n.rows, line1{crown: l, value: v, u: 5, misread: misreadChance})
		}
	}
	n.frets = []*fretNode{f}
	b := beamWidth{keep: 64, behind: 30, report: 64} // as the cases were worked out
	if slices.Max(f.pi) < amongGrooves {
		b = beamWidth{keep: 256, behind: 38, report: 128} // a quarter of it is used
	}
	n.walkAll(b)
	return n, f
}

func TestWalk_AllExplanations(t *testing.T) {
	for _, k := range walkCases {
		_, f := oneFret(k.readings, k.pi)
		if !math.IsNaN(k.evidence) && math.Abs(f.log-k.evidence) > 2e-3 {
			t.Errorf("%s: ln evidence %.4f, want %.3f", k.id, f.log, k.evidence)
		}
		for l := range 6 {
			mean, square := 0.0, 0.0
			for _, e := range f.exps {
				mean += e.chance * e.h[l]
				square += e.chance * (e.h[l]*e.h[l] + e.cov[l*6+l])
			}
			if !math.IsNaN(k.h[l]) && math.Abs(mean-k.h[l]) > 0.02 {
				t.Errorf("%s: lane %d h %.3f, want %.3f", k.id, l+1, mean, k.h[l])
			}
			if u := math.Sqrt(square - mean*mean); !math.IsNaN(k.u[l]) && math.Abs(u-k.u[l]) > 0.02*math.Max(1, k.u[l]/5) {
				t.Errorf("%s: lane %d u %.3f, want %.3f", k.id, l+1, u, k.u[l])
			}
		}
	}
}
