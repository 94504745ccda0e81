package board

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Sanding is the least that leaves the board one cone: every lane comes down to
// the same target, nothing is added.
type Sanding struct {
	// PlannedToMM is the zone that the board is sanded to: inside board.flat, so
	// that the next reading with the same gauge says straight.
	PlannedToMM float64 `json:"planned_to_mm"`
	MaxMM       float64 `json:"max_remove_mm"`
	NutMM       num.Opt `json:"radius_nut_mm"` // of the target; missing on a flat board
	LastMM      num.Opt `json:"radius_last_fret_mm"`
	// Tied reports whether arches, or a probe, say how the lanes' lines lie to each
	// other; without, they are taken to lie on the wanted cone.
	Tied  bool       `json:"lanes_tied"`
	Lanes []SandLane `json:"lanes"` // ascending
}

// SandLane is what to take off along a lane.
type SandLane struct {
	Lane float64 `json:"lane"`
	Read bool    `json:"read"` // else the board between its neighbours is taken for smooth
	Sand []Sand  `json:"sand"`
}

// Sand is what to take off behind a slot.
type Sand struct {
	Fret     int     `json:"fret"`
	RemoveMM float64 `json:"remove_mm"`
}

// SandRow is what to take off behind one slot, mm, a value a lane; 0 where nothing
// is.
type SandRow struct {
	Slot     int
	RemoveMM []float64
}

// BassFirst is the same with the lanes as the board lies, the bass side left.
func (s *Sanding) BassFirst() *Sanding {
	if s == nil {
		return nil
	}
	turned := *s
	turned.Lanes = slices.Clone(s.Lanes)
	slices.Reverse(turned.Lanes)
	return &turned
}

// Rows lists what to take off by slots, those left out where no lane loses as much
// as is worth a stroke.
func (s *Sanding) Rows() []SandRow {
	if s == nil {
		return nil
	}
	bySlot := map[int][]float64{}
	for i, l := range s.Lanes {
		for _, k := range l.Sand {
			if k.RemoveMM < minSandMM {
				continue
			}
			if bySlot[k.Fret] == nil {
				bySlot[k.Fret] = make([]float64, len(s.Lanes))
			}
			bySlot[k.Fret][i] = k.RemoveMM
		}
	}
	var rows []SandRow
	for _, slot := range slices.Sorted(maps.Keys(bySlot)) {
		rows = append(rows, SandRow{slot, bySlot[slot]})
	}
	return rows
}

// Deepest is where most comes off: the first such lane and slot.
func (s *Sanding) Deepest() (lane float64, slot int) {
	most := 0.0
	for _, l := range s.Lanes {
		for _, k := range l.Sand {
			if k.RemoveMM > most {
				most, lane, slot = k.RemoveMM, l.Lane, k.Fret
			}
		}
	}
	return lane, slot
}

// spotHeight is how high the board stands at a place, over the wanted cone.
type spotHeight struct {
	lane, fret int // lane: its place in Sanding.Lanes
	x, y       float64
	mm         float64
	cone       float64 // the same without the lane's own humps and dips
	across     float64 // below which the target keeps the radius there
	slope      float64 // how the height grows with the target's radius (curvature)
}

// minZonePart is the part of board.flat that a plan does not go below.
const minZonePart = 0.3

// sand plans the sanding of a board that is not ready: the target is a cone, tilted
// as it likes but not twisted against what was read, that takes the least wood off.
//
// With e the board's height over the wanted cone at a place, T the target's and ζ
// the zone, what comes off is r = max(0, e − T). T ≤ e + ζ keeps every place within
// ζ below the target; and T lies nowhere over the cone that was read but by a part
// of what the radius may stray, so that the block touches the board all over and
// leaves one cone, a dip apart. This is a linear program in T's five numbers, r and
// the deepest r, which has a little weight so that of plans that cost alike the one
// that wedges least is taken. A lane's own line is not read; each lane's middle
// course is taken to lie on the cone that arches and probe say.
func (j *job) sand() error {
	if j.a.Verdict != NotReady {
		return nil
	}
	bowed := slices.ContainsFunc(j.a.Findings, func(f Finding) bool { return f.Kind == Bow })
	if j.a.Waits = bowed && j.m.Body.Rod; j.a.Waits {
		return nil
	}
	s := &Sanding{Tied: j.cone != nil, PlannedToMM: j.plannedTo()}
	spots := j.spots(s)
	if len(spots) == 0 {
		return nil
	}
	room := j.radiusRoom()
	target, err := j.target(spots, s.PlannedToMM-j.ownShape(), room)
	if err != nil {
		return fmt.Errorf("the sanding: %w", err)
	}
	for _, k := range spots {
		if off := k.mm - target.at(k); off > 0 {
			s.Lanes[k.lane].Sand = append(s.Lanes[k.lane].Sand, Sand{k.fret, off})
			s.MaxMM = math.Max(s.MaxMM, off)
		}
	}
	if !j.flat() {
		s.NutMM = num.Some(j.l.Radius(0) + target.radius[0])
		s.LastMM = num.Some(j.l.Radius(target.last) + target.radius[1])
	}
	if s.MaxMM < minSandMM {
		return nil
	}
	sort.Slice(s.Lanes, func(i, j int) bool { return s.Lanes[i].Lane < s.Lanes[j].Lane })
	j.a.Sanding = s
	for i := range j.a.Lanes {
		for _, k := range s.Lanes {
			if k.Read && k.Lane == j.a.Lanes[i].Lane {
				j.a.Lanes[i].Sand = k.Sand
			}
		}
	}
	return nil
}

