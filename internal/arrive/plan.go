package arrive

import (
	"runtime"
	"sync"

	"ringtrue/internal/level"
)

// Confidence is the chance at which a zone is narrow enough.
const Confidence = 0.95

// Bands are the zones tried, the widest first, as parts of the limit.
func Bands() []float64 {
	return []float64{1, .8, .7, .6, .55, .5, .45, .4, .35, .3, .25, .2, .15, .1, .05}
}

// Plan is the least metal that leaves every lane within ToMM, and the chance that
// the next reading then calls all of them level.
type Plan struct {
	ToMM   float64
	Chance float64
	Metal  level.Plan // lanes and crowns in the order given; 0 on frets that are out
}

// Best is the plan to the widest zone of Bands whose chance is Confidence or
// more; where none has it, the one with the best chance, of equal ones the widest.
//
// The chance grows as the zone narrows but for the hand's scatter on more and more
// crowns: the search halves the bands, and tries all where that finds none.
func (o *Outlook) Best() Plan {
	bands := Bands()
	known := make([]*Plan, len(bands))
	try := func(i int) *Plan {
		if known[i] == nil {
			p := o.To(bands[i] * o.ask.LimitMM)
			known[i] = &p
		}
		return known[i]
	}
	below, found := 0, len(bands) // every band before below misses; found has it
	for below < found {
		mid := (below + found) / 2
		if try(mid).Chance >= Confidence {
			found = mid
		} else {
			below = mid + 1
		}
	}
	if found < len(bands) {
		return *try(found)
	}
	best := try(0)
	for i := range bands {
		p := try(i)
		if p.Chance >= Confidence {
			return *p
		}
		if p.Chance > best.Chance {
			best = p
		}
	}
	return *best
}

// To is the plan to one zone, in mm, which is 0 or more.
func (o *Outlook) To(zoneMM float64) Plan {
	var s level.Solver
	p := Plan{ToMM: zoneMM, Metal: level.Plan{Lanes: make([]level.LanePlan, len(o.given))}}
	for a := range o.given {
		l := &p.Metal.Lanes[a]
		l.RemoveMM = make([]float64, len(o.given[a].X))
		k := &o.lanes[a]
		if len(k.x) == 0 {
			continue
		}
		l.Target, _ = s.Target(k.x, k.d, zoneMM)
		for i, at := range k.at {
			if r := k.d[i] - l.Target.At(k.x[i]); r > nothingMM {
				l.RemoveMM[at] = r
				l.TotalMM += r
				l.MaxMM = max(l.MaxMM, r)
			}
		}
		p.Metal.TotalMM += l.TotalMM
		p.Metal.MaxMM = max(p.Metal.MaxMM, l.MaxMM)
	}
	p.Chance = o.Chance(p.Metal)
	return p
}

// nothingMM is the removal below which a number is only rounding, as package
// level has it.
const nothingMM = 1e-12

// Chance is the chance that the next reading calls every lane level once a plan is
// carried out. The plan has the lanes and crowns that the neck was given with.
func (o *Outlook) Chance(p level.Plan) float64 {
	var lanes []*ahead
	var places []int
	for a := range o.lanes {
		if k := &o.lanes[a]; len(k.x) > 0 {
			lanes, places = append(lanes, o.ahead(k, p.Lanes[a].RemoveMM)), append(places, a)
		}
	}
	workers := min(runtime.GOMAXPROCS(0), 8)
	levels := make([]int, workers)
	var wait sync.WaitGroup
	for w := range workers { // a sum of whole numbers: the same whoever counts
		wait.Go(func() {
			z, e := make([]float64, o.crown), make([]float64, o.crown)
			for d := w; d < draws; d += workers {
				if o.allLevel(lanes, places, d, z, e) {
					levels[w]++
				}
			}
		})
	}
	wait.Wait()
	sum := 0
	for _, n := range levels {
		sum += n
	}
	return float64(sum) / draws
}

func (o *Outlook) allLevel(lanes []*ahead, places []int, d int, z, e []float64) bool {
	for i, f := range lanes {
		if n := len(f.x); !f.called(o, d, places[i], z[:n], e[:n]) {
			return false
		}
	}
	return true
}
