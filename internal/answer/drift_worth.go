package answer

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/drift"
)

// simulatedRuns is how many runs stand behind a run length that no chain
// gives: its standard uncertainty is then about 2 %.
const simulatedRuns = 3000

// roughBelow is the number of points under which limits are rough: from 20
// single values sigma is known to a fifth only (drift's
// TestIndividuals_SigmaScatter).
const roughBelow = 20

// alarms says how often each chart signals while nothing changes.
func (d *drifter) alarms(ctx context.Context) error {
	n := float64(len(d.main.Points))
	main, err := d.mainAlarms()
	if err != nil {
		return err
	}
	d.addAlarms(main, n)
	if err := ctx.Err(); err != nil {
		return err
	}
	if d.answer.Spread != nil {
		d.addAlarms(d.spreadAlarms(), n)
	}
	if d.EWMA != nil {
		d.addAlarms(d.normal.ewma(), n)
	}
	if q := d.CUSUM; q != nil && q.HeadStart < q.H {
		d.addAlarms(d.normal.cusum(), n)
	}
	return nil
}

// runLengths are how many points a chart takes to signal on average, while
// nothing changes and after a shift of one sigma.
type runLengths struct {
	chart, how         string
	steady, shifted, u float64
}

// normalAlarms are the run lengths of normal values, which do not depend on the
// series: each is worked out once, when it is first asked for.
type normalAlarms struct {
	rules       func() (runLengths, error)
	ewma, cusum func() runLengths
}

func newNormalAlarms(r DriftRequest) *normalAlarms {
	n := &normalAlarms{rules: sync.OnceValues(func() (runLengths, error) { return rulesAlarms(r.Basis.Rules) })}
	n.ewma = sync.OnceValue(func() runLengths {
		e := r.EWMA
		return runLengths{
			chart: string(drift.KindEWMA), how: "exact",
			steady: drift.EWMARunLength(e.Lambda, e.Width, 0), shifted: drift.EWMARunLength(e.Lambda, e.Width, 1),
		}
	})
	n.cusum = sync.OnceValue(func() runLengths {
		q := r.CUSUM
		return runLengths{
			chart: "cusum", how: "exact",
			steady:  drift.CusumRunLength(q.K, q.H, q.HeadStart, 0),
			shifted: drift.CusumRunLength(q.K, q.H, q.HeadStart, 1),
		}
	})
	return n
}

// rulesAlarms is about rules on normal values; nil stands for the zone rules.
func rulesAlarms(rules []drift.Rule) (r runLengths, err error) {
	if rules == nil {
		rules = drift.ZoneRules()
	}
	r.how = "exact"
	r.steady, err = drift.RunLength(rules, drift.NormalZones(0))
	switch {
	case errors.Is(err, drift.ErrNoChain):
		r.how = "simulated"
		r.steady, r.u = drift.SimulatedRunLength(rules, 0, simulatedRuns, rand.NewPCG(1984, 237))
		r.shifted, _ = drift.SimulatedRunLength(rules, 1, simulatedRuns, rand.NewPCG(1984, 238))
		return r, nil
	case err == nil:
		r.shifted, err = drift.RunLength(rules, drift.NormalZones(1))
	}
	return r, err
}

func (d *drifter) mainAlarms() (runLengths, error) {
	if !d.discrete() {
		r, err := d.normal.rules()
		r.chart = string(d.main.Kind)
		return r, err
	}
	r := runLengths{chart: string(d.main.Kind), how: "exact", shifted: math.NaN()}
	rules := d.Basis.Rules
	if rules == nil {
		rules = drift.ZoneRules()
	}
	zones, ok := d.countZones()
	if !ok {
		r.how, r.steady = "not known", math.NaN()
		return r, nil
	}
	var err error
	r.steady, err = drift.RunLength(rules, zones)
	if errors.Is(err, drift.ErrNoChain) {
		r.how, r.steady = "not known", math.NaN()
		return r, nil
	}
	return r, err
}

// spreadAlarms is about the chart of spreads, whose limits alone signal.
func (d *drifter) spreadAlarms() runLengths {
	a := d.answer.Spread
	r := runLengths{chart: a.Chart, how: "exact", steady: math.NaN(), shifted: math.NaN()}
	size := 2
	if d.groups != nil {
		size = len(d.groups[0])
		for _, g := range d.groups {
			if len(g) != size || size < 2 {
				r.how = "not known"
				return r
			}
		}
	}
	r.steady = drift.SpreadRunLength(drift.Kind(a.Chart), size)
	return r
}

func (d *drifter) discrete() bool {
	return d.main.Kind == drift.KindCount || d.main.Kind == drift.KindProportion
}

// countZones are the zone probabilities of counts or shares while nothing
// changes; not ok where they differ from point to point.
func (d *drifter) countZones() (z drift.Zones, ok bool) {
	c := d.main
	switch {
	case !(c.Centre > 0) || len(c.SD) > 1:
		return z, false
	case c.Kind == drift.KindCount:
		return drift.CountZones(c.Centre), true
	case c.Centre >= 1:
		return z, false
	}
	return drift.ProportionZones(c.Centre, d.points[0].OutOf), true
}