// minSandMM is the least that is worth a stroke: less rounds to nothing in
// hundredths of a millimetre.
const minSandMM = 0.005

// plannedTo is the widest zone that leaves room for the noise of the next reading.
func (j *job) plannedTo() float64 {
	limit, u := j.m.Board.Flat, 0.0
	for _, l := range j.a.Lanes {
		u = math.Max(u, l.UZoneMM)
	}
	margin := 2*straight.UpperPoint(doubtful)*u + u // what is read now and then, each at 95 %, and what noise widens a zone by
	return math.Max(minZonePart*limit, limit-margin)
}

// ownShape is how far a lane of the wanted board is from straight by itself: on a
// cylinder under spreading strings it is not.
func (j *job) ownShape() float64 {
	most := 0.0
	for _, s := range j.places.lanes {
		n := s.to - s.from
		if n < minOfPass {
			continue
		}
		x, z := make([]float64, n), make([]float64, n)
		for i := range n {
			p := j.places.list[s.from+i]
			x[i], z[i] = p.x, p.surface
		}
		if v, err := straight.Zone(x, z); err == nil {
			most = math.Max(most, v.WidthMM)
		}
	}
	return math.Min(most, j.plannedTo()/2)
}

// mayStray is by how much the radius may be off, or, of a flat board, the
// curvature.
func (j *job) mayStray() float64 {
	if j.flat() {
		half := j.l.Width(j.length()) / 2
		return j.m.Board.Flat / (half * half)
	}
	return j.m.Board.RadiusWithin
}

// minRoomPart is the part of what the radius may stray by that the target may
// always use.
const minRoomPart = 0.1

// radiusRoom is how far the target's radius may be off the wanted one, at the nut
// and at the last slot: so much less than is allowed that the next reading is sure.
func (j *job) radiusRoom() [2]float64 {
	most := j.mayStray()
	least := minRoomPart * most
	c := j.a.Cone
	if c == nil {
		return [2]float64{least, least}
	}
	room := func(u float64) float64 { return math.Max(least, (1-coneRoom)*most-2*straight.UpperPoint(doubtful)*u) }
	return [2]float64{room(c.UNutMM), room(c.ULastMM)}
}

// spots lists the board's heights over the wanted cone, lane by lane, and gives
// the sanding its lanes.
func (j *job) spots(s *Sanding) []spotHeight {
	var out []spotHeight
	put := func(lane float64, read bool, frets []int, off []float64) {
		s.Lanes = append(s.Lanes, SandLane{lane, read, []Sand{}})
		for i, f := range frets {
			at := j.l.At(f, lane)
			v := spotHeight{lane: len(s.Lanes) - 1, fret: f, x: at.X, y: at.Y, cone: j.overWanted(at.X, at.Y), across: math.Inf(1)}
			_, slope := j.effect(about{}, at.X, math.Abs(at.Y))
			v.mm, v.slope = v.cone, -slope
			if off != nil {
				v.mm += off[i]
				v.across = v.cone + j.dipBeside(f, off, i) + j.acrossRoom(at.X)
			}
			out = append(out, v)
		}
	}
	for _, l := range j.a.Lanes {
		put(l.Lane, true, l.frets, l.offMM)
	}
	all := slotsFrom(j.l.FirstFret(), j.l.LastFret())
	n := float64(j.l.Strings())
	for _, lane := range []float64{1, (n + 1) / 2, n} {
		if !slices.ContainsFunc(j.a.Lanes, func(l Lane) bool { return math.Abs(l.Lane-lane) <= 1 }) {
			put(lane, false, all, nil)
		}
	}
	return out
}

// acrossPart is the part of what the radius may stray by that a dip in some lanes
// only may still make of it.
const acrossPart = 0.6

