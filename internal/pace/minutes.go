package pace

import (
	"cmp"
	"slices"
	"time"

	"ringtrue/internal/num"
)

// Spent is one piece of work whose time is known.
type Spent struct {
	What, By, Gauge string
	Minutes         float64
	Readings        int // 0 where it is no reading
}

// Pace is how long one kind of work takes one hand with one gauge, as JSON has it.
type Pace struct {
	What    string  `json:"what"`            // "reading", or the stage that a job led to
	By      string  `json:"by,omitempty"`    // empty: not noted
	Gauge   string  `json:"gauge,omitempty"` // likewise
	Times   int     `json:"times"`
	Median  num.Opt `json:"median_minutes"`
	Tenth   num.Opt `json:"tenth_minutes"`  // one in ten takes less; missing under ten
	Ninety  num.Opt `json:"ninety_minutes"` // nine in ten take no more; likewise
	Seconds num.Opt `json:"seconds_a_reading"`
}

// Paces gathers what took how long, in order of what, hand and gauge.
func Paces(all []Spent) []Pace {
	type key struct{ what, by, gauge string }
	minutes, seconds := map[key][]float64{}, map[key][]float64{}
	for _, s := range all {
		k := key{s.What, s.By, s.Gauge}
		minutes[k] = append(minutes[k], s.Minutes)
		if s.Readings > 0 {
			seconds[k] = append(seconds[k], 60*s.Minutes/float64(s.Readings))
		}
	}
	out := []Pace{}
	for k, m := range minutes {
		slices.Sort(m)
		slices.Sort(seconds[k])
		out = append(out, Pace{k.what, k.by, k.gauge, len(m), quantile(m, 0.5, 1), quantile(m, 0.1, minNinety), quantile(m, 0.9, minNinety), quantile(seconds[k], 0.5, 1)})
	}
	slices.SortFunc(out, func(a, b Pace) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.By, b.By), cmp.Compare(a.Gauge, b.Gauge))
	})
	return out
}

// Pass is one set-up of a gauge on a neck, begun at a time of day.
type Pass struct {
	By, Gauge string
	Begun     time.Time
	Readings  int
}

// A pass takes from its beginning to that of the next by the same hand on the same
// neck. Longer than longestPass, and something else was done in between: a convention.
const longestPass = 30 * time.Minute

// Reading is what is called the work of Readings.
const Reading = "reading"

// Readings are the passes of one record whose time is known, in any order.
func Readings(passes []Pass) (all []Spent) {
	sorted := slices.Clone(passes)
	slices.SortStableFunc(sorted, func(a, b Pass) int { return a.Begun.Compare(b.Begun) })
	for i := 1; i < len(sorted); i++ {
		p, took := sorted[i-1], sorted[i].Begun.Sub(sorted[i-1].Begun)
		if p.By == sorted[i].By && took > 0 && took <= longestPass {
			all = append(all, Spent{Reading, p.By, p.Gauge, took.Minutes(), p.Readings})
		}
	}
	return all
}
