package answer

import (
	"math"
	"slices"

	"ringtrue/internal/level"
	"ringtrue/internal/reading"
)

// earlier are the readings before the levelling, as they would read after it,
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
func (v *levelling) earlier() []reading.Reading {
	aside := map[int]bool{}
	for _, m := range v.before.Estimate.Misreads {
		aside[m.Reading] = true
	}
	var kept []carried
	times := map[level.Place]int{}
	for i, r := range v.r.Readings {
		c, ok := v.carry(r)
		if aside[i] || !ok {
			continue
		}
		kept = append(kept, c)
		for k, f := range c.frets {
			if c.weights[k] != 0 {
				times[level.Place{Fret: f, Lane: c.lane}]++
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
func (v *levelling) carry(r reading.Reading) (carried, bool) {
	c := carried{Reading: r, lane: r.Lane, frets: r.Frets}
	switch r.Method {
	case reading.Beam:
		c.weights = []float64{1}
	case reading.Bridge:
		x := func(k int) float64 { return v.r.Layout.LaneX(r.Frets[k], r.Lane) }
		l := (x(2) - x(1)) / (x(2) - x(0))
		c.weights = []float64{-l, 1, l - 1}
		if v.bowFree && r.Frets[1] == v.middle() {
			return c, false // the chain may bend there
		}
	case reading.Probe:
		p := v.nearest(r.X, r.Y)
		c.lane, c.frets, c.weights = p.Lane, []int{p.Fret}, []float64{1}
	default:
		return c, false
	}
	for _, f := range c.frets {
		if !v.stillHolds(level.Place{Fret: f, Lane: c.lane}) {
			return c, false
		}
	}
	return c, true
}

// stillHolds reports whether what was read of a crown before still tells of it.
func (v *levelling) stillHolds(p level.Place) bool {
	if v.first[p.Fret] {
		return false
	}
	if !v.known && v.removed(p) > 0 {
		return false // nobody knows what was taken off
	}
	if k := v.crowns[p]; k != nil {
		return k.holds()
	}
	return v.sameState && v.removed(p) == 0
}

// removed is what was planned off a crown.
func (v *levelling) removed(p level.Place) float64 {
	for i, l := range v.before.Lanes {
		if l.Lane.Lane != p.Lane {
			continue
		}
		if k := slices.Index(l.Frets, p.Fret); k >= 0 {
			return v.planned.Lanes[i].RemoveMM[k]
		}
	}
	return 0
}

// moved is a reading as it would be taken now. times is how many kept readings
// each crown has: they share the hand's one error there, which must not average
// out among them.
func (v *levelling) moved(c carried, times map[level.Place]int) reading.Reading {
	r := c.Reading
	fall, hand := 0.0, 0.0
	for k, f := range c.frets {
		p := level.Place{Fret: f, Lane: c.lane}
		off := v.removed(p)
		if off > 0 {
			hand += c.weights[k] * c.weights[k] * float64(times[p])
		}
		fall += c.weights[k] * (off + v.bend(p))
	}
	if r.Method == reading.Probe {
		r.Z -= fall
	} else {
		r.Value -= fall
	}
	r.U = math.Sqrt(r.U*r.U + hand*handMM*handMM)
	r.UGiven = r.UGiven || hand > 0
	r.Line, r.Pass = 0, v.pass(c)
	return r
}

// bend is how much lower a crown stands now for the neck's bow alone.
func (v *levelling) bend(p level.Place) float64 {
	if fit, ok := v.bows[p.Lane]; ok {
		return fit.bow(v.r.Layout.LaneX(p.Fret, p.Lane))
	}
	return 0
}

// passBefore begins the name of a pass before.
const passBefore = "before "

// pass names a pass before, or the half of it that a reading belongs to.
func (v *levelling) pass(c carried) string {
	name := passBefore + c.Pass
	if !v.bowFree || c.Method == reading.Bridge {
		return name
	}
	if c.frets[0] <= v.middle() {
		return name + ", nut side"
	}
	return name + ", body side"
}

// middle is the fret that halves the neck's frets.
func (v *levelling) middle() int {
	return (v.r.Layout.FirstFret() + v.r.Layout.LastFret()) / 2
}

// nearest is the fret and the whole lane closest to a probe's touch.
func (v *levelling) nearest(x, y float64) level.Place {
	l := v.r.Layout
	best, dist := level.Place{Fret: l.FirstFret(), Lane: 1}, math.Inf(1)
	for lane := 1; lane <= l.Strings(); lane++ {
		for f := l.FirstFret(); f <= l.LastFret(); f++ {
			q := l.At(f, float64(lane))
			if d := math.Hypot(q.X-x, q.Y-y); d < dist {
				best, dist = level.Place{Fret: f, Lane: float64(lane)}, d
			}
		}
	}
	return best
}

// earlierHeights are crowns' heights over the board, less what was planned off
// them, where they were not measured again.
func (v *levelling) earlierHeights() []reading.Reading {
	again := map[level.Place]bool{}
	for _, r := range v.r.After {
		if r.Method == reading.Height {
			again[level.Place{Fret: r.Frets[0], Lane: r.Lane}] = true
		}
	}
	var out []reading.Reading
	for _, r := range v.r.Readings {
		if r.Method != reading.Height {
			continue
		}
		if p := (level.Place{Fret: r.Frets[0], Lane: r.Lane}); !again[p] && !v.first[p.Fret] {
			r.Value -= v.removed(p)
			r.Line = 0
			out = append(out, r)
		}
	}
	return out
}