func (d *drifter) addAlarms(r runLengths, points float64) {
	f := FalseAlarms{Chart: r.chart, How: r.how, Separate: d.separate(r.chart), PointsPerAlarm: known(r.steady), ShiftFound: known(r.shifted)}
	if r.u > 0 {
		f.UPoints = &r.u
	}
	switch {
	case math.IsInf(r.steady, 1):
		f.Expected, f.ChanceOfAny = known(0), known(0)
	case f.PointsPerAlarm != nil:
		// Signals come almost like the ticks of a radiation counter once the
		// first few points are in.
		f.Expected = known(points / r.steady)
		f.ChanceOfAny = known(-math.Expm1(-points / r.steady))
	}
	d.answer.FalseAlarms = append(d.answer.FalseAlarms, f)
}

// separate counts the runs of neighbouring points that signal on a chart: one
// cause, or one whim of chance, makes several points signal.
func (d *drifter) separate(chart string) int {
	a := d.answer
	signals := a.Signals
	switch {
	case a.Spread != nil && chart == a.Spread.Chart:
		signals = a.Spread.Signals
	case a.EWMA != nil && chart == a.EWMA.Chart:
		signals = a.EWMA.Signals
	case a.CUSUM != nil && chart == "cusum":
		signals = a.CUSUM.Signals
	}
	n, last := 0, -1
	for _, s := range signals.found {
		if s.Index > last+1 {
			n++
		}
		last = s.Index
	}
	return n
}

// capability holds the values against what is wanted of them.
func (d *drifter) capability() error {
	if d.Wanted.Least == nil && d.Wanted.Most == nil {
		return nil
	}
	if d.discrete() {
		return ErrOfCounts
	}
	c, err := drift.Capable(d.Series.Values(), d.main.Sigma, d.Wanted, d.Confidence)
	if err != nil {
		return fmt.Errorf("capability: %w", err)
	}
	d.answer.Capability = &CapabilityAnswer{
		Least: c.Wanted.Least, Most: c.Wanted.Most, Aim: c.Wanted.Aim, Mean: c.Mean, SigmaWithin: c.Sigma, SigmaOverall: c.Overall,
		Confidence: c.Confidence, Cp: index(c.Cp), Cpl: index(c.Cpl), Cpu: index(c.Cpu), Cpk: index(c.Cpk), Cpm: index(c.Cpm),
		Pp: index(c.Pp), Ppk: index(c.Ppk), Outside: c.Outside, ExpectedOutside: 100 * c.ExpectedOutside,
	}
	return nil
}

func index(i *drift.Index) *IndexAnswer {
	if i == nil {
		return nil
	}
	return &IndexAnswer{i.Value, i.Lower, i.Upper}
}

// fewSteps is how many steps of the level are taken for steps: a series that
// wanders looks as if it had many.
const fewSteps = 2

// neighbours looks whether neighbouring points resemble each other. A step of
// the level makes them so too, so a few steps are taken off first.
func (d *drifter) neighbours() {
	x := append([]float64(nil), d.main.Points...)
	if len(d.answer.Changes) <= fewSteps {
		from := 0
		for _, c := range append(d.answer.Changes, ChangeAnswer{Index: len(x) + 1}) {
			stretch := x[from : c.Index-1]
			level := stat.Mean(stretch, nil)
			for i := range stretch {
				stretch[i] -= level
			}
			from = c.Index - 1
		}
	}
	if len(x) < 3 {
		return
	}
	r, real := drift.Autocorrelation(x)
	d.answer.Neighbours = &r
	if real && r > 0 {
		d.answer.Warnings = append(d.answer.Warnings, fmt.Sprintf(
			"neighbouring points resemble each other (correlation %.2f): limits from moving ranges are too narrow then, and signals come more often than said", r))
	}
	if real && r < 0 {
		d.answer.Warnings = append(d.answer.Warnings, fmt.Sprintf(
			"neighbouring points go up and down by turns (correlation %.2f): two hands, two presses or two settings may be mixed in one series", r))
	}
}

// warn says where the answer stands on thin ground.
func (d *drifter) warn() {
	add := func(format string, args ...any) {
		d.answer.Warnings = append(d.answer.Warnings, fmt.Sprintf(format, args...))
	}
	use := len(d.main.Points)
	if d.Basis.First > 0 {
		use = d.Basis.First
	}
	if use < roughBelow && (d.Basis.Sigma == nil || d.Basis.Centre == nil) {
		add("limits rest on %d points: under %d they are rough, and more false alarms or fewer signals come than said", use, roughBelow)
	}
	if d.main.Kind == drift.KindIndividuals && d.main.Sigma == 0 {
		add("the values that the limits rest on are all equal: the gauge's step is too coarse for a chart")
	}
	if d.answer.Capability != nil && d.signals()+len(d.answer.Changes) > 0 {
		add("the process is not steady: capability says what it did, not what it will do")
	}
	if d.discrete() && !(d.main.Centre > 0) {
		add("not one fault: limits of 0 make any fault a signal")
	}
}