// acrossRoom is how deep a dip in some lanes only may stay at x.
func (j *job) acrossRoom(x float64) float64 {
	_, slope := j.effect(about{}, x, 0.4*j.l.Width(x))
	return acrossPart * math.Abs(slope) * j.mayStray()
}

// dipBeside is how far a lane, so far off its line, at its i-th slot lies under what all lanes there have
// in common, 0 or less: what bends an arch, but no lane alone. It is the mean of
// three slots, so that noise digs no dips.
func (j *job) dipBeside(fret int, off []float64, i int) float64 {
	common := math.Inf(-1)
	for _, l := range j.a.Lanes {
		if k := slices.Index(l.frets, fret); k >= 0 {
			common = math.Max(common, smoothed(l.offMM, k))
		}
	}
	return math.Min(0, smoothed(off, i)-math.Min(0, common))
}

// smoothed is the mean of a value and its neighbours.
func smoothed(v []float64, i int) float64 {
	from, to := max(0, i-1), min(len(v)-1, i+1)
	sum := 0.0
	for k := from; k <= to; k++ {
		sum += v[k]
	}
	return sum / float64(to-from+1)
}

// overWanted is how far the cone that was read stands over the wanted one, at a
// place, their centre lines being one. A board too flat for a cone has a curvature.
func (j *job) overWanted(x, y float64) float64 {
	if j.cone == nil {
		return 0
	}
	y = math.Abs(y)
	wanted := 0.0
	if !j.flat() {
		wanted = sag(j.l.Radius(x), y)
	}
	c := j.a.Cone
	if c == nil {
		return wanted - j.linear(x, j.curvature[0], j.curvature[1])*y*y/2
	}
	return wanted - sag(j.linear(x, c.NutMM, c.LastMM), y)
}

// cone of the target: a plane with a twist, and radii off the wanted ones.
type targetCone struct {
	level, along, across float64
	radius               [2]float64
	last                 float64
}

func (t targetCone) at(k spotHeight) float64 {
	s, y := k.x/t.last, k.y/twistScale
	return t.level + t.along*s + t.across*y + k.slope*((1-s)*t.radius[0]+s*t.radius[1])
}

// coneRoom is the part of what the radius may stray by which the target may lie
// over the cone that was read.
const coneRoom = 0.1

// deepestWeight is the weight of the deepest place beside the mean.
const deepestWeight = 0.25

// target is the cone that takes the least off.
func (j *job) target(spots []spotHeight, zone float64, room [2]float64) (targetCone, error) {
	const deepest, own = 5, 6 // the target's numbers come first, then the deepest place
	t := targetCone{last: j.length()}
	cost := make([]float64, own+len(spots))
	cost[deepest] = deepestWeight
	for i, w := range j.areas(spots) {
		cost[own+i] = w
	}
	p := num.NewProgram(cost)
	for k := range 2 { // the radii in parts of their room
		p.AtLeast(-1, []int{3 + k}, []float64{1})
		p.AtLeast(-1, []int{3 + k}, []float64{-1})
	}
	for i, k := range spots {
		s, y := k.x/t.last, k.y/twistScale
		coef := []float64{1, s, y, k.slope * (1 - s) * room[0], k.slope * s * room[1], 1}
		p.AtLeast(0, []int{own + i}, []float64{1})
		p.AtLeast(0, []int{deepest, own + i}, []float64{1, -1})
		p.AtLeast(k.mm, []int{0, 1, 2, 3, 4, own + i}, coef)
		for n := range coef {
			coef[n] = -coef[n]
		}
		p.AtLeast(-j.lowest(k, zone), []int{0, 1, 2, 3, 4}, coef[:5])
	}
	v, _, err := p.Solve()
	if err != nil {
		return t, err
	}
	t.level, t.along, t.across = v[0], v[1], v[2]
	t.radius = [2]float64{v[3] * room[0], v[4] * room[1]}
	return t, nil
}

// lowest is how high the target may lie at a place at most: a zone over the board,
// hardly over its cone, and, beside a dip in some lanes only, as the radius there
// asks.
func (j *job) lowest(k spotHeight, zone float64) float64 {
	return math.Min(k.across, math.Min(k.mm+zone, k.cone+coneRoom*math.Abs(k.slope)*j.mayStray()))
}

// areas are the parts of the length that places stand for, shared out by lanes;
// they add up to 1.
func (j *job) areas(spots []spotHeight) []float64 {
	out := make([]float64, len(spots))
	sum := 0.0
	for i, k := range spots {
		before, after := k.x, k.x
		if i > 0 && spots[i-1].lane == k.lane {
			before = spots[i-1].x
		}
		if i+1 < len(spots) && spots[i+1].lane == k.lane {
			after = spots[i+1].x
		}
		out[i] = math.Max(after-before, 1)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}
