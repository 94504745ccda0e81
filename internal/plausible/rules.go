package plausible

import (
	"math"
	"slices"

	"ringtrue/internal/reading"
)

// The limits of a question, in mm.
const (
	firstMM  = 0.30  // two readings of a pass may differ by this,
	leanMM   = 0.008 // and by this for each mm between them: a beam leans no more
	ownMM    = 0.16  // from the third on: off the pass so far
	lanesMM  = 0.06  // off the lane read before, or beside
	heightMM = 0.30  // of crown heights: frets of two wires stand on one neck

	ownScatterMM   = 0.035 // the least scatter of crowns about a pass's line
	lanesScatterMM = 0.012 // and of differences of two lanes

	edgeGapMM  = 1.0 // an edge rests on the crowns: no first gap is more
	bridgeMM   = 0.3 // a crown's distance from its neighbours' line
	crownOffMM = 0.8 // a crown's height from the wire's
)

// found is what a rule says of a reading: what was expected, how far off it is
// and may be. Where ok is false the rule has nothing to go by.
type found struct {
	expectedMM, offMM, limitMM float64
	ok                         bool
	with                       *taken // the reading of the other lane
}

func (f found) odd() bool { return f.ok && math.Abs(f.offMM) > f.limitMM }

func compared(h, expected, limit float64) found {
	return found{expectedMM: expected, offMM: h - expected, limitMM: limit, ok: true}
}

// beside compares a height at x with readings of its own set-up.
func (w *Watch) beside(t *taken, others []*taken) found {
	switch len(others) {
	case 0:
		return w.alone(t)
	case 1:
		o := others[0]
		limit := firstMM
		if hasLine(t.r.Method) {
			limit += leanMM * math.Abs(t.x-o.x)
		}
		return compared(t.h, o.h, limit)
	}
	tr := trendOf(t.of.key.method, others)
	return compared(t.h, tr.at(t.x), tr.limit(t.x, floorOf(t.r.Method)))
}

func floorOf(m reading.Method) float64 {
	if m == reading.Height {
		return heightMM
	}
	return ownMM
}

func trendOf(m reading.Method, readings []*taken) trend {
	x, h := make([]float64, len(readings)), make([]float64, len(readings))
	for i, o := range readings {
		x[i], h[i] = o.x, o.h
	}
	if hasLine(m) {
		return lineOf(x, h, ownScatterMM)
	}
	return levelOf(h, ownScatterMM)
}

// alone is what is known of a first reading: of a beam nothing.
func (w *Watch) alone(t *taken) found {
	switch {
	case hasLine(t.r.Method):
		if t.spec.Gap {
			return compared(t.h, 0, edgeGapMM)
		}
	case t.spec.Rank > 0:
		return compared(t.h, 0, bridgeMM)
	case t.r.Method == reading.Height:
		if w.crownMM > 0 {
			return compared(t.h, w.crownMM, crownOffMM)
		}
	}
	return found{}
}

// own compares a reading with the rest of its set-up.
func (w *Watch) own(t *taken) found { return w.beside(t, t.of.active(t.segment, t)) }

// lanes compares a reading with the same place in another set-up: the same lane
// read before, else the nearest lane, at most reach lanes away. The set-ups'
// difference at the other places tells what it should be. Readings in without
// are not used.
func (w *Watch) lanes(t *taken, reach float64, without ...*taken) found {
	var best found
	bestAway := math.Inf(1)
	for k := len(w.all) - 1; k >= 0; k-- { // the latest first
		s := w.all[k]
		if !comparable(t, s) {
			continue
		}
		for i := len(s.all) - 1; i >= 0; i-- {
			o := s.all[i]
			away := math.Abs(o.r.Lane - t.r.Lane)
			if o.aside || o == t || !sameFrets(o, t) || away > reach || away >= bestAway || slices.Contains(without, o) || slices.Contains(s.open, o) || o.of == t.of && away == 0 {
				continue
			}
			if f := against(t, o); f.ok {
				best, bestAway = f, away
			}
		}
	}
	return best
}

// comparable reports whether a set-up reads what t is: crowns along a lane, or
// the same kind of size.
func comparable(t *taken, s *series) bool {
	if hasLine(t.r.Method) {
		return hasLine(s.key.method) && s != t.of
	}
	return s.key.method == t.r.Method
}

// against compares t with a reading o of the same fret by the difference of
// their set-ups, or of their lanes, at the other places that both have read.
func against(t, o *taken) found {
	var x, d []float64
	for _, a := range t.of.all {
		if a == t || a.aside || a.segment != t.segment || a.r.Lane != t.r.Lane {
			continue
		}
		for _, b := range o.of.all {
			if !b.aside && b != o && b.segment == o.segment && b.r.Lane == o.r.Lane && sameFrets(a, b) {
				x, d = append(x, a.x), append(d, a.h-b.h)
				break
			}
		}
	}
	if len(x) < enough {
		return found{}
	}
	tr := levelOf(d, lanesScatterMM)
	if hasLine(t.r.Method) {
		tr = lineOf(x, d, lanesScatterMM)
	}
	floor := lanesMM
	if t.r.Method == reading.Height {
		floor = ownMM // callipers are coarser
	}
	f := compared(t.h, o.h+tr.at(t.x), tr.limit(t.x, floor))
	f.with = o
	return f
}
