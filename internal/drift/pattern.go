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

// Heights are the crowns of necks in order of time, which are counted from 0.
type Heights interface {
	Len() int
	Label(neck int) string
	Date(neck int) time.Time
	Tags(neck int) map[string]string
	Tag(neck int, tag string) string // one of them, "" for none

	// Shapes gives each neck's shape. Fret gives the crowns of some necks that are
	// alike, neck after neck, lane after lane, and then those of others, in any order;
	// what it hands out is good until the function returns. It may leave out necks
	// whose shape has none there.
	Shapes(fn func(neck int, s *Shape))
	Fret(ctx context.Context, fret int, fn func(necks []int32, s *Shape, steps []int16)) error
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
// Heights are summed up as whole steps: no order of theirs changes a digit.
// Source: Z. Šidák, Journal of the American Statistical Association 62 (1967)
// 626, holds for any correlation of two-sided normal tests. Checked by
// TestPatternOf_FalseNames.
func PatternOf(ctx context.Context, h Heights, confidence float64) (Pattern, error) {
	found, errs, err := patterns(ctx, h, 1, func(int) int { return 0 }, confidence)
	if err == nil {
		err = errs[0]
	}
	return found[0], err
}

// patterns makes a pattern of each part of the necks, reading all crowns once. errs
// says which parts have too few necks.
func patterns(ctx context.Context, h Heights, parts int, partOf func(neck int) int, confidence float64) (all []Pattern, errs []error, err error) {
	g := newGathering(h, parts, partOf)
	all, errs = make([]Pattern, parts), make([]error, parts)
	for i, necks := range g.necks {
		all[i].Necks = necks
		if necks < minNecks {
			errs[i] = fmt.Errorf("%w: %d necks of at least %d", ErrTooFew, necks, minNecks)
		}
	}
	running, inner := errgroup.WithContext(ctx)
	running.SetLimit(runtime.GOMAXPROCS(0))
	for f := range g.frets {
		running.Go(func() error { return g.fret(inner, f, errs, confidence) })
	}
	if err := running.Wait(); err != nil {
		return all, errs, err
	}
	for i := range all {
		if errs[i] == nil {
			all[i] = g.pattern(i, confidence)
		}
	}
	return all, errs, nil
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
