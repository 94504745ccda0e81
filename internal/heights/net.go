package heights

import (
	"encoding/binary"
	"math"

	"ringtrue/internal/reading"
)

// net is the readings of a neck as a mixture: frets, each with many
// explanations, and what all share (set-ups of passes, a gauge's own shape, the
// surface's share). Lengths are in µm, less the shape that the neck file asks for.
type net struct {
	c       *crowns
	obs     []observation
	rows    []line1
	frets   []*fretNode
	fretOf  []int // of a crown: place in frets
	laneOf  []int // of a crown: place in its fret
	theta   []float64
	scales  scales
	kappaAt int // place of the surface's share in theta, −1 where it is not seen
	setups  map[passKey]int
	shapeAt map[reading.Method]int
	walkers map[*lanesPrior][]*walker
	shape   []float64 // of each crown, µm
	done    func() error
}

// line1 is one reading: value = crown + Σ w·theta ± u.
type line1 struct {
	crown   int
	value   float64
	u       float64
	misread float64
	at      []int
	w       []float64
}

// fretNode is a fret's crowns with what is believed of them.
type fretNode struct {
	fret   int
	crowns []int   // places in net.c.list, by lane
	rows   [][]int // of each crown
	beta   []float64
	pi     []float64 // chance of a groove
	prior  *lanesPrior
	list   []fretRow // all its readings
	// loose is the chance that its first or its last lane's end yields to the gauge.
	loose     [2]float64
	looseSize float64
	// rough is how much likelier than elsewhere the fret is rough, from its
	// neighbours; nowRough the chance that it is.
	rough, nowRough float64

	comps       [][]component
	log         float64 // ln evidence
	exps        []explanation
	walkedAt    []float64 // residuals that exps were walked with
	walkedPi    []float64
	walkedRough float64
	stale       bool
}

const micro = 1000 // µm in a mm

// newNet lays out readings of one crown each.
func newNet(in Input, c *crowns, obs []observation) *net {
	n := &net{
		c: c, obs: obs, scales: firstScales(), kappaAt: -1, done: in.done,
		setups: map[passKey]int{}, shapeAt: map[reading.Method]int{}, walkers: map[*lanesPrior][]*walker{},
	}
	n.layShape(in)
	n.layFrets(in)
	n.layTheta()
	n.layRows(in)
	return n
}

func (n *net) layShape(in Input) {
	n.shape = make([]float64, len(n.c.list))
	for _, span := range n.c.lanes {
		frets := make([]int, 0, span.to-span.from)
		for _, k := range n.c.list[span.from:span.to] {
			frets = append(frets, k.fret)
		}
		for i, v := range in.Layout.Shape(span.lane, frets) {
			n.shape[span.from+i] = micro * v
		}
	}
}

// layFrets groups the crowns by fret, or takes each by itself where lanes are
// apart; those in the same lanes share a prior.
func (n *net) layFrets(in Input) {
	n.fretOf, n.laneOf = make([]int, len(n.c.list)), make([]int, len(n.c.list))
	priors := map[string]*lanesPrior{}
	for _, k := range n.grouped(in) {
		key := make([]byte, 0, 8*len(k.crowns))
		t := make([]float64, len(k.crowns))
		for l, i := range k.crowns {
			t[l] = 2*n.c.list[i].t/5 - 1
			key = binary.LittleEndian.AppendUint64(key, math.Float64bits(t[l]))
			n.fretOf[i], n.laneOf[i] = len(n.frets), l
		}
		if priors[string(key)] == nil {
			p := newLanesPrior(t)
			priors[string(key)] = &p
		}
		k.prior = priors[string(key)]
		k.rows = make([][]int, len(k.crowns))
		k.beta, k.pi = make([]float64, len(k.crowns)), make([]float64, len(k.crowns))
		k.stale, k.rough = true, 1
		n.frets = append(n.frets, k)
	}
}

