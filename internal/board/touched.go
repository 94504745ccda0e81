package board

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// touchOff is how many of its standard uncertainties a touch may stand off the
// others behind one slot; three or more are needed to say which is wrong.
const touchOff = 4.0

// touched turns a probe's touches into rows: those behind one slot are averaged,
// moved along the wanted board to the lane.
func (j *job) touched() []rawRow {
	type key struct {
		spot
		pass string
	}
	groups := map[key][]int{}
	var order []key
	for i, r := range j.readings {
		if r.Method != reading.Probe {
			continue
		}
		k := key{j.nearest(r.X, r.Y), r.Pass}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], i)
	}
	slices.SortFunc(order, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.pass, b.pass), cmp.Compare(a.lane, b.lane), cmp.Compare(a.fret, b.fret))
	})
	out := make([]rawRow, 0, len(order))
	for _, k := range order {
		z, u, agreed, ok := j.average(k.spot, groups[k])
		if !ok {
			j.a.Open = append(j.a.Open, Open{k.fret, k.lane, Contrary})
			continue
		}
		out = append(out, rawRow{row: row{
			reading: groups[k][0], method: reading.Probe, lane: k.lane, weights: []float64{1},
			setup: reading.Setup{Method: reading.Probe, Lane: k.lane, Pass: k.pass},
			value: z, u: u, readAs: same, agreed: agreed,
		}, frets: []int{k.fret}})
	}
	return out
}

// average is the height that touches of one place agree on, and whether two or
// more do. A touch that two or more others contradict is named; ok is false
// where none is left.
func (j *job) average(s spot, touches []int) (z, u float64, agreed, ok bool) {
	at := j.l.At(s.fret, s.lane)
	heights := make([]float64, len(touches))
	for i, k := range touches {
		r := j.readings[k]
		heights[i] = r.Z + j.l.Surface(at) - j.l.Surface(geometry.Point{X: at.X, Y: r.Y})
	}
	median := num.Median(heights)
	weight, n, apart := 0.0, 0, 0.0
	for i, k := range touches {
		r := j.readings[k]
		off := math.Abs(heights[i] - median)
		if len(touches) > 2 && off > touchOff*r.U {
			j.a.Misreads = append(j.a.Misreads, Misread{k, s.fret, s.lane, r.Z, r.Z - heights[i] + median, OddTouching, off})
			continue
		}
		w := 1 / (r.U * r.U)
		z, weight, n, apart = z+w*heights[i], weight+w, n+1, math.Max(apart, off/r.U)
	}
	if n == 0 {
		return 0, 0, false, false
	}
	u = 1 / math.Sqrt(weight)
	if apart > touchOff { // two that contradict each other
		return z / weight, math.Max(u, (slices.Max(heights)-slices.Min(heights))/2), false, true
	}
	return z / weight, u, n > 1, true
}

// nearest is the slot and the whole lane closest to a touch.
func (j *job) nearest(x, y float64) spot {
	best, dist := spot{j.l.FirstFret(), 1}, math.Inf(1)
	for lane := 1; lane <= j.l.Strings(); lane++ {
		for f := j.l.FirstFret(); f <= j.l.LastFret(); f++ {
			p := j.l.At(f, float64(lane))
			if d := math.Hypot(p.X-x, p.Y-y); d < dist {
				best, dist = spot{f, float64(lane)}, d
			}
		}
	}
	return best
}
