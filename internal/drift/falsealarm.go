package drift

import (
	"errors"
	"math"
	"math/rand/v2"
	"sync"

	"ringtrue/internal/num"
)

// FalseAlarms says what a chart's signals are worth while nothing changes.
type FalseAlarms struct {
	Chart          Kind    `json:"chart"`
	Separate       int     `json:"separate_signals"`      // runs of neighbouring points that signalled here
	PointsPerAlarm num.Opt `json:"points_per_alarm"`      // missing: none ever comes, or not known
	UPoints        num.Opt `json:"u_points,omitzero"`     // where it was simulated
	Expected       num.Opt `json:"expected"`              // in a series of this length
	ChanceOfAny    num.Opt `json:"chance_of_any"`         // that at least one comes
	ShiftFound     num.Opt `json:"points_to_find_1sigma"` // a mean that moves by one sigma of a point
	How            string  `json:"how"`
}

// How a run length is known.
const (
	exact     = "exact"
	simulated = "simulated"
	notKnown  = "not known"
)

// simulatedRuns is how many runs stand behind a run length that no chain
// gives: its standard uncertainty is then about 2 %.
const simulatedRuns = 3000

// Alarms tells how often charts of one design signal while nothing changes. Run
// lengths of normal values do not depend on the series: each is worked out
// once, when it is first asked for, for all series that share the Alarms.
type Alarms struct {
	basis       []Rule
	rules       func() (runLengths, error)
	ewma, cusum func() runLengths
}

// runLengths are how many points a chart takes to signal on average, while
// nothing changes and after a shift of one sigma; NaN where not known.
type runLengths struct {
	how                string
	steady, shifted, u float64
}

// NewAlarms prepares the false alarms of a design.
func NewAlarms(d Design) *Alarms {
	a := &Alarms{basis: d.Basis.rules()}
	a.rules = sync.OnceValues(func() (runLengths, error) { return rulesAlarms(a.basis) })
	a.ewma = sync.OnceValue(func() runLengths {
		e := d.EWMA
		return runLengths{how: exact, steady: EWMARunLength(e.Lambda, e.Width, 0), shifted: EWMARunLength(e.Lambda, e.Width, 1)}
	})
	a.cusum = sync.OnceValue(func() runLengths {
		q := d.CUSUM
		return runLengths{
			how:    exact,
			steady: CusumRunLength(q.K, q.H, q.HeadStart, 0), shifted: CusumRunLength(q.K, q.H, q.HeadStart, 1),
		}
	})
	return a
}

// rulesAlarms is about rules on normal values.
func rulesAlarms(rules []Rule) (r runLengths, err error) {
	r.how = exact
	r.steady, err = RunLength(rules, NormalZones(0))
	switch {
	case errors.Is(err, ErrNoChain):
		r.how = simulated
		r.steady, r.u = SimulatedRunLength(rules, 0, simulatedRuns, rand.NewPCG(1984, 237))
		r.shifted, _ = SimulatedRunLength(rules, 1, simulatedRuns, rand.NewPCG(1984, 238))
		return r, nil
	case err == nil:
		r.shifted, err = RunLength(rules, NormalZones(1))
	}
	return r, err
}

// Of says how often each of the charts signals while nothing changes: the main
// one first, then those of spread, moving average and sums.
func (a *Alarms) Of(c Charts) ([]FalseAlarms, error) {
	points := float64(len(c.Points))
	main, err := a.main(c)
	if err != nil {
		return nil, err
	}
	all := []FalseAlarms{main.alarms(c.Kind, c.Signals, points)}
	if s := c.Spread; s != nil {
		all = append(all, spreadAlarms(c).alarms(s.Kind, s.Signals, points))
	}
	if e := c.EWMA; e != nil {
		all = append(all, a.ewma().alarms(KindEWMA, e.Signals, points))
	}
	if q := c.CUSUM; q != nil && q.HeadStart < q.H {
		all = append(all, a.cusum().alarms(KindCUSUM, q.Signals, points))
	}
	return all, nil
}

func (a *Alarms) main(c Charts) (runLengths, error) {
	if !c.Discrete() {
		return a.rules()
	}
	unknown := runLengths{how: notKnown, steady: math.NaN(), shifted: math.NaN()}
	zones, ok := c.countZones()
	if !ok {
		return unknown, nil
	}
	steady, err := RunLength(a.basis, zones)
	if errors.Is(err, ErrNoChain) {
		return unknown, nil
	}
	return runLengths{how: exact, steady: steady, shifted: math.NaN()}, err
}

// countZones are the zone probabilities of counts or shares while nothing
// changes; not ok where they differ from point to point.
func (c Charts) countZones() (z Zones, ok bool) {
	switch {
	case !(c.Centre > 0) || len(c.SD) > 1:
		return z, false
	case c.Kind == KindCount:
		return CountZones(c.Centre), true
	case c.Centre >= 1:
		return z, false
	}
	return ProportionZones(c.Centre, c.points[0].OutOf), true
}

// spreadAlarms is about the chart of spreads, whose limits alone signal.
func spreadAlarms(c Charts) runLengths {
	r := runLengths{how: exact, steady: math.NaN(), shifted: math.NaN()}
	size := 2
	if c.Groups != nil {
		size = c.Groups[0].Values
		for _, g := range c.Groups {
			if g.Values != size || size < 2 {
				r.how = notKnown
				return r
			}
		}
	}
	r.steady = SpreadRunLength(c.Spread.Kind, size)
	return r
}

func (r runLengths) alarms(chart Kind, signals []Signal, points float64) FalseAlarms {
	f := FalseAlarms{Chart: chart, How: r.how, Separate: separate(signals), PointsPerAlarm: num.Some(r.steady), ShiftFound: num.Some(r.shifted)}
	if r.u > 0 {
		f.UPoints = num.Some(r.u)
	}
	switch {
	case math.IsInf(r.steady, 1):
		f.Expected, f.ChanceOfAny = num.Some(0), num.Some(0)
	case f.PointsPerAlarm.Known():
		// Signals come almost like the ticks of a radiation counter once the
		// first few points are in.
		f.Expected = num.Some(points / r.steady)
		f.ChanceOfAny = num.Some(-math.Expm1(-points / r.steady))
	}
	return f
}

// separate counts the runs of neighbouring points that signal on a chart: one
// cause, or one whim of chance, makes several points signal.
func separate(signals []Signal) int {
	n, last := 0, -1
	for _, s := range signals {
		if s.Index > last+1 {
			n++
		}
		last = s.Index
	}
	return n
}
