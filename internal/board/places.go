package board

import (
	"math"
	"slices"
	"sort"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
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

// feelers are the gaps under a straight edge in one set-up: each lies between
// the leaf that enters and the one that does not.
type feelers struct {
	setup   reading.Setup
	at      []int // places
	reading []int
	lo, hi  []float64 // mm
	u       []float64 // how surely a leaf enters or not, mm
}

// leafU is how surely a leaf is felt to enter or not where the maker states
// nothing, mm (from memory; a practised hand does better).
const leafU = 0.003

// leastU is the least standard uncertainty that a reading is believed, mm: no gauge
// of a workshop does better, and it keeps the sums of one size.
const leastU = 1e-4

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
			j.feelers = append(j.feelers, feelers{setup: r.row.setup})
		}
		j.feelers[k].add(r.row, j.readings[r.row.reading])
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
		if r.Method == reading.Edge && r.NoGo != nil {
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
		switch r.Method {
		case reading.Beam:
			k.setup, k.weights = r.Setup(), []float64{1}
		case reading.Edge: // a gap is the edge less the board
			k.setup, k.weights, k.value, k.readAs = r.Setup(), []float64{1}, -r.Value, negative
			k.leaf = leaves[k.setup]
		case reading.Bridge:
		case reading.Rocker:
			if r.Answer != reading.Number || r.Value == 0 {
				j.oneSided = append(j.oneSided, spot{r.Frets[1], r.Lane})
				continue
			}
			if r.NoGo != nil { // an even distribution over the step, JCGM 100:2008, 4.3.7
				half := (*r.NoGo - r.Value) / 2
				k.value, k.u = r.Value+half, math.Hypot(half/math.Sqrt(3), leafOf(r))
			}
		default:
			continue
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
	return leafU
}

// place lists the places that were read and their lanes.
func (j *job) place(seen map[spot]bool) {
	p := &places{list: make([]place, 0, len(seen))}
	for s := range seen {
		at := j.l.At(s.fret, s.lane)
		p.list = append(p.list, place{s.fret, s.lane, j.l.LaneX(s.fret, s.lane), at, j.l.Surface(at)})
	}
	sort.Slice(p.list, func(i, k int) bool {
		a, b := p.list[i], p.list[k]
		if a.lane != b.lane {
			return a.lane < b.lane
		}
		return a.fret < b.fret
	})
	for i, k := range p.list {
		if n := len(p.lanes); n == 0 || p.lanes[n-1].lane != k.lane {
			p.lanes = append(p.lanes, span{lane: k.lane, from: i})
		}
		p.lanes[len(p.lanes)-1].to = i + 1
	}
	j.places = p
}

// weigh gives a reading over three slots its weights: a bridge's middle over the
// line of its outer two, a rocker's gap under the line of its first two.
func (j *job) weigh(r row) []float64 {
	x := func(k int) float64 { return j.places.list[r.at[k]].x }
	first := (x(2) - x(1)) / (x(2) - x(0))
	if r.method == reading.Bridge {
		return []float64{-first, 1, first - 1}
	}
	return []float64{-first / (1 - first), 1 / (1 - first), -1}
}

// add puts a gap in.
func (f *feelers) add(r row, of reading.Reading) {
	lo, hi := of.Value, of.Value
	if of.NoGo != nil {
		hi = math.Max(lo, *of.NoGo)
	}
	u := leafOf(of)
	if of.NoGo == nil {
		u = of.U
	}
	f.at, f.reading = append(f.at, r.at[0]), append(f.reading, r.reading)
	f.lo, f.hi, f.u = append(f.lo, lo), append(f.hi, hi), append(f.u, u)
}

// arranged sorts gaps by place and joins those of one place to what all of them
// allow. Gaps that exclude each other are widened to what either allows.
func (f feelers) arranged() feelers {
	order := make([]int, len(f.at))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return f.at[a] - f.at[b] })
	out := feelers{setup: f.setup}
	for _, i := range order {
		n := len(out.at) - 1
		if n < 0 || out.at[n] != f.at[i] {
			out.at, out.reading = append(out.at, f.at[i]), append(out.reading, f.reading[i])
			out.lo, out.hi, out.u = append(out.lo, f.lo[i]), append(out.hi, f.hi[i]), append(out.u, f.u[i])
			continue
		}
		lo, hi := math.Max(out.lo[n], f.lo[i]), math.Min(out.hi[n], f.hi[i])
		if lo > hi {
			lo, hi = math.Min(out.lo[n], f.lo[i]), math.Max(out.hi[n], f.hi[i])
		}
		out.lo[n], out.hi[n], out.u[n] = lo, hi, math.Max(out.u[n], f.u[i])
	}
	return out
}
