package board

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
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
	Why    Why            `json:"-"`
	Method reading.Method `json:"method"`
	Lanes  []float64      `json:"lanes"`
	Frets  []int          `json:"frets"`
	Whole  bool           `json:"-"` // all slots
	Such   [3]int         `json:"-"` // of ReadAcross: slots that would do
	Passes int            `json:"-"` // how many more passes, or readings across
	LeafMM float64        `json:"-"` // the leaf that settles it; 0 where none does
}

// ask puts a reading to take on the list.
func (j *job) ask(n Next) {
	if n.Lanes == nil {
		n.Lanes = []float64{}
	}
	if n.Frets == nil {
		n.Frets = []int{}
	}
	j.a.Next = append(j.a.Next, n)
}

// next lists what to read next, the most useful first.
func (j *job) next() {
	if j.a.Verdict == Ready {
		return
	}
	for _, m := range j.a.Misreads {
		again := Next{Why: ReadAgain, Method: j.readings[m.Reading].Method, Frets: []int{m.Fret}}
		if m.Lane != 0 {
			again.Lanes = []float64{m.Lane}
		}
		j.ask(again)
	}
	if j.a.Verdict == NotReady { // the board will be sanded and read as a whole
		return
	}
	for i, l := range j.a.Lanes {
		if l.lone >= 0 {
			j.ask(Next{Why: ReadAgain, Method: j.methodOf(i), Lanes: []float64{l.Lane}, Frets: []int{j.places.list[l.lone].fret}})
		}
	}
	for _, k := range j.a.Knocked {
		j.ask(Next{Why: ReadKnocked, Method: k.Method, Lanes: []float64{k.Lane}, Frets: []int{k.FromFret}})
	}
	for _, u := range j.a.Unread {
		k := Next{Why: ReadUnread, Method: j.along(), Lanes: u.Lanes, Frets: slotsFrom(u.FromFret, u.ToFret),
			Whole: u.FromFret == j.l.FirstFret() && u.ToFret == j.l.LastFret()}
		if u.Across {
			k.Method = reading.Arch
		}
		if u.few {
			k.Why, k.Such = ReadAcross, j.threeSlots()
		}
		j.ask(k)
	}
	j.nextTies()
	j.nextLanes()
	j.nextRadius()
	if len(j.a.Next) == 0 {
		j.ask(Next{Why: ReadTogether, Method: j.along(), Passes: 1})
	}
}

// threeSlots are three slots spread over the board.
func (j *job) threeSlots() [3]int {
	first, last := j.l.FirstFret(), j.l.LastFret()
	off := func(f int) float64 { return math.Abs(j.l.CentreX(f) - j.length()/2) }
	middle := slices.MinFunc(slotsFrom(first, last), func(a, b int) int { return cmp.Compare(off(a), off(b)) })
	return [3]int{first, middle, last}
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
		if s := r.Method.Spec(); s.Rank > 0 && s.Frets == 1 {
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
		j.ask(Next{Why: ReadTie, Method: j.along(), Lanes: []float64{l}, Frets: ascending(byLane[l])})
	}
}

// maxPasses is how many more passes, or times as many arch readings, are still
// worth proposing.
const (
	maxPasses = 4
	maxArches = 30
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
		if l.ZoneRangeMM != nil {
			k.why, k.leaf = ReadLeaf, j.leafFor(i)
		} else if k.passes = j.passesFor(l); k.passes > maxPasses {
			k.why, k.passes = ReadBorder, 0
		}
		n, known := at[k]
		if !known {
			n = len(j.a.Next)
			at[k] = n
			j.ask(Next{Why: k.why, Method: k.method, Passes: k.passes, LeafMM: k.leaf})
		}
		j.a.Next[n].Lanes = append(j.a.Next[n].Lanes, l.Lane)
	}
}

// passesFor is how many more passes settle a lane, by its distance from the limit.
func (j *job) passesFor(l Lane) int {
	margin := math.Abs(j.m.Board.Flat-l.ZoneMM) + l.UZoneMM/2 // noise widens a zone: the true one is likely less
	need := straight.UpperPoint(doubtful) * 1.2 * l.UZoneMM / margin
	return max(1, int(math.Ceil(need*need))-1)
}

// leafFor is the thickest usual leaf whose not entering anywhere along a lane
// would settle it; 0 where the gaps are larger than that already.
func (j *job) leafFor(i int) float64 {
	u, lo := 0.0, 0.0
	for _, g := range j.sources[i].gaps {
		u, lo = math.Max(u, g.u), math.Max(lo, g.lo)
	}
	most := j.m.Board.Flat - straight.UpperPoint(doubtful)*u*math.Sqrt(1.5)
	for _, leaf := range []float64{0.1, 0.05, 0.04, 0.03, 0.02, 0.015, 0.01, 0.005} { // mm, as usual
		if lo <= most && leaf <= most {
			return leaf
		}
	}
	return 0
}

// nextRadius asks for the arch readings that settle the radius.
func (j *job) nextRadius() {
	c := j.cone
	if c == nil || c.offChance <= doubtful || len(j.a.Next) > 0 && j.a.Next[len(j.a.Next)-1].Method == reading.Arch {
		return
	}
	k := Next{Why: ReadRadius, Method: reading.Arch}
	for _, a := range j.a.Arches {
		k.Frets = append(k.Frets, a.Fret)
	}
	k.Frets = ascending(k.Frets)
	if k.Passes = j.archesFor(); k.Passes > maxArches {
		k.Why, k.Passes = ReadBorder, 0
		switch {
		case c.scatter > 1:
			k.Why = ReadScatter
		case j.coarse():
			k.Why = ReadFiner
		}
	}
	j.ask(k)
}

// coarse reports whether the readings, not the board, keep the radius in doubt:
// it is off by well less than is allowed.
func (j *job) coarse() bool {
	const well = 0.7
	c := j.a.Cone
	return c != nil && math.Max(math.Abs(c.FromMM-c.FromWantedMM), math.Abs(c.ToMM-c.ToWantedMM)) < well*j.m.Board.RadiusWithin
}

// archesFor is how many more arch readings like these settle the radius.
func (j *job) archesFor() int {
	c, n := j.a.Cone, float64(len(j.a.Arches))
	if c == nil {
		return int(n)
	}
	need := 1.0
	for _, e := range [][3]float64{{c.FromMM, c.FromWantedMM, c.UFromMM}, {c.ToMM, c.ToWantedMM, c.UToMM}} {
		margin := math.Abs(j.m.Board.RadiusWithin - math.Abs(e[0]-e[1]))
		factor := (straight.UpperPoint(doubtful) + 0.5) * e[2] / math.Max(margin, 1e-9)
		need = math.Max(need, factor*factor)
	}
	return int(math.Ceil(math.Min(1e6, n*(need-1)+1)))
}
