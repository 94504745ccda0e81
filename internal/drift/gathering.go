package drift

import (
	"context"
	"math"
	"slices"
	"time"
)

// gathering is what is found of each part of the necks, fret by fret.
type gathering struct {
	heights      Heights
	partOf       func(neck int) int
	necks        []int     // of each part
	names        []Heights // of each part's necks, counted from 0
	place        []int32   // of each neck in its part; nil where there is one
	first, frets int       // of all parts
	lanes        []float64
	grids        []grid
}

// grid is the crowns that the necks of a part have.
type grid struct {
	first, last int
	lanes       []float64
	cells       []cell      // lane after lane of the gathering, fret after fret
	levels      []FretLevel // by the gathering's fret
}

func newGathering(h Heights, parts int, partOf func(neck int) int) *gathering {
	g := &gathering{heights: h, partOf: partOf, necks: make([]int, parts), grids: make([]grid, parts), first: math.MaxInt}
	g.count(parts)
	for p := range g.grids {
		g.grids[p].first, g.grids[p].last = math.MaxInt, math.MinInt
	}
	last := math.MinInt
	seen := make([]*Shape, parts) // like necks stand together
	h.Shapes(func(neck int, s *Shape) {
		p := partOf(neck)
		if seen[p] == s {
			return
		}
		seen[p] = s
		r := &g.grids[p]
		if s.Frets > 0 {
			r.first, r.last = min(r.first, s.FirstFret), max(r.last, s.FirstFret+s.Frets-1)
		}
		r.lanes = union(r.lanes, s.Lanes)
	})
	for p := range g.grids {
		g.first, last = min(g.first, g.grids[p].first), max(last, g.grids[p].last)
		g.lanes = union(g.lanes, g.grids[p].lanes)
	}
	if last >= g.first {
		g.frets = last - g.first + 1
	}
	for p := range g.grids {
		g.grids[p].cells = make([]cell, g.frets*len(g.lanes))
		g.grids[p].levels = make([]FretLevel, g.frets)
	}
	return g
}

// count counts the parts' necks.
func (g *gathering) count(parts int) {
	if parts == 1 {
		g.necks[0], g.names = g.heights.Len(), []Heights{g.heights}
		return
	}
	views := make([]partOfNecks, parts)
	g.place = make([]int32, g.heights.Len())
	for i := range g.place {
		p := g.partOf(i)
		g.place[i] = int32(len(views[p].index))
		views[p].index = append(views[p].index, int32(i))
	}
	for p := range views {
		views[p].Heights = g.heights
		g.necks[p], g.names = len(views[p].index), append(g.names, views[p])
	}
}

// partOfNecks are the names of some necks, counted from 0.
type partOfNecks struct {
	Heights
	index []int32
}

func (p partOfNecks) Len() int                        { return len(p.index) }
func (p partOfNecks) Label(neck int) string           { return p.Heights.Label(int(p.index[neck])) }
func (p partOfNecks) Date(neck int) time.Time         { return p.Heights.Date(int(p.index[neck])) }
func (p partOfNecks) Tags(neck int) map[string]string { return p.Heights.Tags(int(p.index[neck])) }

// union is the lanes of both, in order.
func union(all, more []float64) []float64 {
	for _, lane := range more {
		if at, there := slices.BinarySearch(all, lane); !there {
			all = slices.Insert(all, at, lane)
		}
	}
	return all
}

// stepSums sums up heights of one step: whole numbers, so in any order the same.
type stepSums struct{ n, sum, square int64 }

// fretPart is what is gathered of one fret and part.
type fretPart struct {
	sums  map[float64][]stepSums // by step, of each lane
	means []float32              // of the crowns on each neck that has some; single precision holds it to 1e-7 of its size
	neck  []int32                // which that is
}

// fret gathers and judges one fret.
func (g *gathering) fret(ctx context.Context, f int, few []error, confidence float64) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	parts := make([]fretPart, len(g.grids))
	for p := range parts {
		parts[p].sums = map[float64][]stepSums{}
		if few[p] == nil {
			parts[p].means, parts[p].neck = make([]float32, 0, g.necks[p]), make([]int32, 0, g.necks[p])
		}
	}
	sums := make([][]stepSums, len(parts)) // of one step
	err := g.heights.Fret(ctx, g.first+f, func(necks []int32, s *Shape, steps []int16) {
		lanes := len(s.Lanes)
		if len(steps) != lanes*len(necks) {
			panic("drift: a neck's heights do not fit its shape")
		}
		rows := g.rows(s)
		clear(sums)
		for i, neck := range necks {
			p := 0
			if g.place != nil {
				p = g.partOf(int(neck))
				neck = g.place[neck]
			}
			if sums[p] == nil {
				sums[p] = parts[p].of(s.StepMM, len(g.lanes))
			}
			parts[p].add(neck, s.StepMM, steps[i*lanes:][:lanes], rows, sums[p])
		}
	})
	if err != nil {
		return err
	}
	for p := range parts {
		if few[p] != nil {
			continue
		}
		for l := range g.lanes {
			g.grids[p].cells[l*g.frets+f] = parts[p].cell(l)
		}
		level := &g.grids[p].levels[f]
		level.Fret = g.first + f
		each := EachBelow(confidence, g.grids[p].last-g.grids[p].first+1)
		if err := level.of(g.names[p], &parts[p], confidence, each); err != nil {
			return err
		}
	}
	return nil
}

