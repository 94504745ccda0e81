package heights

import (
	"context"
	"sort"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// Input is what an estimate is made from.
type Input struct {
	Layout   *geometry.Layout
	Readings []reading.Reading
	// CrownRadiusMM is the radius of the crowns' tops where the maker states
	// it; 0: a probe's touches are fitted with a radius of their own.
	CrownRadiusMM float64
	// LanesApart takes each lane by itself: neighbouring lanes then tell nothing
	// of each other, and their errors are independent. For what may stand in one
	// lane alone, such as wear.
	LanesApart bool

	ctx context.Context // looked at before each round; nil: never done
}

// done is why an estimate is to end early.
func (in Input) done() error {
	if in.ctx == nil {
		return nil
	}
	return in.ctx.Err()
}

// crown is one place that readings may tell: a fret in a lane.
type crown struct {
	fret int
	lane float64
	x    float64 // along the lane, mm
	t    float64 // across, in steps of a fifth of the outer lanes' spread
	// surface is the intended board's height there, mm. Under spreading strings
	// a lane of a round board is not straight, and lanes differ in that.
	surface float64
}

type place struct {
	fret int
	lane float64
}

// crowns is the set of places that readings touch, lane by lane.
type crowns struct {
	list  []crown
	index map[place]int
	lanes []laneSpan
	apart bool // lanes tell nothing of each other
}

// laneSpan is a lane's run in crowns.list.
type laneSpan struct {
	lane     float64
	from, to int // list[from:to]
}

// collect gathers the crowns that level readings touch, by lane and fret.
func collect(in Input, obs []observation) *crowns {
	seen := map[place]bool{}
	for _, o := range obs {
		for _, f := range o.frets {
			seen[place{f, o.lane}] = true
		}
	}
	c := &crowns{index: make(map[place]int, len(seen)), list: make([]crown, 0, len(seen)), apart: in.LanesApart}
	for p := range seen {
		c.list = append(c.list, crown{
			fret: p.fret, lane: p.lane,
			x:       in.Layout.LaneX(p.fret, p.lane),
			t:       5 * in.Layout.Fraction(p.lane),
			surface: in.Layout.Surface(in.Layout.At(p.fret, p.lane)),
		})
	}
	c.arrange()
	// Beyond any neck's lanes help across costs more than it brings.
	c.apart = c.apart || len(c.lanes) > maxSmall
	return c
}

// arrange sorts the list and rebuilds index and lanes.
func (c *crowns) arrange() {
	sort.Slice(c.list, func(i, j int) bool {
		a, b := c.list[i], c.list[j]
		if a.lane != b.lane {
			return a.lane < b.lane
		}
		return a.fret < b.fret
	})
	clear(c.index)
	c.lanes = c.lanes[:0]
	for i, k := range c.list {
		c.index[place{k.fret, k.lane}] = i
		if n := len(c.lanes); n == 0 || c.lanes[n-1].lane != k.lane {
			c.lanes = append(c.lanes, laneSpan{lane: k.lane, from: i})
		}
		c.lanes[len(c.lanes)-1].to = i + 1
	}
}

// keep drops the crowns for which ok is false.
func (c *crowns) keep(ok []bool) {
	kept := c.list[:0]
	for i, k := range c.list {
		if ok[i] {
			kept = append(kept, k)
		}
	}
	c.list = kept
	c.arrange()
}
