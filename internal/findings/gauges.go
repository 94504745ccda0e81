package findings

import (
	"ringtrue/internal/reading"
)

// gauges is what the readings were taken with: for each lane, and for 0, which
// stands for the whole neck, the sum of 1/u² of each method's readings.
type gauges map[float64]map[reading.Method]float64

// wholeNeck is the place of all lanes together.
const wholeNeck = 0

func gaugesOf(readings []reading.Reading) gauges {
	g := gauges{wholeNeck: {}}
	for _, r := range readings {
		if r.Method.Spec().Rank == 0 || !(r.U > 0) {
			continue
		}
		weight := 1 / (r.U * r.U)
		g[wholeNeck][r.Method] += weight
		if r.Lane > 0 {
			if g[r.Lane] == nil {
				g[r.Lane] = map[reading.Method]float64{}
			}
			g[r.Lane][r.Method] += weight
		}
	}
	return g
}

func (g gauges) uses(m reading.Method) bool { return g[wholeNeck][m] > 0 }

// along is the gauge to read a lane with: the one that tells most in that lane,
// else on the neck. Where none that was used can do it, it is a beam; alone
// is what was used, then.
func (g gauges) along(lane float64) (m, alone reading.Method) {
	for _, at := range []float64{lane, wholeNeck} {
		most := 0.0
		for _, method := range reading.AlongLane() {
			if w := g[at][method]; w > most {
				m, most = method, w
			}
		}
		if most > 0 {
			return m, ""
		}
	}
	for _, m := range reading.OfCrowns() {
		if g.uses(m) {
			alone = m
		}
	}
	return reading.Beam, alone
}

// all are the neck's frets.
func (n *Neck) all() []int {
	var frets []int
	for f := n.Layout.FirstFret(); f <= n.Layout.LastFret(); f++ {
		frets = append(frets, f)
	}
	return frets
}

// three are three frets in a row from first on, moved where the neck ends.
func (n *Neck) three(first int) []int {
	all := n.all()
	from := max(min(first-all[0], len(all)-3), 0)
	return all[from:min(from+3, len(all))]
}

// beside is a fret between its neighbours.
func (n *Neck) beside(fret int) []int { return n.three(fret - 1) }

// endingAt is a fret after its two neighbours, or before them near the nut.
func (n *Neck) endingAt(fret int) []int {
	if fret-2 < n.Layout.FirstFret() {
		return n.three(fret)
	}
	return n.three(fret - 2)
}

// widened adds to each stretch of ascending frets a neighbour on either side,
// or two on one side where the neck ends: a chain of three-fret readings over
// it then stands on two crowns beyond it.
func (n *Neck) widened(frets []int) []int {
	in := map[int]bool{}
	first, last := n.Layout.FirstFret(), n.Layout.LastFret()
	for i := 0; i < len(frets); i++ {
		from := frets[i]
		for i+1 < len(frets) && frets[i+1] == frets[i]+1 {
			i++
		}
		lo, hi := from-1, frets[i]+1
		if lo < first {
			lo, hi = first, hi+1
		}
		if hi > last {
			lo, hi = lo-1, last
		}
		for f := max(lo, first); f <= hi; f++ {
			in[f] = true
		}
	}
	var out []int
	for _, f := range n.all() {
		if in[f] {
			out = append(out, f)
		}
	}
	return out
}
