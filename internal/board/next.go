package board

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
)

// Why is the reason for a reading.
type Why int

// The reasons for reading next.
const (
	ReadAgain    Why = iota // a reading that stands alone
	ReadKnocked             // a pass in which the gauge moved: again from there on
	ReadUnread              // a part of the board that was not read
	ReadAcross              // too few arch readings
	ReadLane                // a lane in doubt
	ReadLeaf                // a lane in doubt by feelers: a thinner leaf
	ReadRadius              // the radius in doubt
	ReadScatter             // arch readings that lie on no cone
	ReadFiner               // the gauge is too coarse for the limit
	ReadBorder              // in doubt at the very limit: more readings will hardly settle it
	ReadTie                 // places that no reading ties to the rest
	ReadTogether            // each is sure, all together are not
)

// Next is a reading worth taking next.
type Next struct {
	Why    Why
	Method reading.Method
	Lanes  []float64
	Frets  []int
	Passes int     // how many more passes, or readings across
	LeafMM float64 // the leaf that settles it; 0 where none does
}

// next lists what to read next, the most useful first.
func (j *job) next() {
	if j.a.Verdict == Ready {
		return
	}
	for _, m := range j.a.Misreads {
		j.a.Next = append(j.a.Next, Next{Why: ReadAgain, Method: j.readings[m.Reading].Method, Lanes: lanesOf(m.Lane), Frets: []int{m.Fret}})
	}
	if j.a.Verdict == NotReady { // the board will be sanded and read as a whole
		return
	}
	for i, l := range j.a.Lanes {
		if l.lone >= 0 {
			p := j.places.list[l.lone]
			j.a.Next = append(j.a.Next, Next{Why: ReadAgain, Method: j.methodOf(i), Lanes: []float64{l.Lane}, Frets: []int{p.fret}})
		}
	}
	for _, k := range j.a.Knocked {
		j.a.Next = append(j.a.Next, Next{Why: ReadKnocked, Method: k.Method, Lanes: []float64{k.Lane}, Frets: []int{k.FromFret}})
	}
	for _, u := range j.a.Unread {
		k := Next{Why: ReadUnread, Method: j.along(), Lanes: u.Lanes}
		if u.Across {
			k.Method = reading.Arch
		}
		if u.Few {
			k.Why = ReadAcross
		}
		for f := u.FromFret; f <= u.ToFret; f++ {
			k.Frets = append(k.Frets, f)
		}
		j.a.Next = append(j.a.Next, k)
	}
	j.nextTies()
	j.nextLanes()
	j.nextRadius()
	if len(j.a.Next) == 0 {
		j.a.Next = append(j.a.Next, Next{Why: ReadTogether, Method: j.along(), Passes: 1})
	}
}

func lanesOf(lane float64) []float64 {
	if lane == 0 {
		return nil
	}
	return []float64{lane}
}

// methodOf is how lane i was read.
func (j *job) methodOf(i int) reading.Method {
	if j.sources[i].gaps != nil {
		return reading.Edge
	}
	for _, r := range j.rows {
		if r.lane == j.a.Lanes[i].Lane {
			return r.method
		}
	}
	return j.along()
}

// along is the method that lanes were read by, a beam where none was.
func (j *job) along() reading.Method {
	for _, r := range j.readings {
		if r.Method == reading.Beam || r.Method == reading.Edge || r.Method == reading.Probe {
			return r.Method
		}
	}
	return reading.Beam
}

// nextTies asks for the places that nothing fixes.
func (j *job) nextTies() {
	byLane := map[float64][]int{}
	var lanes []float64
	for _, o := range j.a.Open {
		if byLane[o.Lane] == nil {
			lanes = append(lanes, o.Lane)
		}
		byLane[o.Lane] = append(byLane[o.Lane], o.Fret)
	}
	slices.Sort(lanes)
	for _, l := range lanes {
		slices.Sort(byLane[l])
		j.a.Next = append(j.a.Next, Next{Why: ReadTie, Method: j.along(), Lanes: []float64{l}, Frets: slices.Compact(byLane[l])})
	}
}

// mostPasses is how many more passes, or times as many arch readings, are still
// worth proposing.
const (
	mostPasses = 4
	mostArches = 30
)

