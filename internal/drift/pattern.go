package drift

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
)

// NoHeight marks a crown of a Neck that nobody knows.
const NoHeight = math.MinInt16

// Shape says which crowns a neck's heights are of.
type Shape struct {
	FirstFret, Frets int
	Lanes            []float64 // ascending
	StepMM           float64   // what one step of a height is
}

// Neck is where the crowns of one neck stand off their lanes' lines.
type Neck struct {
	Shape *Shape  // shared between necks that are alike
	Steps []int16 // lane after lane, fret after fret; NoHeight for none
	Label string
	Date  time.Time
	Tags  map[string]string // shared between necks that are alike
}

// Level is where something stands on average over many necks. What is missing
// is not known.
type Level struct {
	N        int      `json:"necks"`      // that tell
	Mean     num.Opt  `json:"mean_mm"`    // without a neck missing
	SD       num.Opt  `json:"scatter_mm"` // from neck to neck; below two necks missing
	U        num.Opt  `json:"u_mm"`       // standard uncertainty of the mean
	P        num.Opt  `json:"p"`          // chance of a mean as far off where there is nothing
	Standing Standing `json:"verdict"`
}

// Standing says where something stands.
type Standing string

// The standings: high and low are by more than chance.
const (
	High         Standing = "high"
	Low          Standing = "low"
	WithinChance Standing = "within chance"
	NotTested    Standing = "not tested"
)

// Off says whether it stands high or low.
func (s Standing) Off() bool { return s == High || s == Low }

// FretLevel is a fret: the mean of its crowns, neck by neck.
type FretLevel struct {
	Fret int `json:"fret"`
	Level
	Shifts []FretShift `json:"steps"` // in time
}

// FretShift is a step of a fret's level; its indices are of necks, from 1.
type FretShift struct {
	Shift
	With []CoincidentTag `json:"with"` // tags that changed at the same time
}

// CrownLevel is one crown's.
type CrownLevel struct {
	Fret int     `json:"fret"`
	Lane float64 `json:"lane"`
	Level
}

// Pattern is what many necks have in common.
type Pattern struct {
	Necks   int          `json:"necks"`
	Lanes   []float64    `json:"lanes"`
	Frets   []FretLevel  `json:"frets"`
	Crowns  []CrownLevel `json:"crowns"` // that any neck tells of, lane after lane, fret after fret
	Crown1P float64      `json:"-"`      // a crown must have a smaller P to count as high or low
	Fret1P  float64      `json:"-"`      // and a fret
}

// Steady says whether no fret stands off by more than chance and none steps.
func (p Pattern) Steady() bool {
	return !slices.ContainsFunc(p.Frets, func(f FretLevel) bool { return len(f.Shifts) > 0 || f.Standing.Off() })
}

// minNecks is how many necks must tell of a crown before it is tested.
const minNecks = 3

// PatternOf finds what necks in order of time have in common: which crowns and
// frets stand high or low on average, and when a fret's level stepped.
//
// Means are held against 0 by Student's t, necks taken as independent. So many
// are looked at that some would seem off by chance: by Šidák's rule each must
// be so unlikely that, where there is nothing at all, one table of crowns (or
// of frets, or of steps) in 1/(1−confidence) names any. Steps are those of
// Shifts, each fret by itself.
//
// ErrTooFew: fewer than 3 necks. Steps whose number does not fit their shape
// panic. Cost: O(crowns of all necks); frets on several cores, same answer.
// Source: Z. Šidák, Journal of the American Statistical Association 62 (1967)
// 626, holds for any correlation of two-sided normal tests. Checked by
// TestPatternOf_FalseNames.
func PatternOf(ctx context.Context, necks []Neck, confidence float64) (Pattern, error) {
	if len(necks) < minNecks {
		return Pattern{}, fmt.Errorf("%w: %d necks of at least %d", ErrTooFew, len(necks), minNecks)
	}
	b := newGathering(necks)
	means, err := b.gather(ctx, necks)
	if err != nil {
		return Pattern{}, err
	}
	p := Pattern{Necks: len(necks), Lanes: b.lanes, Crowns: []CrownLevel{}, Frets: make([]FretLevel, b.frets)}
	tested := 0
	for i, c := range b.cells {
		if c.n > 0 {
			p.Crowns = append(p.Crowns, CrownLevel{Fret: b.first + i%b.frets, Lane: b.lanes[i/b.frets], Level: c.level()})
		}
		if c.n >= minNecks {
			tested++
		}
	}
	p.Crown1P = EachBelow(confidence, tested)
	for i := range p.Crowns {
		p.Crowns[i].judge(p.Crown1P)
	}
	for f := range p.Frets {
		p.Frets[f].Fret = b.first + f
	}
	return p, p.judgeFrets(ctx, necks, means, confidence)
}

// EachBelow is what the p of each of m tests must stay under for all together to keep the
// confidence, by Šidák's rule.
func EachBelow(confidence float64, m int) float64 {
	return -math.Expm1(math.Log(confidence) / float64(max(1, m)))
}

func (l *Level) judge(below float64) {
	p, tested := l.P.Get()
	switch mean := l.Mean.Or(0); {
	case !tested:
		l.Standing = NotTested
	case l.N < minNecks || !(p < below) || mean == 0:
		l.Standing = WithinChance
	case mean > 0:
		l.Standing = High
	default:
		l.Standing = Low
	}
}

