package board

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// A smooth board: what a lane does beside a straight line is a Gaussian process
// with Matérn's covariance of order 3/2 (Rasmussen and Williams 2006, 4.17), and
// a little roughness from slot to slot. The sizes are this program's own, tried
// on simulated boards.
const (
	reachMM     = 60.0  // over which heights resemble each other
	roughMM     = 0.003 // from slot to slot
	usualMM     = 0.012 // median of the process's standard deviation
	usualSpread = 1.0   // of its logarithm
	freeMM      = 10.0  // a set-up's offset and tilt, as good as unknown
)

// A reading is odd where it stands this many standard deviations, and this far,
// off what the others of its lane say.
const (
	oddSigmas = 5.0
	minOdd    = 0.02 // mm
	// A neighbour bears it out with at least this part of it, and this surely.
	bornPart   = 0.5
	bornSigmas = 3.0
	// besideMM is how near a slot of another lane must lie to bear it out.
	besideMM = 25.0
	// maxOdd is the part of a lane's readings that may be set aside.
	maxOdd = 0.25
)

// item is one reading as the smooth board sees it.
type item struct {
	row     *row // or
	gap     *gap
	at      []int
	weights []float64
	setup   reading.Setup
	y       float64 // height less the wanted surface, up to the set-up
	u       float64
	agreed  bool
	aside   bool
	e, sd   float64 // off what the others say, and its standard deviation
}

// A reading may also be odd by less, where without it the rest is so much smoother
// that a misread (one in so many, anywhere within a millimetre) explains it better.
const (
	suspectSigmas = 3.0
	suspects      = 2 // of a lane, at a time
	misreadChance = 0.006
	oddOver       = 3.0 // how much better, in natural logarithms
)

// setAside finds the readings that stand alone against the others and sets them
// aside.
func (j *job) setAside() error {
	lanes := j.items()
	found := make([]smooth, len(lanes))
	room := make([]int, len(lanes))
	var err error
	for i, l := range lanes {
		if found[i], err = j.leaveOneOut(l); err != nil {
			return err
		}
		found[i].note()
		room[i] = int(maxOdd * float64(len(l)))
	}
	for i := 0; i < len(lanes); {
		odd, err := j.oddest(lanes, i, found[i])
		if err != nil {
			return err
		}
		if odd == nil || room[i] == 0 {
			i++
			continue
		}
		room[i]--
		odd.aside = true
		j.misread(odd)
		if found[i], err = j.leaveOneOut(lanes[i]); err != nil {
			return err
		}
		found[i].note()
	}
	if err := j.findKnocks(lanes); err != nil {
		return err
	}
	j.drop(lanes)
	return nil
}

// oddest is the reading of a lane that stands off the others the farthest, if far
// enough, and alone; nil where none does.
func (j *job) oddest(lanes [][]*item, lane int, all smooth) (*item, error) {
	var list []*item
	for _, k := range all.in {
		if !k.agreed && math.Abs(k.e) > math.Max(suspectSigmas*k.sd, minOdd) {
			list = append(list, k)
		}
	}
	slices.SortStableFunc(list, func(a, b *item) int { return cmp.Compare(math.Abs(b.e)/b.sd, math.Abs(a.e)/a.sd) })
	for _, k := range list[:min(len(list), suspects)] {
		if j.borneOut(lanes, lane, k) {
			k.agreed = true
			continue
		}
		if math.Abs(k.e) > oddSigmas*k.sd {
			return k, nil
		}
		k.aside = true
		rest, err := j.leaveOneOut(lanes[lane])
		k.aside = false
		if err != nil {
			return nil, err
		}
		if rest.evidence+math.Log(misreadChance)+noiseLog-all.evidence > oddOver {
			return k, nil
		}
	}
	return nil, nil
}

// noiseLog is ½ ln 2π, which evidence leaves out of each reading.
const noiseLog = 0.9189385332046727

