package findings

import (
	"slices"
	"sort"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// determine proposes what determines the open crowns, lanes that ask the same in
// one row.
func (n *Neck) determine(g gauges) []Next {
	byLane := map[float64][]int{}
	whole := map[float64]bool{}
	var lanes []float64
	for _, u := range n.Estimate.Undetermined {
		if byLane[u.Lane] == nil {
			lanes = append(lanes, u.Lane)
		}
		byLane[u.Lane] = append(byLane[u.Lane], u.Fret)
		whole[u.Lane] = u.Why == heights.WhyLaneNotRead
	}
	sort.Float64s(lanes)
	var out []Next
	for _, lane := range lanes {
		out = append(out, n.determineLane(g, lane, byLane[lane], whole[lane]))
	}
	out = joined(out)
	for i, x := range out {
		if _, alone := g.along(x.Lane); alone != "" {
			out[i].Alone = alone // why another gauge is asked for, once
			break
		}
	}
	return out
}

func (n *Neck) determineLane(g gauges, lane float64, missing []int, whole bool) Next {
	method, _ := g.along(lane)
	x := Next{Method: string(method), Lane: lane, Lanes: []float64{lane}, Frets: missing, Passes: 1}
	some, spec := len(n.lane(lane).Frets) >= 2, method.Spec()
	switch {
	case spec.SetUp == reading.Frame:
		x.For = TouchAcross
	case whole:
		x.For = LaneNotRead
	case spec.Frets > 1 && some:
		x.For, x.Frets = NotDetermined, n.widened(missing)
	case some:
		x.For, x.Frets = WithTwo, n.withTwo(lane, missing)
	default:
		x.For, x.Frets = WholeLane, n.all()
	}
	return x
}

// withTwo adds to the open frets of a lane two determined ones, either side of them
// where there are: a pass over all of these ties the open ones to the lane.
func (n *Neck) withTwo(lane float64, missing []int) []int {
	known := n.lane(lane).Frets
	after := sort.SearchInts(known, slices.Max(missing))
	before := sort.SearchInts(known, slices.Min(missing)) - 1
	pair := []int{known[max(before, 0)], known[min(after, len(known)-1)]}
	if pair[0] == pair[1] || before < 0 || after == len(known) {
		pair = known[:2]
		if before >= 0 {
			pair = known[len(known)-2:]
		}
	}
	out := slices.Concat(missing, pair)
	slices.Sort(out)
	return slices.Compact(out)
}