// nextLanes asks for what settles lanes in doubt.
func (j *job) nextLanes() {
	type key struct {
		why    Why
		method reading.Method
		passes int
		leaf   float64
	}
	at := map[key]int{}
	for i, l := range j.a.Lanes {
		if l.Verdict != InDoubt || l.aside || l.knocked || l.lone >= 0 {
			continue
		}
		k := key{why: ReadLane, method: j.methodOf(i)}
		if l.RangeMM != nil {
			k.why, k.leaf = ReadLeaf, j.leafFor(i)
		} else if k.passes = j.passesFor(l); k.passes > mostPasses {
			k.why, k.passes = ReadBorder, 0
		}
		n, known := at[k]
		if !known {
			n = len(j.a.Next)
			at[k] = n
			j.a.Next = append(j.a.Next, Next{Why: k.why, Method: k.method, Passes: k.passes, LeafMM: k.leaf})
		}
		j.a.Next[n].Lanes = append(j.a.Next[n].Lanes, l.Lane)
	}
}

// passesFor is how many more passes settle a lane, by its distance from the limit.
func (j *job) passesFor(l Lane) int {
	margin := math.Abs(j.m.Board.Flat-l.ZoneMM) + l.UZoneMM/2 // noise widens a zone: the true one is likely less
	need := quantile(doubtful) * 1.2 * l.UZoneMM / margin
	n := int(math.Ceil(need*need)) - 1
	return max(1, n)
}

// leaves are usual feeler leaves, thickest first, in mm.
func leaves() []float64 { return []float64{0.1, 0.05, 0.04, 0.03, 0.02, 0.015, 0.01, 0.005} }

// leafFor is the thickest usual leaf whose not entering anywhere along a lane
// would settle it; 0 where the gaps are larger than that already.
func (j *job) leafFor(i int) float64 {
	g := j.sources[i].gaps
	u := 0.0
	for k := range g.lo {
		u = math.Max(u, g.u[k])
	}
	most := j.m.Board.Flat - quantile(doubtful)*u*math.Sqrt(1.5)
	for _, lo := range g.lo {
		if lo > most {
			return 0
		}
	}
	for _, leaf := range leaves() {
		if leaf <= most {
			return leaf
		}
	}
	return 0
}

// nextRadius asks for the arch readings that settle the radius.
func (j *job) nextRadius() {
	c := j.a.Cone
	if c == nil || c.OffChance <= doubtful || len(j.a.Next) > 0 && j.a.Next[len(j.a.Next)-1].Method == reading.Arch {
		return
	}
	k := Next{Why: ReadRadius, Method: reading.Arch}
	for _, a := range j.a.Arches {
		k.Frets = append(k.Frets, a.Fret)
	}
	slices.Sort(k.Frets)
	k.Frets = slices.Compact(k.Frets)
	if k.Passes = j.archesFor(c); k.Passes > mostArches {
		k.Why, k.Passes = ReadBorder, 0
		switch {
		case c.Scatter > 1:
			k.Why = ReadScatter
		case j.coarse(c):
			k.Why = ReadFiner
		}
	}
	j.a.Next = append(j.a.Next, k)
}

// coarse reports whether the readings, not the board, keep the radius in doubt:
// it is off by well less than is allowed.
func (j *job) coarse(c *Cone) bool {
	const well = 0.7
	if math.IsInf(c.NutMM, 1) {
		return false
	}
	off := math.Max(math.Abs(c.FromMM-j.l.Radius(j.l.CentreX(c.FromFret))), math.Abs(c.ToMM-j.l.Radius(j.l.CentreX(c.ToFret))))
	return off < well*j.m.Board.RadiusWithin
}

// archesFor is how many more arch readings like these settle the radius.
func (j *job) archesFor(c *Cone) int {
	n := float64(len(j.a.Arches))
	if math.IsInf(c.NutMM, 1) {
		return int(n)
	}
	need := 1.0
	for _, e := range []struct{ x, r, u float64 }{
		{j.l.CentreX(c.FromFret), c.FromMM, c.UFromMM}, {j.l.CentreX(c.ToFret), c.ToMM, c.UToMM},
	} {
		margin := math.Abs(j.m.Board.RadiusWithin - math.Abs(e.r-j.l.Radius(e.x)))
		factor := (quantile(doubtful) + 0.5) * e.u / math.Max(margin, 1e-9)
		need = math.Max(need, factor*factor)
	}
	return int(math.Ceil(math.Min(1e6, n*(need-1)+1)))
}
