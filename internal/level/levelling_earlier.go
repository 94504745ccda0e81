package level

import (
	"math"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// Earlier are the readings before the levelling, as they would read after it,
// those that still hold: less what was planned off their crowns, with the hand's
// scatter on crowns that were filed. What tells nothing any more is left out:
//
//   - readings that were set aside, of frets that were pressed or replaced, of
//     crowns that moved by more than chance, or filed otherwise than planned;
//   - of crowns that were not read again, unless they were not to be filed and
//     the neck's state is noted and the same;
//   - gaps under an edge or a rocker: which leaf would enter now, nobody felt.
//
// Where the bow may have changed, it is taken from the second set: the lane's
// readings before are bent by what the two sets differ, and each pass counts as
// two, one each side of the middle, so that it tells next to nothing of the bow.
func (v *Levelling) Earlier() []reading.Reading {
	var kept []carried
	times := map[Place]int{}
	for i, r := range v.Before {
		c, ok := v.carry(r)
		if v.Aside[i] || !ok {
			continue
		}
		kept = append(kept, c)
		for k, f := range c.frets {
			if c.weights[k] != 0 {
				times[Place{f, c.lane}]++
			}
		}
	}
	out := make([]reading.Reading, 0, len(kept))
	for _, c := range kept {
		out = append(out, v.moved(c, times))
	}
	return append(out, v.earlierHeights()...)
}

// carried is a reading before with its crowns and what a crown raised by 1 adds to
// it.
type carried struct {
	reading.Reading
	lane    float64
	frets   []int
	weights []float64
}

// carry finds a reading's crowns, and whether it still holds.
func (v *Levelling) carry(r reading.Reading) (carried, bool) {
	c := carried{Reading: r, lane: r.Lane, frets: r.Frets}
	s := r.Method.Spec()
	if s.Rank == 0 || s.Gap {
		return c, false
	}
	if s.SetUp == reading.Frame {
		p := v.nearest(r.X, r.Y)
		c.lane, c.frets = p.Lane, []int{p.Fret}
	}
	if v.bowFree && s.Frets > 1 && r.Frets[1] == v.middle() {
		return c, false // the chain may bend there
	}
	var x []float64
	for _, f := range c.frets {
		x = append(x, v.Layout.LaneX(f, c.lane))
	}
	c.weights = heights.Weights(r.Method, x...)
	for _, f := range c.frets {
		if !v.stillHolds(Place{f, c.lane}) {
			return c, false
		}
	}
	return c, true
}

// stillHolds reports whether what was read of a crown before still tells of it.
func (v *Levelling) stillHolds(p Place) bool {
	if v.First[p.Fret] {
		return false
	}
	if !v.Known && v.removed[p] > 0 {
		return false // nobody knows what was taken off
	}
	if k := v.crowns[p]; k != nil {
		return k.told && !k.far && !k.unsure
	}
	return v.sameState && v.hand(p) == 0
}

// moved is a reading as it would be taken now. times is how many kept readings
// each crown has: they share the hand's one error there, which must not average
// out among them.
func (v *Levelling) moved(c carried, times map[Place]int) reading.Reading {
	r := c.Reading
	fall, hand := 0.0, 0.0
	for k, f := range c.frets {
		p := Place{f, c.lane}
		u := v.hand(p)
		hand += c.weights[k] * c.weights[k] * u * u * float64(times[p])
		fall += c.weights[k] * (v.removed[p] + v.bend(p))
	}
	if r.Method.Spec().SetUp == reading.Frame {
		r.Z -= fall
	} else {
		r.Value -= fall
	}
	r.U = math.Sqrt(r.U*r.U + hand)
	r.UGiven = r.UGiven || hand > 0
	r.Line, r.Pass, r.State = 0, v.pass(c), StateOf(v.After)
	return r
}

// bend is how much lower a crown stands now for the neck's bow alone: that of its
// strings, and what the two sets differ beside.
func (v *Levelling) bend(p Place) float64 {
	fall := 0.0
	if v.Was != nil && v.Is != nil {
		fall = v.Was.Shape(p.Lane, []int{p.Fret})[0] - v.Is.Shape(p.Lane, []int{p.Fret})[0]
	}
	if fit, ok := v.bows[p.Lane]; ok {
		fall += fit.bow(v.Layout.LaneX(p.Fret, p.Lane))
	}
	return fall
}

// PassBefore begins the name of a pass before.
const PassBefore = "before "

// pass names a pass before, or the half of it that a reading belongs to.
func (v *Levelling) pass(c carried) string {
	name := PassBefore + c.Pass
	if !v.bowFree || len(c.frets) > 1 {
		return name
	}
	if c.frets[0] <= v.middle() {
		return name + ", nut side"
	}
	return name + ", body side"
}

// middle is the fret that halves the neck's frets.
func (v *Levelling) middle() int {
	return (v.Layout.FirstFret() + v.Layout.LastFret()) / 2
}

// nearest is the fret and the whole lane closest to a probe's touch.
func (v *Levelling) nearest(x, y float64) Place {
	l := v.Layout
	best, dist := Place{l.FirstFret(), 1}, math.Inf(1)
	for lane := 1; lane <= l.Strings(); lane++ {
		for f := l.FirstFret(); f <= l.LastFret(); f++ {
			q := l.At(f, float64(lane))
			if d := math.Hypot(q.X-x, q.Y-y); d < dist {
				best, dist = Place{f, float64(lane)}, d
			}
		}
	}
	return best
}

// earlierHeights are crowns' heights over the board, less what was planned off
// them, where they were not measured again.
func (v *Levelling) earlierHeights() []reading.Reading {
	again := map[Place]bool{}
	for _, r := range v.After {
		if r.Method == reading.Height {
			again[Place{r.Frets[0], r.Lane}] = true
		}
	}
	var out []reading.Reading
	for _, r := range v.Before {
		if r.Method != reading.Height {
			continue
		}
		if p := (Place{r.Frets[0], r.Lane}); !again[p] && !v.First[p.Fret] {
			r.Value -= v.removed[p]
			r.Line = 0
			out = append(out, r)
		}
	}
	return out
}
