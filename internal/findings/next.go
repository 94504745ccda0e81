package findings

import (
	"fmt"
	"math"
	"sort"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// Next is a reading worth taking next: Passes more of Method over Frets.
type Next struct {
	Method string
	Lane   float64
	Frets  []int
	Passes int
	Why    string
}

// Most passes that are proposed: beyond it another gauge is wanted.
const mostPasses = 12

// Next lists the fewest readings that would settle what is open: what was set
// aside or never determined, and lanes in doubt. It proposes the gauges that
// the readings were taken with, and another one only where none of them would
// do. readings are those that the neck was judged by.
func (n *Neck) Next(readings []reading.Reading) []Next {
	g := gaugesOf(readings)
	var out []Next
	for _, m := range n.Estimate.Misreads {
		out = append(out, n.retake(m, readings[m.Reading], g))
	}
	out = append(out, n.determine(g)...)
	for _, l := range n.Lanes {
		if l.Judged.Verdict == straight.InDoubt {
			out = append(out, l.settle(n.Model.Level.Zone, g))
		}
	}
	return out
}

// settle proposes more passes over a lane in doubt.
func (l Lane) settle(limit float64, g gauges) Next {
	method, why := g.along(l.Lane.Lane)
	x := Next{Method: string(method), Lane: l.Lane.Lane, Frets: l.Frets}
	if l.Brackets != nil && method == reading.Edge {
		return l.byLeaf(limit, x)
	}
	settled := false
	x.Passes, settled = l.passesToSettle(limit, g.share(l.Lane.Lane, method))
	if settled {
		x.Why = fmt.Sprintf("its zone, %.3f ± %.3f mm, is too near the limit to call", l.Judged.Zone.WidthMM, l.Judged.UZoneMM)
	} else {
		x.Why = fmt.Sprintf("its zone, %.3f ± %.3f mm, stands at the limit: even %d more passes may not settle it; a finer gauge would",
			l.Judged.Zone.WidthMM, l.Judged.UZoneMM, mostPasses)
	}
	x.Why += why
	return x
}

// passesToSettle is how many passes like those there are bring the lane's
// uncertainty down until a verdict is said, its zone staying as it is. A pass
// brings share of what all the lane's readings together tell.
func (l Lane) passesToSettle(limit, share float64) (int, bool) {
	const sure = 2.326 // as the lane's verdict of not level wants
	bias := l.Judged.Zone.WidthMM - l.Judged.UnbiasedMM
	for p := 1; p <= mostPasses; p++ {
		shrink := 1 / math.Sqrt(1+float64(p)*share)
		u := l.Judged.UZoneMM * shrink
		truth := l.Judged.Zone.WidthMM - bias
		if truth+bias*shrink+1.645*u <= limit || truth-sure*u > limit {
			return p, true
		}
	}
	return mostPasses, false
}

// retake proposes what tells whether a reading that was set aside was misread:
// the surest gauge for a single fret that the maker uses.
func (n *Neck) retake(m heights.Misread, r reading.Reading, g gauges) Next {
	x := Next{Method: string(r.Method), Lane: m.Lane, Frets: r.Frets, Passes: 1,
		Why: fmt.Sprintf("tells whether fret %d in lane %g was misread or stands so", m.Fret, m.Lane)}
	switch r.Method {
	case reading.Probe:
		x.Frets = []int{m.Fret}
	case reading.Beam, reading.Edge:
		x.Frets = n.beside(m.Fret)
		switch {
		case g.uses(reading.Bridge):
			x.Method = string(reading.Bridge)
		case r.Method == reading.Beam:
			x.Why += "; a pass of its own"
		case g.uses(reading.Rocker):
			x.Method = string(reading.Rocker)
			if m.ValueMM > m.ExpectedMM { // a wide gap, so a low fret: it shows under the rocker's end
				x.Frets = n.endingAt(m.Fret)
			}
		default: // a long edge lies along the whole lane
			x.Frets = n.all()
			x.Why += "; a pass of its own"
		}
	}
	return x
}

// determine proposes what determines the open crowns, a lane at a time.
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
	told := false // why another gauge is asked for, once
	for _, lane := range lanes {
		method, why := g.along(lane)
		x := Next{Method: string(method), Lane: lane, Frets: byLane[lane], Passes: 1}
		known := n.known(lane)
		switch {
		case whole[lane]:
			x.Why = "this lane was not read"
		case known < 2:
			x.Why = "these crowns are not determined; read the whole lane in one pass"
			x.Frets = n.all()
		default:
			x.Why = "these crowns are not determined; read them in one pass with two determined ones or more"
		}
		switch method {
		case reading.Bridge:
			if !whole[lane] && known >= 2 {
				x.Why, x.Frets = "these crowns are not determined", n.widened(x.Frets)
			}
			x.Why += "; every three frets in a row, " + n.steps(x.Frets)
		case reading.Probe:
			x.Frets = byLane[lane]
			x.Why = "these crowns are not determined; touch each three times or more, across its crown"
		}
		if !told {
			x.Why += why
			told = why != ""
		}
		out = append(out, x)
	}
	return out
}

// known is how many crowns of a lane are determined.
func (n *Neck) known(lane float64) int {
	for _, l := range n.Lanes {
		if l.Lane.Lane == lane {
			return len(l.Frets)
		}
	}
	return 0
}
