package ear

import (
	"context"
	"math"
	"slices"

	"ringtrue/internal/play"
)

// note is a stop of a string under a touch: what the free string does there, and how
// its gaps follow from the crowns.
type note struct {
	hMM     float64   // of the pluck's triangle as told
	beyond  int       // index of the first crown beyond the stop among the lane's
	sides   [2]side   // plucked away from the board and towards it
	pressed []float64 // how deep the triangle lies at each crown, for each mm, pressed to the board
	gap     []float64 // as told
	// How the gaps follow from what may be otherwise, mm for each mm.
	byCrown  [][]float64 // by crown of the lane; nil: a crown beyond, which takes its own gap alone, or one behind, which takes none
	byAction []float64
	byNut    []float64 // nil where the stop is not the nut
}

// side is one way of plucking: the depth of the free string at each crown beyond the
// stop for each mm of the triangle's height, and what of it is left for a buzz.
type side struct{ touch, buzz []float64 }

// noteOf prepares one stop under one touch. Errors as play.Judge's; play.ErrNoCrown
// where the string cannot be stopped there.
func noteOf(ctx context.Context, c *play.Case, fret, touch int) (*note, error) {
	l := c.Lane
	rest, err := l.Rest(c.Setup)
	if err != nil {
		return nil, err
	}
	stops := l.Stops(c.Setup, rest)
	i := slices.IndexFunc(stops, func(s play.Stop) bool { return s.Fret == fret })
	if i < 0 {
		return nil, play.ErrNoCrown
	}
	stop := stops[i]
	p, err := play.PluckOf(c.Touches[touch], c.String.TensionN, stop.LengthMM)
	if err != nil {
		return nil, err
	}
	n := &note{hMM: p.HeightMM, beyond: stop.Beyond, gap: gapsOf(l, c.Setup, i)}
	if len(n.gap) == 0 {
		return n, nil
	}
	if err := n.follow(c, i); err != nil {
		return nil, err
	}
	return n, n.reach(ctx, c, stop, p)
}

// reach finds the free string's depths.
func (n *note) reach(ctx context.Context, c *play.Case, stop play.Stop, p play.Pluck) error {
	modes, err := play.NewModes(c.Span(stop))
	if err != nil {
		return err
	}
	var x []float64
	for _, crown := range c.Lane.Crowns[stop.Beyond:] {
		at := crown.XMM - stop.XMM
		x = append(x, at)
		n.pressed = append(n.pressed, math.Min(at/p.AtMM, (stop.LengthMM-at)/(stop.LengthMM-p.AtMM)))
	}
	b := play.NewBarrier(modes, x)
	start := b.Triangle(p.AtMM)
	steps := func(s float64) int { return int(s / b.StepS) }
	if n.sides[0].touch, n.sides[1].touch, err = b.Reach(ctx, start, steps(play.WindowS)); err != nil {
		return err
	}
	if n.sides[0].buzz, n.sides[1].buzz, err = b.Reach(ctx, start, steps(modes.Span.PeriodS())); err != nil {
		return err
	}
	for k, at := range x {
		n.sides[0].buzz[k] -= c.Graze / lasting(at, p.AtMM, stop.LengthMM)
		n.sides[1].buzz[k] -= c.Graze / lasting(at, stop.LengthMM-p.AtMM, stop.LengthMM)
	}
	return nil
}

// leans is how much of the ideal string's leaning on a crown is left of a stiff one:
// held against the contact run (TestNote_AgainstTheRun).
const leans = 0.6

// lasting is how many times over a crown at x gives what its depth alone would: near
// an end the string leans on it as long as the pluck's image is away, and the end
// throws each push back after 2x/c.
func lasting(x, x0, length float64) float64 {
	return math.Max(1, leans*math.Max((length-x0)/x, x0/(length-x)))
}

// gapsOf are the gaps of stop i of a lane that can be set up.
func gapsOf(l play.Lane, s play.Setup, i int) (gaps []float64) {
	rest, err := l.Rest(s)
	if err != nil {
		return nil
	}
	stop := l.Stops(s, rest)[i]
	for _, c := range l.Crowns[stop.Beyond:] {
		gaps = append(gaps, stop.Gap(c, rest))
	}
	return gaps
}

// follow finds how the gaps follow from crowns, action and nut: they are linear in all.
func (n *note) follow(c *play.Case, i int) error {
	off := make([]float64, len(c.Lane.Crowns))
	for k, crown := range c.Lane.Crowns {
		off[k] = crown.OffMM
	}
	n.byCrown = make([][]float64, len(off))
	for k := range off {
		off[k]++
		by := n.less(gapsOf(c.Lane.Standing(off), c.Setup, i))
		off[k]--
		if slices.ContainsFunc(by, func(v float64) bool { return math.Abs(v) > 1e-9 && math.Abs(v+1) > 1e-9 }) {
			n.byCrown[k] = by
		}
	}
	s := c.Setup
	s.ActionMM++
	n.byAction = n.less(gapsOf(c.Lane, s, i))
	if rest, err := c.Lane.Rest(c.Setup); err != nil {
		return err
	} else if stop := c.Lane.Stops(c.Setup, rest)[i]; stop.Crown < 0 {
		s = c.Setup
		s.NutMM++
		s.NutGapMM++
		n.byNut = n.less(gapsOf(c.Lane, s, i))
	}
	return nil
}

// less takes the gaps as told from others.
func (n *note) less(gaps []float64) []float64 {
	for k := range gaps {
		gaps[k] -= n.gap[k]
	}
	return gaps
}