// items lists each lane's readings.
func (j *job) items() [][]*item {
	index := map[float64]int{}
	out := make([][]*item, len(j.places.lanes))
	for i, s := range j.places.lanes {
		index[s.lane] = i
	}
	for i := range j.rows {
		r := &j.rows[i]
		k := &item{row: r, at: r.at, weights: r.weights, setup: r.setup, y: r.value, u: r.u, agreed: r.agreed}
		out[index[r.lane]] = append(out[index[r.lane]], k)
	}
	for i := range j.feelers {
		f := &j.feelers[i]
		for k := range f.gaps {
			g := &f.gaps[k]
			u := math.Hypot((g.hi-g.lo)/2/math.Sqrt(3), g.u)
			out[index[f.setup.Lane]] = append(out[index[f.setup.Lane]], &item{gap: g, at: []int{g.at},
				weights: []float64{1}, setup: f.setup, y: -g.middle(), u: u})
		}
	}
	for _, l := range out {
		first := map[reading.Setup]float64{}
		for _, k := range l {
			for i, p := range k.at {
				k.y -= k.weights[i] * j.places.list[p].surface
			}
			if k.setup == (reading.Setup{}) {
				continue
			}
			if _, known := first[k.setup]; !known {
				first[k.setup] = k.y
			}
			k.y -= first[k.setup] // an offset less; the set-up has its own
		}
	}
	return out
}

// smooth is a lane's readings as a smooth board explains them.
type smooth struct {
	in       []*item
	inverse  mat.SymDense // of the readings' covariance
	by       mat.VecDense // inverse times the readings
	evidence float64      // logarithm
}

// leaveOneOut tells how far each reading of a lane is off what the others
// say, by the size of process that they make likeliest. Source: Rasmussen and
// Williams 2006, 5.8 and 5.12, from memory.
func (j *job) leaveOneOut(items []*item) (smooth, error) {
	var m smooth
	for _, k := range items {
		if !k.aside {
			m.in = append(m.in, k)
		}
	}
	if len(m.in) == 0 {
		return m, nil
	}
	shape, rest := j.covariances(m.in)
	y := mat.NewVecDense(len(m.in), nil)
	for i, k := range m.in {
		y.SetVec(i, k.y)
	}
	m.evidence = math.Inf(-1)
	var chosen mat.Cholesky
	for _, sigma := range []float64{0.004, 0.01, 0.025, 0.06, 0.15} {
		cov := mat.NewSymDense(len(m.in), nil)
		cov.ScaleSym(sigma*sigma, shape)
		cov.AddSym(cov, rest)
		var chol mat.Cholesky
		var by mat.VecDense
		if !chol.Factorize(cov) || chol.SolveVecTo(&by, y) != nil {
			return m, errSingular
		}
		off := math.Log(sigma/usualMM) / usualSpread
		if evidence := -(mat.Dot(y, &by) + chol.LogDet() + off*off) / 2; evidence > m.evidence {
			m.evidence, m.by, chosen = evidence, by, chol
		}
	}
	if chosen.InverseTo(&m.inverse) != nil {
		return m, errSingular
	}
	return m, nil
}

// note tells each reading how far it is off what the others say.
func (m smooth) note() {
	for i, k := range m.in {
		k.e, k.sd = m.by.AtVec(i)/m.inverse.At(i, i), 1/math.Sqrt(m.inverse.At(i, i))
	}
}

// covariances of a lane's readings: the process with standard deviation 1, and
// all else.
func (j *job) covariances(in []*item) (shape, rest *mat.SymDense) {
	n := len(in)
	shape, rest = mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	list := j.places.list
	end := list[in[len(in)-1].at[0]].x
	for i, a := range in {
		for k := i; k < n; k++ {
			b := in[k]
			var s, r float64
			for p, pa := range a.at {
				for q, qb := range b.at {
					w := a.weights[p] * b.weights[q]
					d := math.Sqrt(3) * math.Abs(list[pa].x-list[qb].x) / reachMM
					s += w * (1 + d) * math.Exp(-d)
					if pa == qb {
						r += w * roughMM * roughMM
					}
				}
			}
			if a.setup == b.setup && a.setup != (reading.Setup{}) {
				ta, tb := 2*list[a.at[0]].x/end-1, 2*list[b.at[0]].x/end-1
				r += freeMM * freeMM * (1 + ta*tb)
			}
			if i == k {
				r += a.u * a.u
			}
			shape.SetSym(i, k, s)
			rest.SetSym(i, k, r)
		}
	}
	return shape, rest
}

