package filing

import (
	"math"
	"slices"
)

// standsOut ranks frets by how far they stand out in what they lose: the most of
// any lane; what a fret loses less the third largest of the others.
func (j *Job) standsOut() (frets []int, by map[int]float64) {
	by = map[int]float64{}
	for a, l := range j.Lanes {
		for i, f := range l.Frets {
			d := j.RemoveMM[a][i]
			if out := d - third(j.RemoveMM[a], i); d > spotDepth && out > spotOut && out > by[f] && !slices.Contains(j.Pressed, f) {
				by[f] = out
			}
		}
	}
	for f := range by {
		frets = append(frets, f)
	}
	slices.SortFunc(frets, func(p, q int) int {
		if by[p] != by[q] {
			return int(math.Copysign(1, by[q]-by[p]))
		}
		return p - q
	})
	return frets, by
}

// third is the third largest of values without the one at i; 0 where there is none.
func third(values []float64, i int) float64 {
	var top [3]float64
	for k, v := range values {
		if k == i {
			continue
		}
		for t := range top {
			if v > top[t] {
				copy(top[t+1:], top[t:])
				top[t] = v
				break
			}
		}
	}
	return top[2]
}

// spots are how fret f is filed alone: to so much above the plan, each from one lane
// to a next with a flat that runs straight between them. Where lanes differ too much
// for that, they are filed apart.
func (j *Job) spots(f int, h *Hand, short float64) (out []Spot) {
	want := make([]float64, len(j.Lanes))
	for a, l := range j.Lanes {
		if i, found := slices.BinarySearch(l.Frets, f); found {
			want[a] = j.RemoveMM[a][i] - short
		}
	}
	for from := 0; from < len(want); {
		if want[from] < spotLeast {
			from++
			continue
		}
		s := evenSpot(f, from, want[from:from+1], h)
		to := from + 1
		for to < len(want) && want[to] >= spotLeast {
			longer := evenSpot(f, from, want[from:to+1], h)
			if !longer.near(want) {
				break
			}
			s, to = longer, to+1
		}
		if s.Flats[0].WidthMM+s.Flats[len(s.Flats)-1].WidthMM > 0 {
			out = append(out, s)
		}
		from = to
	}
	return out
}

const (
	spotLeast = 0.004 // a lane that loses less is left to the beam
	spotOver  = 0.002 // no lane loses so much more than it should
)

// near reports whether a spot leaves little to the beam in every lane.
func (s *Spot) near(want []float64) bool {
	for _, f := range s.Flats {
		if want[f.Lane]-f.DepthMM > 0.004+0.35*want[f.Lane] {
			return false
		}
	}
	return true
}

// evenSpot files lanes on from one by depths as near as a flat can that runs
// straight from the first to the last, but none much deeper.
func evenSpot(fret, from int, want []float64, h *Hand) Spot {
	place, width := make([]float64, len(want)), make([]float64, len(want))
	for k, d := range want {
		place[k], width[k] = float64(k), h.flatFor(d)
	}
	first, last := ends(place, width)
	n := float64(max(1, len(want)-1))
	over := 0.0
	for k, d := range want {
		over = max(over, first+(last-first)*float64(k)/n-h.flatFor(d+spotOver))
	}
	first, last = roundTo(max(0, first-over), h.FlatWidths), roundTo(max(0, last-over), h.FlatWidths)
	s := Spot{Fret: fret}
	for k := range want {
		w := first + (last-first)*float64(k)/n
		s.Flats = append(s.Flats, Flat{fret, from + k, w, h.depthOf(w)})
	}
	return s
}

// ends are the values at the first and the last place of the straight line that
// fits best; none is below 0.
func ends(x, y []float64) (first, last float64) {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for i := range x {
		sx, sy = sx+x[i]/n, sy+y[i]/n
	}
	for i := range x {
		sxx, sxy = sxx+(x[i]-sx)*(x[i]-sx), sxy+(x[i]-sx)*(y[i]-sy)
	}
	slope := 0.0
	if sxx > 0 {
		slope = sxy / sxx
	}
	return max(0, sy+slope*(x[0]-sx)), max(0, sy+slope*(x[len(x)-1]-sx))
}
