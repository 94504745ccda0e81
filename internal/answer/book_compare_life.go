package answer

import (
	"cmp"
	"slices"
	"time"

	"ringtrue/internal/level"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// wear says how deep each worn crown is, how fast it wears and when it is worn
// down.
func (c *comparison) wear() {
	least := c.to.model.Level.LeastCrown
	assumed := false
	for _, x := range c.a.Crowns {
		if x.Verdict != string(wear.Worn) {
			continue
		}
		w := WornCrown{Fret: x.Fret, Lane: x.Lane, DepthMM: -x.ChangeMM, UMM: x.UMM}
		w.CrownMM, w.Measured = c.stands(x)
		w.LeftMM = w.CrownMM - least
		assumed = assumed || !w.Measured
		if years, known := c.a.Years.Get(); known {
			if l, err := wear.LifeOf(w.DepthMM, w.UMM, years, w.LeftMM, c.confidence); err == nil {
				w.RatePerYear, w.BelowAlready = num.Some(l.RateMMPerYear), l.AlreadyReached
				if least > 0 {
					w.SoonestYear, w.LatestYear = c.year(l.SoonestYears), c.year(l.LatestYears)
				}
			}
		}
		c.a.Wear = append(c.a.Wear, w)
	}
	slices.SortStableFunc(c.a.Wear, func(p, q WornCrown) int { return cmp.Compare(orNever(p.SoonestYear), orNever(q.SoonestYear)) })
	if assumed {
		c.warn(text.HeightsAssumed(c.a.To.Stage))
	}
	c.leastCrown(least)
}

// stands is how high a worn crown stands at the second stage: as read there,
// else what was read at the first, or the wire's size, less the wear.
func (c *comparison) stands(x CrownChange) (mm float64, measured bool) {
	at := level.Place{Fret: x.Fret, Lane: x.Lane}
	if v, known := c.to.heights.Read[at]; known {
		return v, true
	}
	v, known := c.from.heights.Read[at]
	if !known {
		v = c.from.heights.WireMM
	}
	return v + x.ChangeMM, known
}

// leastCrown is when the first crown of the neck reaches the least.
func (c *comparison) leastCrown(least float64) {
	if least <= 0 || !c.a.Years.Known() || len(c.a.Wear) == 0 {
		return
	}
	first := c.a.Wear[0]
	y := &LeastCrownYear{LeastMM: least, Fret: first.Fret, Lane: first.Lane, SoonestYear: first.SoonestYear}
	for _, w := range c.a.Wear {
		if orNever(w.LatestYear) < orNever(y.LatestYear) {
			y.LatestYear = w.LatestYear
		}
		y.BelowAlready = y.BelowAlready || w.BelowAlready
	}
	c.a.LeastCrown = y
}

// lastYear is the farthest that a forecast is worth saying.
const lastYear = 9999

// never is past any year that is told.
const never = lastYear + 1

func orNever(year num.Opt) float64 { return year.Or(never) }

// year is the calendar year, with its fraction, some years after the second
// stage; missing where it never comes.
func (c *comparison) year(after float64) num.Opt {
	at := c.a.To.Date.UTC()
	start := time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	y := float64(at.Year()) + at.Sub(start).Hours()/24/daysPerYear + after
	if y > lastYear {
		return num.Opt{}
	}
	return num.Some(y)
}
