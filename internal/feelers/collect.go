package feelers

import (
	"math"
	"slices"
	"sort"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// FeltMM is how surely a hand feels that a leaf enters, in mm: the standard
// uncertainty of a bracket's ends where its row states none. An estimate; a
// practised hand does better, and the row may say so.
const FeltMM = 0.003

// gap is what an edge's pass says of one crown, in mm. A number has lo = hi.
type gap struct {
	fret      int
	lo, hi, u float64
	stated    bool // the row states u
}

// pass is an edge laid once along a lane, at least one of its gaps a bracket.
type pass struct {
	setup reading.Setup
	gaps  []gap // by fret
	rests bool  // it read every fret of the neck, so it lay on crowns it read
}

// three is a rocker's reading: the middle crown's height over the chord of the
// outer two, mm, times scale = 1 − λ.
type three struct {
	lane      float64
	frets     [3]int // ascending
	lo, hi, u float64
	bracket   bool // both ends known from leaves
}

// sorted are the readings sorted by what they are.
type sorted struct {
	passes []pass
	threes []three
	others []reading.Reading // neither of an edge's pass in passes, nor a rocker's bracket
	turned bool              // the edge's own shape is among what is estimated
}

// sortReadings sorts the readings; those set aside have no part.
func sortReadings(l *geometry.Layout, readings []reading.Reading, aside map[int]bool) sorted {
	var s sorted
	leaved := map[reading.Setup]bool{}
	for i, r := range readings {
		if r.AlongGap() && r.NoGo != nil && !aside[i] {
			leaved[r.Setup()] = true
		}
	}
	at := map[reading.Setup]int{}
	for i, r := range readings {
		switch {
		case r.AlongGap() && leaved[r.Setup()]:
			k, known := at[r.Setup()]
			if !known {
				k = len(s.passes)
				at[r.Setup()] = k
				s.passes = append(s.passes, pass{setup: r.Setup(), rests: true})
			}
			if aside[i] {
				s.passes[k].rests = false
				continue
			}
			s.passes[k].add(gapOf(r))
		case r.Method.Spec().Rocks:
			t := threeOf(l, r)
			if !t.bracket {
				s.others = append(s.others, r)
			}
			if !aside[i] {
				s.threes = append(s.threes, t)
			}
		default:
			s.others = append(s.others, r)
		}
	}
	for k := range s.passes {
		p := &s.passes[k]
		sort.Slice(p.gaps, func(i, j int) bool { return p.gaps[i].fret < p.gaps[j].fret })
		p.rests = p.rests && len(p.gaps) == l.LastFret()-l.FirstFret()+1
	}
	s.turned = turnedEnough(readings)
	return s
}

func gapOf(r reading.Reading) gap {
	g := gap{fret: r.Frets[0], lo: r.Value, hi: r.Value, u: r.U, stated: r.UGiven}
	if r.NoGo != nil {
		g.hi = *r.NoGo
		if !r.UGiven {
			g.u = FeltMM
		}
	}
	return g
}

// add takes in a gap; one read twice in a pass lies in both brackets, and where
// they contradict each other, somewhere between their outer ends.
func (p *pass) add(g gap) {
	for i := range p.gaps {
		q := &p.gaps[i]
		if q.fret != g.fret {
			continue
		}
		lo, hi := math.Max(q.lo, g.lo), math.Min(q.hi, g.hi)
		if lo > hi {
			lo, hi = math.Min(q.lo, g.lo), math.Max(q.hi, g.hi)
		}
		q.lo, q.hi, q.u = lo, hi, math.Max(q.u, g.u)
		return
	}
	p.gaps = append(p.gaps, g)
}

// threeOf is what a rocker says: the gap over its third crown, held down on the
// first two, is the middle's height over the outer two's chord over 1 − λ. No
// gap says only that the third stands at least that high.
func threeOf(l *geometry.Layout, r reading.Reading) three {
	x := func(k int) float64 { return l.LaneX(r.Frets[k], r.Lane) }
	scale := (x(1) - x(0)) / (x(2) - x(0))
	t := three{lane: r.Lane, frets: [3]int(r.Frets), lo: math.Inf(-1), hi: math.Inf(1), u: r.U * scale}
	slices.Sort(t.frets[:])
	switch {
	case r.Answer == reading.Rocks:
		t.lo = 0
	case r.Answer == reading.Still:
		t.hi = 0
	default:
		g := gapOf(r)
		t.u, t.hi = g.u*scale, g.hi*scale
		if r.Value > 0 {
			t.lo = g.lo * scale
			t.bracket = r.NoGo != nil
		}
	}
	return t
}

// turnedEnough reports whether an edge lay both ways round over enough crowns
// of a lane for its own shape to be among what package heights estimates.
func turnedEnough(readings []reading.Reading) bool {
	var all []heights.Laid
	for _, r := range readings {
		if r.AlongGap() {
			all = append(all, heights.Laid{Method: r.Method, Lane: r.Lane, Turned: r.Turned, Fret: r.Frets[0]})
		}
	}
	return len(heights.BothWays(all)) > 0
}

// average is what an edge turned end for end says together with the same edge
// the first way round: its own shape goes out of the mean of both gaps.
func average(a, b pass) pass {
	m := pass{setup: a.setup}
	for _, g := range a.gaps {
		for _, h := range b.gaps {
			if g.fret == h.fret {
				m.gaps = append(m.gaps, gap{fret: g.fret, lo: (g.lo + h.lo) / 2, hi: (g.hi + h.hi) / 2, u: math.Hypot(g.u, h.u) / 2})
			}
		}
	}
	return m
}
