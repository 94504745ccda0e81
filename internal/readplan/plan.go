package readplan

import (
	"slices"

	"ringtrue/internal/reading"
)

// Step is one step of a plan: what to read, and why there.
type Step struct {
	Sets []Set
	Why  string
}

// What a plan reads of the lanes between the outer ones where crowns that are not
// read may be told from their neighbours across the fret: every so many frets, and
// at least so many crowns of each lane.
const (
	sparseStep = 4
	minSparse  = 5
)

// First lists what to read of a neck of which nothing is known, in order: the outer
// lanes first, since a fret's curve joins its lanes and these two show most of what is wrong; a neck
// that is not level mostly shows it there. With sparse, the other lanes are read at every
// fourth fret, each starting one fret further on, so that every fret is read in one of them and none may be
// crooked unseen; else at every fret. Readings of three frets see no long wave,
// so a straight edge along the outer lanes is added. lanes and frets ascend.
func First(lanes []float64, frets []int, g Gauge, sparse bool) []Step {
	if len(lanes) == 0 || len(frets) == 0 {
		return nil
	}
	outer, inner := lanes, []float64(nil)
	if len(lanes) > 2 {
		outer, inner = []float64{lanes[0], lanes[len(lanes)-1]}, lanes[1:len(lanes)-1]
	}
	set := func(lanes []float64, frets []int) Set {
		return Set{Method: g.Method, Lanes: slices.Clone(lanes), Frets: frets, UMM: g.UMM}
	}
	steps := []Step{{Sets: []Set{set(outer, frets)}, Why: "the outer lanes show most faults"}}
	threes := g.Method.Spec().Frets == 3
	if threes {
		edge := Set{Method: reading.Edge, Lanes: slices.Clone(outer), Frets: everyThird(frets), UMM: reading.Edge.Spec().Usual()}
		steps = append(steps, Step{Sets: []Set{edge}, Why: "three frets at a time see no long wave"})
	}
	switch {
	case len(inner) == 0:
	case sparse && !threes && len(frets) >= minSparse*sparseStep:
		var staggered []Set
		for i, lane := range inner {
			staggered = append(staggered, set([]float64{lane}, every(frets, (2*i+i/2)%sparseStep, sparseStep)))
		}
		steps = append(steps, Step{Sets: staggered, Why: "every fret once between the outer lanes"})
	default:
		steps = append(steps, Step{Sets: []Set{set(inner, frets)}, Why: "a lane counts as level only when all its crowns are read"})
	}
	return steps
}

// every lists some of ascending frets from a place on.
func every(frets []int, from, step int) (out []int) {
	for i := from; i < len(frets); i += step {
		out = append(out, frets[i])
	}
	return out
}

// Readings is how many readings a step has.
func (s Step) Readings() (n int) {
	for _, x := range s.Sets {
		n += x.Readings()
	}
	return n
}

// Minutes is how long a step takes.
func (s Step) Minutes(t Times) (minutes float64) {
	for _, x := range s.Sets {
		minutes += x.Minutes(t)
	}
	return minutes
}