// grouped are the frets with their crowns, by fret.
func (n *net) grouped(in Input) (out []*fretNode) {
	byFret := map[int][]int{}
	for i, k := range n.c.list {
		byFret[k.fret] = append(byFret[k.fret], i)
	}
	for f := in.Layout.FirstFret(); f <= in.Layout.LastFret(); f++ {
		switch crowns := byFret[f]; {
		case len(crowns) == 0:
		case n.c.apart:
			for _, i := range crowns {
				out = append(out, &fretNode{fret: f, crowns: []int{i}})
			}
		default:
			out = append(out, &fretNode{fret: f, crowns: crowns})
		}
	}
	return out
}

// layTheta gives every shared unknown its place.
func (n *net) layTheta() {
	size := 0
	for _, o := range n.obs {
		if _, known := n.setups[o.pass]; o.pass != (passKey{}) && !known {
			n.setups[o.pass] = size
			size += 2
		}
	}
	for _, m := range shapedMethods(n.obs) {
		n.shapeAt[m] = size
		size += ShapeTerms
	}
	if len(n.c.lanes) >= 3 && !n.c.apart {
		n.kappaAt = size
		size++
	}
	n.theta = make([]float64, size)
	if n.kappaAt >= 0 {
		n.theta[n.kappaAt] = coneShare
	}
}

// layRows makes a row of each reading, its crown's coefficient 1.
func (n *net) layRows(in Input) {
	surface := n.bareSurface()
	for i, o := range n.obs {
		crown := n.c.index[place{o.frets[0], o.lane}]
		sign := o.weights[0] // 1, or −1 of a gap
		r := line1{crown: crown, value: micro*sign*o.value - n.shape[crown], u: micro * o.u, misread: misreadChance}
		if o.method == reading.Probe {
			r.misread *= o.topDoubt()
		}
		if at, known := n.setups[o.pass]; known {
			x := n.scaledX(crown)
			r.at, r.w = append(r.at, at, at+1), append(r.w, sign, sign*x)
			if at, known := n.shapeAt[o.method]; known {
				for k, v := range OwnShape(x) {
					r.at, r.w = append(r.at, at+k), append(r.w, sign*o.sign*v)
				}
			}
		}
		if n.kappaAt >= 0 {
			r.at, r.w = append(r.at, n.kappaAt), append(r.w, surface[crown])
		}
		n.rows = append(n.rows, r)
		f := n.frets[n.fretOf[crown]]
		if at := &f.rows[n.laneOf[crown]]; len(*at) < maxReadings {
			*at = append(*at, i)
		}
	}
	for _, f := range n.frets {
		for l, rows := range f.rows {
			f.beta[l] = grooveChanceOnce
			if n.supported(rows) {
				f.beta[l] = grooveChance
			}
			f.pi[l] = f.beta[l]
		}
	}
}

// maxReadings is how many readings of one crown take part: far more than any
// crown needs.
const maxReadings = 60

// supported reports whether a crown's readings are more than one: two passes, or
// one top on which a probe's touches agree.
func (n *net) supported(rows []int) bool {
	if len(rows) > 1 {
		return true
	}
	return len(rows) == 1 && n.obs[rows[0]].method == reading.Probe && n.obs[rows[0]].topDoubt() < 1
}

// bareSurface is the intended surface at each crown less its lane's line, µm:
// what of it a pass's set-up does not take up.
func (n *net) bareSurface() []float64 {
	out := make([]float64, len(n.c.list))
	for _, span := range n.c.lanes {
		x, z := make([]float64, 0, span.to-span.from), make([]float64, 0, span.to-span.from)
		for _, k := range n.c.list[span.from:span.to] {
			x, z = append(x, k.x), append(z, micro*k.surface)
		}
		takeLine(x, z)
		copy(out[span.from:], z)
	}
	return out
}

// scaledX is a crown's x in its lane, −1 to 1 over the lane's crowns.
func (n *net) scaledX(crown int) float64 {
	for _, span := range n.c.lanes {
		if crown < span.to {
			a, b := n.c.list[span.from].x, n.c.list[span.to-1].x
			return (2*n.c.list[crown].x - a - b) / (b - a)
		}
	}
	return 0
}

// residual is a row's reading less its set-up.
func (n *net) residual(i int) float64 {
	r := &n.rows[i]
	v := r.value
	for k, at := range r.at {
		v -= r.w[k] * n.theta[at]
	}
	return v
}
