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
	LimitMM  float64 // the zone that the next reading is judged by
	Pressed  []int   // frets that are pressed or replaced first: under a beam, but nobody goes by them
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
	LengthMM            float64 // of the beam; 0: not said
	FirstFret, LastFret int     // all crowns under it at mid-stroke
	PressFret           int     // where to press at first
	Lanes               []LaneRun
	Ink                 []int   // frets under it that keep their ink in every lane
	Minutes             float64 // on average
	Strokes             float64 // double strokes, all lanes, on average
}

// LaneRun is a run along one lane.
type LaneRun struct {
	Lane         int     // place in Job.Lanes
	FromMM, ToMM float64 // the beam's ends at mid-stroke
	Tells        []Flat  // one or two crowns that lose metal: done when they show these
	told         []int   // the crowns that may be tells, places in the lane
}

// Moves are what to do, in order.
type Moves struct {
	Spots []Spot
	Runs  []Run
	left  [][]float64 // what spots leave to the beam
}

func roundTo(v, step float64) float64 { return math.Round(v/step) * step }

// Way is how a plan is turned into moves.
type Way struct {
	Alone  int     // so many of the frets that stand out are filed alone first
	Only   bool    // no beam after these: they are filed all the way
	Whole  bool    // one run goes from the first to the last fret that loses metal; else it ends where several in a row lose none
	BendMM float64 // a run ends where the shape bends away from it by more,
	SpanMM float64 // or where it would be longer
}

// Moves turns the plan into moves. False where no tool carries them out.
func (j *Job) Moves(w Way, h *Hand, t *Tools) (Moves, bool) {
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
		for _, s := range j.spots(f, h, short) {
			for _, flat := range s.Flats {
				i := at(j.Lanes[flat.Lane].Frets, f)
				left[flat.Lane][i] = max(0, left[flat.Lane][i]-flat.DepthMM)
			}
			m.Spots = append(m.Spots, s)
		}
	}
	if m.left = left; w.Only {
		return m, true
	}
	for _, span := range j.spans(left, w) {
		for _, piece := range j.pieces(span[0], span[1], w.BendMM, w.SpanMM) {
			r := Run{FirstFret: piece[0], LastFret: piece[1]}
			if j.fill(&r, left, h); len(r.Lanes) == 0 {
				continue
			}
			if !j.place(&r, h, t) {
				return m, false
			}
			m.Runs = append(m.Runs, r)
		}
	}
	return m, true
}

// spans joins the frets that still lose metal.
func (j *Job) spans(left [][]float64, w Way) (out [][2]int) {
	widest := runGapFret
	if w.Whole {
		widest = math.MaxInt - 1
	}
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
	gap := 0
	for _, f := range all {
		if most[f] <= runDepth {
			gap++
			continue
		}
		if len(out) == 0 || gap > widest {
			out = append(out, [2]int{f, f})
		}
		out[len(out)-1][1], gap = f, 0
	}
	return out
}

// fill gives a run its lanes, their tells and the place to press: the middle of
// what comes off.
func (j *Job) fill(r *Run, left [][]float64, h *Hand) {
	sum, place := 0.0, 0.0
	for a, l := range j.Lanes {
		var told []int
		for i := at(l.Frets, r.FirstFret); i <= at(l.Frets, r.LastFret); i++ {
			d := left[a][i]
			if d < tellDepth {
				continue
			}
			sum, place = sum+d, place+d*float64(l.Frets[i])
			if d == j.RemoveMM[a][i] && !slices.Contains(j.Pressed, l.Frets[i]) { // a flat that is there already blinds the eye
				told = append(told, i)
			}
		}
		if len(told) > 0 {
			r.Lanes = append(r.Lanes, LaneRun{Lane: a, told: told, Tells: j.tells(a, pair{told[0], told[len(told)-1]}, 0, h)})
		}
	}
	if sum > 0 {
		r.PressFret = int(math.Round(place / sum))
	}
}

// tells are the flats of two crowns of a lane, so many steps wider than planned.
func (j *Job) tells(a int, places pair, wider int, h *Hand) (out []Flat) {
	for k, i := range places {
		if k == 0 || i != places[0] {
			w := roundTo(h.flatFor(j.RemoveMM[a][i]), h.FlatWidths) + float64(wider)*h.FlatWidths
			d := j.RemoveMM[a][i]
			if wider != 0 {
				d = h.depthOf(w)
			}
			out = append(out, Flat{j.Lanes[a].Frets[i], a, max(h.FlatWidths, w), d})
		}
	}
	return out
}

// Between are the ends of a beam that has crowns first to last under it at
// mid-stroke: halfway to the next crowns; at the neck's ends it overhangs.
func Between(x []float64, first, last int, sweepMM float64) (from, to float64) {
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