// borneOut reports whether a neighbour in the same pass, or a slot beside it in
// another lane, stands off the same way: then it is the board, not a misread.
func (j *job) borneOut(lanes [][]*item, lane int, odd *item) bool {
	here := j.places.list[odd.at[0]]
	for i, l := range lanes {
		for _, k := range l {
			there := j.places.list[k.at[0]]
			if i != lane && !k.aside && math.Abs(there.at.X-here.at.X) < besideMM && k.e*odd.e > 0 &&
				math.Abs(k.e) >= math.Max(bornPart*math.Abs(odd.e), bornSigmas*k.sd) {
				return true
			}
		}
	}
	return j.besideIt(lanes[lane], odd)
}

// besideIt reports whether the reading before or after in the same pass stands
// off the pass's line the same way.
func (j *job) besideIt(items []*item, odd *item) bool {
	at := map[int]float64{}
	for _, k := range items {
		if k.setup == odd.setup && k.setup != (reading.Setup{}) && !k.aside && k != odd {
			if _, known := at[k.at[0]]; !known {
				at[k.at[0]] = k.y
			}
		}
	}
	at[odd.at[0]] = odd.y
	places := slices.Sorted(maps.Keys(at))
	if len(places) < minOfPass {
		return false
	}
	x, y := make([]float64, len(places)), make([]float64, len(places))
	here := 0
	for i, p := range places {
		x[i], y[i] = j.places.list[p].x, at[p]
		if p == odd.at[0] {
			here = i
		}
	}
	a, b, err := straight.ReferenceLine(x, y)
	if err != nil {
		return false
	}
	off := func(i int) float64 { return y[i] - a - b*x[i] }
	if off(here)*odd.e <= 0 {
		return false
	}
	for _, i := range []int{here - 1, here + 1} {
		if i >= 0 && i < len(places) && off(i)*odd.e > 0 && math.Abs(off(i)) >= bornPart*math.Abs(off(here)) {
			return true
		}
	}
	return false
}

// misread names an item that was set aside.
func (j *job) misread(k *item) {
	p := j.places.list[k.at[len(k.at)/2]]
	m := Misread{Fret: p.fret, Lane: p.lane, Why: OddInLane, OffMM: math.Abs(k.e)}
	if g := k.gap; g != nil {
		m.Reading, m.ValueMM, m.ExpectedMM = g.reading, j.readings[g.reading].Value, math.Max(0, g.middle()+k.e)
	} else {
		m.Reading, m.ValueMM = k.row.reading, j.readings[k.row.reading].Value
		if k.row.method == reading.Probe {
			m.ValueMM = j.readings[k.row.reading].Z
		}
		m.ExpectedMM = m.ValueMM + k.row.readAs(-k.e)
	}
	j.a.Misreads = append(j.a.Misreads, m)
}

// drop takes the readings set aside out of rows and gaps, and notes the places that
// have no other.
func (j *job) drop(lanes [][]*item) {
	j.aside = map[int]bool{}
	held := map[int]bool{}
	for _, k := range slices.Concat(lanes...) {
		on := held
		if k.aside {
			on = j.aside
			if k.row != nil {
				k.row.aside = true
			} else {
				k.gap.aside = true
			}
		}
		for _, p := range k.at {
			on[p] = true
		}
	}
	maps.DeleteFunc(j.aside, func(p int, _ bool) bool { return held[p] })
	for i := range j.feelers {
		j.feelers[i].arrange()
	}
}
