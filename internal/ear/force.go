package ear

import "math"

// never is the force of a note that nothing touches, beside the force told.
const never = 1e6

// edge is the least force, as a multiple of that told, at which something happens, and
// how much it changes with each mm of the gap that decides it.
type edge struct{ at, perMM float64 }

// hit is at what force a note touches, and at what force it buzzes.
type hit struct{ touch, buzz edge }

// edges are what decides a note's hit, each the least over its crowns.
type edges struct {
	touch, buzz [2]edge // by side
	most        float64 // the force at which the pressed string lies on a crown already
	chokes      bool
}

func open() edges {
	e := edge{never, 0}
	return edges{touch: [2]edge{e, e}, buzz: [2]edge{e, e}, most: never}
}

// take adds crown k at a gap.
func (e *edges) take(n *note, k int, gap float64) {
	if gap <= 0 {
		e.chokes = true
		return
	}
	for s := range n.sides {
		e.touch[s].take(n.sides[s].touch[k]*n.hMM, gap)
		e.buzz[s].take(n.sides[s].buzz[k]*n.hMM, gap)
	}
	if d := n.pressed[k] * n.hMM; d > 0 && gap < e.most*d {
		e.most = gap / d
	}
}

func (e *edge) take(depth, gap float64) {
	if depth > 0 && gap < e.at*depth {
		*e = edge{gap / depth, 1 / depth}
	}
}

// hit is the lesser of both ways of plucking.
func (e *edges) hit() hit {
	if e.chokes {
		return hit{}
	}
	h := hit{e.touch[0], e.buzz[0]}
	if t := e.touch[1]; t.at < h.touch.at && t.at < e.most*(1-1e-9) {
		h.touch = t
	}
	if b := e.buzz[1]; b.at < h.buzz.at && b.at < e.most*(1-1e-9) {
		h.buzz = b
	}
	return h
}

// over is the hit over these gaps.
func (n *note) over(gaps []float64) edges {
	e := open()
	for k, g := range gaps {
		e.take(n, k, g)
	}
	return e
}

// What is believed of a hand and an ear.
const (
	pluckSD   = 0.2 // of each pluck beside the touch told
	hearsIt   = 0.3 // share of contacts too light for setup.graze that are heard as a buzz
	wrong     = 0.1 // answers that are wrong, whatever the cause
	crownSD   = 0.007
	gapsSD    = crownSD * 1.25 // of a gap: the crown's own scatter and its share of the stop's
	sureSigma = 4.0
)

// chance that a hit is told as a buzz at a force beside the touch told.
func (h hit) chance(force float64) float64 {
	return wrong + (1-2*wrong)*((1-hearsIt)*h.buzz.reached(force)+hearsIt*h.touch.reached(force))
}

// reached is the chance that a pluck goes to an edge.
func (e edge) reached(force float64) float64 {
	sd, more := pluckSD*force, gapsSD*e.perMM
	z := (force - e.at) / math.Sqrt(sd*sd+more*more)
	switch {
	case z > sureSigma:
		return 1
	case z < -sureSigma:
		return 0
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}
