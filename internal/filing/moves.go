package filing

import (
	"math"
	"slices"

	"ringtrue/internal/level"
)

// Job is a neck to level and the plan to follow.
type Job struct {
	Lanes []level.Lane // crowns less the shape, mm
	// StandMM is what the shape adds to each crown where the tool works and no rod
	// takes it out, as a fall-away; nil: nothing.
	StandMM [][]float64
	// RemoveMM is the exact plan, crown by crown in the order of Lanes.
	RemoveMM [][]float64
}

// What is worth a move, mm. From trials on simulated necks.
const (
	spotDepth  = 0.012  // a fret that loses so much somewhere may be filed alone,
	spotOut    = 0.006  // where it stands out from the third of the others by so much
	spotShort  = 0.002  // so much of it is left to the beam
	runDepth   = 0.0015 // a fret that loses so much somewhere is in a run
	tellDepth  = 0.001  // a crown that loses so much shows a flat to go by
	maxSpots   = 4
	inkDepth   = 0.002 // a crown that loses no more counts as untouched
	runGapFret = 1     // a run goes on over so many frets that lose nothing
)

// Flat is the flat that a crown shows when a move is done.
type Flat struct {
	Fret    int
	Lane    int // place in Job.Lanes
	WidthMM float64
	DepthMM float64 // what has come off then
}

// Spot is one fret filed alone under some lanes, its flats running evenly from the
// first to the last.
type Spot struct {
	Fret  int
	Flats []Flat
}

// Run is a beam over some frets, lane after lane.
type Run struct {
	FirstFret, LastFret int // all crowns under it at mid-stroke
	PressFret           int // where to press at first
	Lanes               []LaneRun
	Ink                 []int   // frets under it that keep their ink in every lane
	Minutes             float64 // on average
	Strokes             float64 // double strokes, all lanes, on average
}

// LaneRun is a run along one lane.
type LaneRun struct {
	Lane         int     // place in Job.Lanes
	FromMM, ToMM float64 // the beam's ends at mid-stroke
	Tells        []Flat  // the outermost crowns that lose metal, one or two: done when they show these
}

// Moves are what to do, in order.
type Moves struct {
	Spots []Spot
	Runs  []Run
}

// standsOut ranks frets by how far they stand out in what they lose: the most of
// any lane; what a fret loses less the third largest of the others.
func (j *Job) standsOut() (frets []int, by map[int]float64) {
	by = map[int]float64{}
	for a, l := range j.Lanes {
		for i, f := range l.Frets {
			d := j.RemoveMM[a][i]
			if out := d - third(j.RemoveMM[a], i); d > spotDepth && out > spotOut && out > by[f] {
				by[f] = out
			}
		}
	}
	for f := range by {
		frets = append(frets, f)
	}
	slices.SortFunc(frets, func(p, q int) int {
		if by[p] != by[q] {
			return int(math.Copysign(1, by[q]-by[p]))
		}
		return p - q
	})
	return frets, by
}

// third is the third largest of values without the one at i; 0 where there is none.
func third(values []float64, i int) float64 {
	var top [3]float64
	for k, v := range values {
		if k == i {
			continue
		}
		for t := range top {
			if v > top[t] {
				copy(top[t+1:], top[t:])
				top[t] = v
				break
			}
		}
	}
	return top[2]
}

// spot is how fret f is filed alone: to so much above the plan, the widths a
// straight run over the lanes in between, in steps that the eye can tell.
func (j *Job) spot(f int, h *Hand, short float64) Spot {
	s := Spot{Fret: f}
	var place, width []float64
	for a, l := range j.Lanes {
		i, found := slices.BinarySearch(l.Frets, f)
		if !found {
			continue
		}
		w := h.flatFor(j.RemoveMM[a][i] - short)
		if w == 0 && len(s.Flats) == 0 {
			continue
		}
		s.Flats = append(s.Flats, Flat{Fret: f, Lane: a})
		place, width = append(place, float64(a)), append(width, w)
	}
	for len(s.Flats) > 0 && width[len(s.Flats)-1] == 0 {
		s.Flats, place, width = s.Flats[:len(s.Flats)-1], place[:len(place)-1], width[:len(width)-1]
	}
	if len(s.Flats) == 0 {
		return s
	}
	first, last := ends(place, width)
	n := len(s.Flats)
	first, last = roundTo(first, h.FlatWidths), roundTo(last, h.FlatWidths)
	for k := range s.Flats {
		part := 0.0
		if n > 1 {
			part = float64(k) / float64(n-1)
		}
		w := first + (last-first)*part
		s.Flats[k].WidthMM, s.Flats[k].DepthMM = w, h.depthOf(w)
	}
	return s
}

