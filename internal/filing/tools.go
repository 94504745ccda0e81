package filing

import (
	"math"
	"slices"

	"ringtrue/internal/level"
)

// Tools are what lies on the bench.
type Tools struct {
	BeamsMM    []float64 // lengths
	StraightMM float64   // the zone that a beam's face keeps over its length
	Files      bool      // frets may be filed alone
}

// UsualTools are a bench's of which nothing is said, from memory.
func UsualTools() Tools {
	return Tools{BeamsMM: []float64{450, 300, 150}, StraightMM: 0.010, Files: true}
}

// place lays the shortest beam that does on a run: one that spans its frets and,
// if there is one, the sweep too. It fills in the crowns under it and its ends in
// every lane. False where no beam spans the frets.
func (j *Job) place(r *Run, h *Hand, t *Tools) bool {
	span := j.span(r.FirstFret, r.LastFret)
	beams := slices.Clone(t.BeamsMM)
	slices.Sort(beams)
	sweeps := []float64{1, 0}
	if j.hollow(math.Inf(1)) > j.LimitMM/8 { // a longer one would lie on the shape's rims
		sweeps = sweeps[1:]
	}
	for _, part := range sweeps {
		for _, b := range beams {
			if b >= span+part*h.with(b).SweepMM && j.lay(r, b) {
				return true
			}
		}
	}
	return false
}

// lay lays a beam of a length on a run as near its middle as it goes with the same
// frets under it in every lane; false where it does not.
func (j *Job) lay(r *Run, lengthMM float64) bool {
	var frets []int
	for _, l := range j.Lanes {
		frets = append(frets, l.Frets...)
	}
	slices.Sort(frets)
	frets = slices.Compact(frets)
	a, _ := slices.BinarySearch(frets, r.FirstFret)
	b, _ := slices.BinarySearch(frets, r.LastFret)
	best, from, to := math.Inf(1), 0, 0
	for p := a; p >= 0; p-- {
		for q := b; q < len(frets); q++ {
			if off := j.off(r, frets[p], frets[q], lengthMM); off < best-1e-9 {
				best, from, to = off, frets[p], frets[q]
			}
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	for k := range r.Lanes {
		lane := &r.Lanes[k]
		x, f := j.Lanes[lane.Lane].X, j.Lanes[lane.Lane].Frets
		low, high, _ := room(x, at(f, from), at(f, to), lengthMM)
		lane.FromMM = within(j.middle(r, lane.Lane)-lengthMM/2, low, high)
		lane.ToMM = lane.FromMM + lengthMM
	}
	r.FirstFret, r.LastFret, r.LengthMM = from, to, lengthMM
	return true
}

// off is how far from the middle of a run a beam lies, at the worst of its lanes,
// that covers these frets; infinite where its length does not allow it.
func (j *Job) off(r *Run, from, to int, lengthMM float64) (worst float64) {
	for _, lane := range r.Lanes {
		l := &j.Lanes[lane.Lane]
		low, high, ok := room(l.X, at(l.Frets, from), at(l.Frets, to), lengthMM)
		if !ok {
			return math.Inf(1)
		}
		want := j.middle(r, lane.Lane) - lengthMM/2
		worst = max(worst, math.Abs(want-within(want, low, high)))
	}
	return worst
}

// middle is half-way along a run's frets in a lane.
func (j *Job) middle(r *Run, lane int) float64 {
	l := &j.Lanes[lane]
	return (l.X[at(l.Frets, r.FirstFret)] + l.X[at(l.Frets, r.LastFret)]) / 2
}

// clearMM is how far a beam's end keeps from a crown that it leaves out.
const clearMM = 1

// room is between where a beam of a length may begin that covers crowns first to
// last and no other.
func room(x []float64, first, last int, lengthMM float64) (low, high float64, ok bool) {
	low, high = x[last]-lengthMM, x[first]
	if first > 0 {
		low = max(low, x[first-1]+clearMM)
	}
	if last+1 < len(x) {
		high = min(high, x[last+1]-clearMM-lengthMM)
	}
	return low, high, low <= high
}

func within(v, low, high float64) float64 { return max(low, min(v, high)) }

// at is the place of a fret among frets, or of the last below it.
func at(frets []int, fret int) int {
	i, found := slices.BinarySearch(frets, fret)
	if !found && i > 0 {
		i--
	}
	return i
}

// pieces parts frets from the first to the last where a straight beam would leave
// the shape by more than so much, or would have to be longer than that; neighbours
// share a fret.
func (j *Job) pieces(first, last int, withinMM, spanMM float64) (out [][2]int) {
	var frets []int
	for _, f := range j.Lanes[0].Frets {
		if f >= first && f <= last {
			frets = append(frets, f)
		}
	}
	for from := 0; from < len(frets)-1; {
		to := from + 1
		for to+1 < len(frets) && j.bend(frets[from], frets[to+1]) <= withinMM && j.span(frets[from], frets[to+1]) <= spanMM {
			to++
		}
		out, from = append(out, [2]int{frets[from], frets[to]}), to
	}
	if len(out) == 0 {
		out = append(out, [2]int{first, last})
	}
	return out
}

// span is how far two frets lie apart, at the most of any lane.
func (j *Job) span(first, last int) (most float64) {
	for _, l := range j.Lanes {
		most = max(most, l.X[at(l.Frets, last)]-l.X[at(l.Frets, first)])
	}
	return most
}

// bend is how far what the tool meets of the shape leaves the line between two
// frets, at the worst of the lanes.
func (j *Job) bend(first, last int) (worst float64) {
	if j.StandMM == nil {
		return 0
	}
	for a, l := range j.Lanes {
		p, q := at(l.Frets, first), at(l.Frets, last)
		s := j.StandMM[a]
		for i := p + 1; i < q; i++ {
			line := s[p] + (s[q]-s[p])*(l.X[i]-l.X[p])/(l.X[q]-l.X[p])
			worst = max(worst, math.Abs(s[i]-line))
		}
	}
	return worst
}

// Spanning adds a beam that spans a neck's lanes and the sweep, in steps of 50 mm:
// where nobody said which beams there are, the neck has one.
func (t Tools) Spanning(lanes []level.Lane, h *Hand) Tools {
	span := 0.0
	for _, l := range lanes {
		span = max(span, l.X[len(l.X)-1]-l.X[0])
	}
	const step = 50
	t.BeamsMM = append(slices.Clone(t.BeamsMM), step*math.Ceil((span+h.SweepMM)/step))
	return t
}
