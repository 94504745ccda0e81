package heights

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/num"
)

// beginning is where a search starts: which readings of a lane its first line
// follows, and how likely grooves are near the nut.
type beginning struct {
	lowWeight float64 // of deviations below the line; 1 for all alike
	beyond    int     // the line follows the frets after this one; 0 for all
	played    bool    // grooves are likely on the first frets
}

// playedFrets is up to which fret strings wear most.
const playedFrets = 9

// playedChance is the chance of a groove there for starts that reckon with a
// played neck.
const playedChance = 0.2

// beginnings are three starts: all alike; from the upper crowns, which no string
// has worn; from the frets that are seldom played.
func beginnings() []beginning {
	return []beginning{{1, 0, false}, {0.3, 0, true}, {1, playedFrets, true}}
}

// typicalUM is the least that frets are taken to lie off.
const typicalUM = 10.0

// begin sets the set-ups by lines through each lane's readings and the chances
// to where the search starts.
func (n *net) begin(b beginning) {
	for _, span := range n.c.lanes {
		n.beginLane(span, b)
	}
	usually := n.rmsResidual()
	n.scales.offset = math.Max(offsetUM, 3*usually)
	n.scales.typical = math.Max(typicalUM, 2*usually)
	for _, f := range n.frets {
		for l := range f.pi {
			f.pi[l] = f.beta[l]
			if b.played && f.fret <= playedFrets {
				f.pi[l] = math.Max(f.pi[l], playedChance)
			}
		}
		f.stale = true
	}
}

// rmsResidual is how far the crowns stand off their lanes' lines.
func (n *net) rmsResidual() float64 {
	var all []float64
	for i := range n.rows {
		all = append(all, math.Abs(n.residual(i)))
	}
	return num.Median(all) / 0.6744897501960817
}

// beginLane lays a line through a lane's first pass and joins the others to it by
// the line of their differences.
func (n *net) beginLane(span laneSpan, b beginning) {
	passes, order := n.passesOf(span)
	known := map[int]float64{} // crown to reading less set-up
	for len(order) > 0 {
		k, overlap := 0, -1
		for i, at := range order {
			count := 0
			for _, r := range passes[at] {
				if _, ok := known[n.rows[r].crown]; ok {
					count++
				}
			}
			if count > overlap {
				k, overlap = i, count
			}
		}
		at := order[k]
		order = append(order[:k:k], order[k+1:]...)
		n.join(at, passes[at], known, overlap, b)
	}
}

// passesOf are a lane's rows by the place of their set-up.
func (n *net) passesOf(span laneSpan) (map[int][]int, []int) {
	passes := map[int][]int{}
	var order []int
	for i, r := range n.rows {
		if r.crown < span.from || r.crown >= span.to {
			continue
		}
		at := n.setups[n.obs[i].pass]
		if passes[at] == nil {
			order = append(order, at)
		}
		passes[at] = append(passes[at], i)
	}
	return passes, order
}

// join sets one pass's line: to what is known of its crowns, else through its own
// readings.
func (n *net) join(at int, rows []int, known map[int]float64, overlap int, b beginning) {
	var x, y []float64
	n.theta[at], n.theta[at+1] = 0, 0
	sign := 1.0
	for _, r := range rows {
		crown := n.rows[r].crown
		sign = n.rows[r].w[0]
		v := n.residual(r)
		if overlap >= 2 {
			k, ok := known[crown]
			if !ok {
				continue
			}
			v -= k
		} else if n.c.list[crown].fret <= b.beyond {
			continue
		}
		x, y = append(x, n.scaledX(crown)), append(y, v)
	}
	if len(x) < 3 && b.beyond > 0 {
		b.beyond = 0
		n.join(at, rows, known, overlap, b)
		return
	}
	low := b.lowWeight
	if overlap >= 2 {
		low = 1
	}
	a, slope := firstLine(x, y, low)
	n.theta[at], n.theta[at+1] = sign*a, sign*slope
	for _, r := range rows {
		if _, ok := known[n.rows[r].crown]; !ok {
			known[n.rows[r].crown] = n.residual(r)
		}
	}
}

// firstLine is a line of nearly least absolute deviations, those below it
// weighing low times as much, by reweighted least squares; exact enough to start.
func firstLine(x, v []float64, low float64) (at, slope float64) {
	const (
		rounds  = 30
		floorUM = 0.1 // deviations below it weigh alike
	)
	if len(x) == 0 {
		return 0, 0
	}
	if len(x) < 3 || slices.Min(x) == slices.Max(x) {
		return num.Median(v), 0
	}
	weights := make([]float64, len(x))
	for i := range weights {
		weights[i] = 1
	}
	for range rounds {
		at, slope = stat.LinearRegression(x, v, weights, false)
		for i := range x {
			d := v[i] - at - slope*x[i]
			weights[i] = 1 / math.Max(math.Abs(d), floorUM)
			if d < 0 {
				weights[i] *= low
			}
		}
	}
	return at, slope
}