// judgeFrets works on each fret's row of means, several at a time.
func (p *Pattern) judgeFrets(ctx context.Context, necks []Neck, means [][]float32, confidence float64) error {
	each := EachBelow(confidence, len(means))
	var running errgroup.Group
	running.SetLimit(runtime.GOMAXPROCS(0))
	for f := range means {
		running.Go(func() error {
			return p.Frets[f].of(ctx, necks, means[f], confidence, each)
		})
	}
	if err := running.Wait(); err != nil {
		return err
	}
	tested := 0
	for f := range p.Frets {
		if p.Frets[f].N >= minNecks {
			tested++
		}
	}
	p.Fret1P = EachBelow(confidence, tested)
	for f := range p.Frets {
		p.Frets[f].judge(p.Fret1P)
	}
	return nil
}

// of judges one fret by its mean on each neck, NaN where none.
func (l *FretLevel) of(ctx context.Context, necks []Neck, means []float32, confidence, each float64) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	var c cell
	values := make([]float64, 0, len(means))
	neck := make([]int, 0, len(means)+1) // of each value, from 1
	for i, m := range means {
		if v := float64(m); !math.IsNaN(v) {
			c.add(v)
			values, neck = append(values, v), append(neck, i+1)
		}
	}
	shifts, err := shiftsBelow(values, nil, confidence, each)
	l.Level, l.Shifts = c.level(), []FretShift{}
	for _, s := range shifts {
		for _, at := range []*int{&s.First, &s.Earliest, &s.Latest, &s.Start, &s.End} {
			*at = neck[*at-1]
		}
		s.name(necks[s.First-1].Label, func(index int) time.Time { return necks[index-1].Date })
		l.Shifts = append(l.Shifts, FretShift{Shift: s, With: CoincidentTags(s, necks)})
	}
	return err
}

// cell sums up one crown or fret. Sizes are of thousandths to tenths of a
// millimetre about 0, so plain squares lose nothing.
type cell struct {
	n           int
	sum, square float64
}

func (c *cell) add(v float64) {
	c.n++
	c.sum += v
	c.square += v * v
}

func (c *cell) level() Level {
	l := Level{N: c.n}
	if c.n == 0 {
		return l
	}
	n := float64(c.n)
	mean := c.sum / n
	l.Mean = num.Some(mean)
	if c.n < 2 {
		return l
	}
	sd := math.Sqrt(math.Max(0, c.square-c.sum*mean) / (n - 1))
	u := sd / math.Sqrt(n)
	l.SD, l.U = num.Some(sd), num.Some(u)
	switch {
	case u > 0:
		l.P = num.Some(2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Survival(math.Abs(mean)/u))
	case mean == 0:
		l.P = num.Some(1)
	default:
		l.P = num.Some(0)
	}
	return l
}

// gathering is the grid that holds the crowns of all necks.
type gathering struct {
	first, frets int
	lanes        []float64
	cells        []cell
	row          map[*Shape][]int // the grid's row of each of its lanes
}

func newGathering(necks []Neck) *gathering {
	g := &gathering{row: map[*Shape][]int{}}
	last := math.MinInt
	g.first = math.MaxInt
	var shape *Shape
	for _, n := range necks {
		if n.Shape == shape {
			continue
		}
		shape = n.Shape
		if _, seen := g.row[shape]; seen {
			continue
		}
		g.row[shape] = nil
		if shape.Frets > 0 {
			g.first, last = min(g.first, shape.FirstFret), max(last, shape.FirstFret+shape.Frets-1)
		}
		g.lanes = append(g.lanes, shape.Lanes...)
	}
	slices.Sort(g.lanes)
	g.lanes = slices.Compact(g.lanes)
	if last >= g.first {
		g.frets = last - g.first + 1
	}
	for shape := range g.row {
		rows := make([]int, len(shape.Lanes))
		for i, lane := range shape.Lanes {
			rows[i], _ = slices.BinarySearch(g.lanes, lane)
		}
		g.row[shape] = rows
	}
	g.cells = make([]cell, g.frets*len(g.lanes))
	return g
}

// gather sums up every crown and returns each fret's mean on each neck, in mm,
// NaN where none is known. Single precision holds it to 1e-7 of its size.
func (g *gathering) gather(ctx context.Context, necks []Neck) ([][]float32, error) {
	means := make([][]float32, g.frets)
	for f := range means {
		means[f] = make([]float32, len(necks))
	}
	sums, counts := make([]int, g.frets), make([]int, g.frets)
	for i, n := range necks {
		if i%4096 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
		g.one(n, sums, counts)
		for f := range means {
			m := float32(math.NaN())
			if counts[f] > 0 {
				m = float32(float64(sums[f]) * n.Shape.StepMM / float64(counts[f]))
			}
			means[f][i] = m
			sums[f], counts[f] = 0, 0
		}
	}
	return means, nil
}

// one adds a neck to the cells, and to each fret's sum of steps.
func (g *gathering) one(n Neck, sums, counts []int) {
	s := n.Shape
	if len(n.Steps) != s.Frets*len(s.Lanes) {
		panic("drift: a neck's heights do not fit its shape")
	}
	from := s.FirstFret - g.first
	for l, row := range g.row[s] {
		cells := g.cells[row*g.frets+from:][:s.Frets]
		for f, v := range n.Steps[l*s.Frets:][:s.Frets] {
			if v == NoHeight {
				continue
			}
			cells[f].add(float64(v) * s.StepMM)
			sums[from+f] += int(v)
			counts[from+f]++
		}
	}
}
