package board

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"ringtrue/internal/feelers"
	"ringtrue/internal/geometry"
	equation "ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// place is where the board was read: just behind a slot, in a lane.
type place struct {
	fret    int
	lane    float64
	x       float64 // along the lane from its nut line, mm
	at      geometry.Point
	surface float64 // the wanted board's height there, mm
}

// places lists what was read, by lane and slot.
type places struct {
	list  []place
	lanes []span
}

// span is a lane's run in places.list.
type span struct {
	lane     float64
	from, to int // list[from:to]
}

type spot struct {
	fret int
	lane float64
}

// row is a reading as an equation: Σ weight·height = value + set-up ± u.
type row struct {
	reading int
	method  reading.Method
	lane    float64
	at      []int // places
	weights []float64
	setup   reading.Setup // zero where the reading has none of its own
	value   float64
	u       float64
	readAs  func(height float64) float64 // the reading that a value would have been
	agreed  bool                         // several touches that agree: no lone reading
	aside   bool
}

// laidEdge are the gaps under a straight edge in one set-up: each lies between
// the leaf that enters and the one that does not.
type laidEdge struct {
	setup reading.Setup
	gaps  []gap
}

type gap struct {
	at, reading int     // the place, and the reading's
	lo, hi      float64 // mm
	u           float64 // how surely a leaf enters or not, mm
	aside       bool
}

func (g gap) middle() float64 { return (g.lo + g.hi) / 2 }

// brackets are the gaps at x.
func brackets(x []float64, gaps []gap) straight.Brackets {
	b := straight.Brackets{X: x}
	for _, g := range gaps {
		b.Lo, b.Hi, b.U = append(b.Lo, g.lo), append(b.Hi, g.hi), append(b.U, g.u)
	}
	return b
}

// minU is the least standard uncertainty that a reading is believed, mm: no gauge
// of a workshop does better, and it keeps the sums of one size.
const minU = 1e-4

// collect sorts the readings into places, equations and feeler gaps.
func (j *job) collect() {
	leaves := j.leafPasses()
	raw := j.raw(leaves)
	seen := map[spot]bool{}
	for _, r := range raw {
		for _, f := range r.frets {
			seen[spot{f, r.lane}] = true
		}
	}
	j.place(seen)
	index := make(map[spot]int, len(j.places.list))
	for i, p := range j.places.list {
		index[spot{p.fret, p.lane}] = i
	}
	gaps := map[reading.Setup]int{}
	for _, r := range raw {
		for _, f := range r.frets {
			r.row.at = append(r.row.at, index[spot{f, r.lane}])
		}
		if !r.leaf {
			if r.row.weights == nil {
				r.row.weights = j.weigh(r.row)
			}
			j.rows = append(j.rows, r.row)
			continue
		}
		k, known := gaps[r.row.setup]
		if !known {
			k = len(j.feelers)
			gaps[r.row.setup] = k
			j.feelers = append(j.feelers, laidEdge{setup: r.row.setup})
		}
		f := &j.feelers[k]
		f.gaps = append(f.gaps, gapOf(r.row, j.readings[r.row.reading]))
	}
}

// rawRow is a row whose places are still named by slot.
type rawRow struct {
	row
	frets []int
	leaf  bool
}

// leafPasses are the set-ups of an edge in which some gap names the leaf that
// did not enter.
func (j *job) leafPasses() map[reading.Setup]bool {
	out := map[reading.Setup]bool{}
	for _, r := range j.readings {
		if r.AlongGap() && r.NoGo != nil {
			out[r.Setup()] = true
		}
	}
	return out
}

// raw turns readings of heights into rows, those of one-sided answers left out.
func (j *job) raw(leaves map[reading.Setup]bool) []rawRow {
	var out []rawRow
	for i, r := range j.readings {
		k := rawRow{row: row{reading: i, method: r.Method, lane: r.Lane, value: r.Value, u: r.U, readAs: same}, frets: r.Frets}
		switch s := r.Method.Spec(); {
		case s.Rank == 0 || s.SetUp == reading.Frame:
			continue
		case s.SetUp == reading.OffsetTilt:
			k.setup, k.weights, k.leaf = r.Setup(), []float64{1}, s.Gap && leaves[r.Setup()]
			if equation.Weights(r.Method, 0)[0] < 0 { // a gap is the edge less the board
				k.value, k.readAs = -r.Value, negative
			}
		case s.Rocks:
			if r.Answer != reading.Number || r.Value == 0 {
				j.oneSided = append(j.oneSided, spot{r.Frets[1], r.Lane})
				continue
			}
			if r.NoGo != nil { // an even distribution over the step, JCGM 100:2008, 4.3.7
				half := (*r.NoGo - r.Value) / 2
				k.value, k.u = r.Value+half, math.Hypot(half/math.Sqrt(3), leafOf(r))
			}
		}
		out = append(out, k)
	}
	return append(out, j.touched()...)
}

func same(v float64) float64     { return v }
func negative(v float64) float64 { return -v }

// leafOf is how surely a leaf was felt.
func leafOf(r reading.Reading) float64 {
	if r.UGiven {
		return r.U
	}
	return feelers.FeltMM
}

// place lists the places that were read and their lanes.
func (j *job) place(seen map[spot]bool) {
	p := &places{list: make([]place, 0, len(seen))}
	for s := range seen {
		at := j.l.At(s.fret, s.lane)
		p.list = append(p.list, place{s.fret, s.lane, j.l.LaneX(s.fret, s.lane), at, j.l.Surface(at)})
	}
	slices.SortFunc(p.list, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.lane, b.lane), cmp.Compare(a.fret, b.fret))
	})
	for i, k := range p.list {
		if n := len(p.lanes); n == 0 || p.lanes[n-1].lane != k.lane {
			p.lanes = append(p.lanes, span{lane: k.lane, from: i})
		}
		p.lanes[len(p.lanes)-1].to = i + 1
	}
	j.places = p
}

// weigh gives a reading over three slots its weights.
func (j *job) weigh(r row) []float64 {
	x := func(k int) float64 { return j.places.list[r.at[k]].x }
	return equation.Weights(r.method, x(0), x(1), x(2))
}

// gapOf is a reading as a gap.
func gapOf(r row, of reading.Reading) gap {
	g := gap{at: r.at[0], reading: r.reading, u: of.U}
	if g.lo, g.hi = of.Ends(); of.NoGo != nil {
		g.u = leafOf(of)
	}
	return g
}

// arrange sorts gaps by place, those set aside left out, and joins those of one
// place to what all of them allow. Gaps that exclude each other are widened to what
// either allows.
func (f *laidEdge) arrange() {
	sort.SliceStable(f.gaps, func(i, j int) bool { return f.gaps[i].at < f.gaps[j].at })
	var out []gap
	for _, g := range f.gaps {
		n := len(out) - 1
		switch {
		case g.aside:
			continue
		case n < 0 || out[n].at != g.at:
			out = append(out, g)
			continue
		}
		lo, hi := math.Max(out[n].lo, g.lo), math.Min(out[n].hi, g.hi)
		if lo > hi {
			lo, hi = math.Min(out[n].lo, g.lo), math.Max(out[n].hi, g.hi)
		}
		out[n].lo, out[n].hi, out[n].u = lo, hi, math.Max(out[n].u, g.u)
	}
	f.gaps = out
}