// rows are the gathering's lanes of a shape's.
func (g *gathering) rows(s *Shape) []int {
	rows := make([]int, len(s.Lanes))
	for i, lane := range s.Lanes {
		rows[i], _ = slices.BinarySearch(g.lanes, lane)
	}
	return rows
}

func (p *fretPart) of(step float64, lanes int) []stepSums {
	if p.sums[step] == nil {
		p.sums[step] = make([]stepSums, lanes)
	}
	return p.sums[step]
}

func (p *fretPart) add(neck int32, step float64, steps []int16, rows []int, sums []stepSums) {
	sum, count := 0, 0
	for l, v := range steps {
		if v == NoHeight {
			continue
		}
		c, size := &sums[rows[l]], int64(v)
		c.n++
		c.sum += size
		c.square += size * size
		sum += int(v)
		count++
	}
	if count > 0 {
		p.means = append(p.means, float32(float64(sum)*step/float64(count)))
		p.neck = append(p.neck, neck)
	}
}

// cell puts the sums of one lane together, the smallest step first.
func (p *fretPart) cell(lane int) (c cell) {
	steps := make([]float64, 0, len(p.sums))
	for step := range p.sums {
		steps = append(steps, step)
	}
	slices.Sort(steps)
	for _, step := range steps {
		s := p.sums[step][lane]
		c.n += int(s.n)
		c.sum += float64(s.sum) * step
		c.square += float64(s.square) * step * step
	}
	return c
}

// inOrder sorts a fret's means by their necks.
func (p *fretPart) inOrder() {
	if slices.IsSorted(p.neck) {
		return
	}
	most := slices.Max(p.neck)
	at := make([]int32, most+1)
	for i, n := range p.neck {
		at[n] = int32(i) + 1
	}
	means := make([]float32, 0, len(p.means))
	neck := p.neck[:0]
	for n, i := range at {
		if i > 0 {
			means, neck = append(means, p.means[i-1]), append(neck, int32(n))
		}
	}
	p.means, p.neck = means, neck
}

// of judges one fret by its mean on each neck.
func (l *FretLevel) of(h Heights, p *fretPart, confidence, each float64) error {
	p.inOrder()
	var c cell
	values := make([]float64, len(p.means))
	for i, m := range p.means {
		values[i] = float64(m)
		c.add(values[i])
	}
	p.means = nil
	shifts, err := shiftsBelow(values, nil, confidence, each)
	l.Level, l.Shifts = c.level(), []FretShift{}
	for _, s := range shifts {
		for _, at := range []*int{&s.First, &s.Earliest, &s.Latest, &s.Start, &s.End} {
			*at = int(p.neck[*at-1]) + 1
		}
		s.name(h.Label(s.First-1), func(index int) time.Time { return h.Date(index - 1) })
		l.Shifts = append(l.Shifts, FretShift{Shift: s, With: CoincidentTags(s, h)})
	}
	return err
}

// pattern is what was found of one part.
func (g *gathering) pattern(part int, confidence float64) Pattern {
	r := &g.grids[part]
	p := Pattern{Necks: g.necks[part], Lanes: r.lanes, Crowns: []CrownLevel{}, Frets: []FretLevel{}}
	tested := 0
	for l, lane := range g.lanes {
		for f := range g.frets {
			c := r.cells[l*g.frets+f]
			if c.n > 0 {
				p.Crowns = append(p.Crowns, CrownLevel{Fret: g.first + f, Lane: lane, Level: c.level()})
			}
			if c.n >= minNecks {
				tested++
			}
		}
	}
	p.Crown1P = EachBelow(confidence, tested)
	for i := range p.Crowns {
		p.Crowns[i].judge(p.Crown1P)
	}
	tested = 0
	for f := r.first; f <= r.last; f++ {
		level := r.levels[f-g.first]
		if level.N >= minNecks {
			tested++
		}
		p.Frets = append(p.Frets, level)
	}
	p.Fret1P = EachBelow(confidence, tested)
	for f := range p.Frets {
		p.Frets[f].judge(p.Fret1P)
	}
	return p
}
