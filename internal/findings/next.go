package findings

import (
	"fmt"
	"math"
	"sort"

	"ringtrue/internal/heights"
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
// aside or never determined, and lanes in doubt.
func (n *Neck) Next() []Next {
	out := n.retake()
	for _, l := range n.Lanes {
		if l.Judged.Verdict != straight.InDoubt {
			continue
		}
		passes, ok := l.passesToSettle(n.Model.Level.Zone)
		x := Next{Method: "beam", Lane: l.Lane.Lane, Frets: []int{l.Frets[0], l.Frets[len(l.Frets)-1]}, Passes: passes}
		if ok {
			x.Why = fmt.Sprintf("its zone, %.3f ± %.3f mm, is too near the limit to call", l.Judged.Zone.WidthMM, l.Judged.UZoneMM)
		} else {
			x.Why = fmt.Sprintf("its zone, %.3f ± %.3f mm, stands at the limit: even %d more passes may not settle it; a finer gauge would",
				l.Judged.Zone.WidthMM, l.Judged.UZoneMM, mostPasses)
		}
		out = append(out, x)
	}
	return out
}

// passesToSettle is how many passes like those there are bring the lane's
// uncertainty down until a verdict is said, its zone staying as it is.
func (l Lane) passesToSettle(limit float64) (int, bool) {
	const sure = 2.326 // as the lane's verdict of not level wants
	bias := l.Judged.Zone.WidthMM - l.Judged.UnbiasedMM
	for p := 1; p <= mostPasses; p++ {
		shrink := 1 / math.Sqrt(float64(1+p))
		u := l.Judged.UZoneMM * shrink
		truth := l.Judged.Zone.WidthMM - bias
		if truth+bias*shrink+1.645*u <= limit || truth-sure*u > limit {
			return p, true
		}
	}
	return mostPasses, false
}

// retake lists readings set aside, and crowns that nothing determines, a lane
// at a time.
func (n *Neck) retake() []Next {
	var out []Next
	for _, m := range n.Estimate.Misreads {
		frets := []int{}
		for f := m.Fret - 1; f <= m.Fret+1; f++ {
			if f >= n.Layout.FirstFret() && f <= n.Layout.LastFret() {
				frets = append(frets, f)
			}
		}
		out = append(out, Next{"bridge", m.Lane, frets, 1, fmt.Sprintf("tells whether fret %d in lane %g was misread or stands so", m.Fret, m.Lane)})
	}
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
	for _, lane := range lanes {
		why := "these crowns are not determined; read them in one pass with two determined ones or more"
		if whole[lane] {
			why = "this lane was not read"
		}
		out = append(out, Next{"beam", lane, byLane[lane], 1, why})
	}
	return out
}