// ends are the values at the first and the last place of the straight line that
// fits best; none is below 0.
func ends(x, y []float64) (first, last float64) {
	n := float64(len(x))
	var sx, sy, sxx, sxy float64
	for i := range x {
		sx, sy = sx+x[i]/n, sy+y[i]/n
	}
	for i := range x {
		sxx, sxy = sxx+(x[i]-sx)*(x[i]-sx), sxy+(x[i]-sx)*(y[i]-sy)
	}
	slope := 0.0
	if sxx > 0 {
		slope = sxy / sxx
	}
	return max(0, sy+slope*(x[0]-sx)), max(0, sy+slope*(x[len(x)-1]-sx))
}

func roundTo(v, step float64) float64 { return math.Round(v/step) * step }

// Way is how a plan is turned into moves.
type Way struct {
	Alone int  // so many of the frets that stand out are filed alone first
	Only  bool // no beam after these: they are filed all the way
	Whole bool // one run goes from the first to the last fret that loses metal; else it ends where several in a row lose none
}

// Moves turns the plan into moves.
func (j *Job) Moves(w Way, h *Hand) Moves {
	var m Moves
	left := make([][]float64, len(j.Lanes))
	for a := range left {
		left[a] = append([]float64(nil), j.RemoveMM[a]...)
	}
	frets, _ := j.standsOut()
	for _, f := range frets[:min(w.Alone, len(frets))] {
		short := spotShort
		if w.Only {
			short = 0
		}
		s := j.spot(f, h, short)
		for _, flat := range s.Flats {
			i, _ := slices.BinarySearch(j.Lanes[flat.Lane].Frets, f)
			left[flat.Lane][i] = max(0, left[flat.Lane][i]-flat.DepthMM)
		}
		m.Spots = append(m.Spots, s)
	}
	if w.Only {
		return m
	}
	gap := runGapFret
	if w.Whole {
		gap = math.MaxInt - 1
	}
	m.Runs = j.runs(left, gap, h)
	return m
}

// runs joins the frets that still lose metal.
func (j *Job) runs(left [][]float64, widest int, h *Hand) []Run {
	most := map[int]float64{}
	var all []int
	for a, l := range j.Lanes {
		for i, f := range l.Frets {
			if _, seen := most[f]; !seen {
				all = append(all, f)
			}
			most[f] = max(most[f], left[a][i])
		}
	}
	slices.Sort(all)
	var out []Run
	gap := 0
	for _, f := range all {
		if most[f] <= runDepth {
			gap++
			continue
		}
		if len(out) == 0 || gap > widest {
			out = append(out, Run{FirstFret: f})
		}
		out[len(out)-1].LastFret, gap = f, 0
	}
	for i := range out {
		j.fill(&out[i], left, h)
	}
	return out
}

// fill gives a run its lanes and the place to press: the middle of what comes off.
func (j *Job) fill(r *Run, left [][]float64, h *Hand) {
	sum, place := 0.0, 0.0
	for a, l := range j.Lanes {
		first, _ := slices.BinarySearch(l.Frets, r.FirstFret)
		last, found := slices.BinarySearch(l.Frets, r.LastFret)
		if !found {
			last--
		}
		var told []int
		for i := first; i <= last; i++ {
			d := left[a][i]
			if d < tellDepth {
				continue
			}
			sum, place = sum+d, place+d*float64(l.Frets[i])
			if d == j.RemoveMM[a][i] { // a flat that is there already blinds the eye
				told = append(told, i)
			}
		}
		if len(told) == 0 {
			continue
		}
		lane := LaneRun{Lane: a}
		lane.FromMM, lane.ToMM = under(l.X, first, last, h.SweepMM)
		for k, i := range []int{told[0], told[len(told)-1]} {
			if k == 0 || i != told[0] {
				d := j.RemoveMM[a][i]
				lane.Tells = append(lane.Tells, Flat{l.Frets[i], a, max(h.FlatWidths, roundTo(h.flatFor(d), h.FlatWidths)), d})
			}
		}
		r.Lanes = append(r.Lanes, lane)
	}
	if sum > 0 {
		r.PressFret = int(math.Round(place / sum))
	}
}

// under are the ends of a beam that has crowns first to last under it at
// mid-stroke: halfway to the next crowns; at the neck's ends it overhangs.
func under(x []float64, first, last int, sweepMM float64) (from, to float64) {
	from, to = x[first]-sweepMM-1, x[last]+sweepMM+1
	if first > 0 {
		from = (x[first-1] + x[first]) / 2
	}
	if last+1 < len(x) {
		to = (x[last] + x[last+1]) / 2
	}
	return from, to
}

// flats counts the flats that the moves name.
func (m *Moves) flats() int {
	n := 0
	for _, s := range m.Spots {
		n += min(2, len(s.Flats))
	}
	for _, r := range m.Runs {
		for _, l := range r.Lanes {
			n += len(l.Tells)
		}
	}
	return n
}
