package answer

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/drift"
)

// DriftRequest is what `drift` is asked.
type DriftRequest struct {
	Series     drift.Series
	Kind       drift.Kind    // individuals, means, proportion or count; "" goes by the series
	Spread     drift.Spread  // of means
	Basis      drift.Basis   // what the limits are taken from
	EWMA       *EWMARequest  // nil: no such chart
	CUSUM      *CusumRequest // nil: no such chart
	Wanted     drift.Wanted  // for capability; without limits there is none
	By         string        // a tag to split the series by
	Parts      []drift.Part  // the split, where the points' own tags would not do
	Stage      string        // of the book's records, for the answer
	Notes      []string      // what the answer warns of first
	Confidence float64       // of limits and dates; 0: 0.95
}

// EWMARequest asks for an EWMA chart.
type EWMARequest struct{ Lambda, Width float64 }

// CusumRequest asks for cumulative sums; HeadStart is in sigmas of a point.
type CusumRequest struct{ K, H, HeadStart float64 }

// Errors of a request that does not suit its series.
var (
	ErrNoGroups = errors.New("the series has no groups")
	ErrNoTag    = errors.New("no value of the series carries that tag")
	ErrNoOutOf  = errors.New("the series does not say how many were looked at")
	ErrOfCounts = errors.New("capability is of measured values, not of counts")
)

// defaultConfidence is that of limits where none is asked for.
const defaultConfidence = 0.95

// Drift charts a series. Errors: those above, and drift's own (ErrTooFew,
// ErrNotFinite, ErrCount, ErrNoScatter for cumulative sums and capability of
// equal values).
func Drift(ctx context.Context, r DriftRequest) (*DriftAnswer, error) {
	if r.Confidence == 0 {
		r.Confidence = defaultConfidence
	}
	d := drifter{DriftRequest: r, normal: newNormalAlarms(r)}
	if r.By == "" {
		return d.chart(ctx)
	}
	return d.split(ctx)
}

// drifter holds one series while it is charted.
type drifter struct {
	DriftRequest
	normal *normalAlarms // the same for the whole series and its parts
	points []drift.Point // the first of each group, or every one
	groups [][]float64
	main   drift.Chart
	answer *DriftAnswer
}

// chart makes every chart of the series, without splitting it.
func (d *drifter) chart(ctx context.Context) (*DriftAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	d.answer = &DriftAnswer{
		Of: d.Series.Name, Unit: d.Series.Unit, Stage: d.Stage, Values: len(d.Series.Points), Warnings: append([]string{}, d.Notes...),
		FalseAlarms: []FalseAlarms{}, Changes: []ChangeAnswer{},
	}
	spread, err := d.charts()
	if err != nil {
		return nil, err
	}
	a := d.answer
	a.ChartAnswer = d.chartAnswer(d.main)
	if spread != nil {
		c := d.chartAnswer(*spread)
		a.Spread = &c
	}
	if err := d.weighted(); err != nil {
		return nil, err
	}
	if err := d.alarms(ctx); err != nil {
		return nil, err
	}
	if err := d.changes(); err != nil {
		return nil, err
	}
	if err := d.capability(); err != nil {
		return nil, err
	}
	d.neighbours()
	d.warn()
	a.Steady = d.signals() == 0 && len(a.Changes) == 0
	return a, nil
}

// kind is the kind of the main chart.
func (d *drifter) kind() drift.Kind {
	switch {
	case d.Kind != "":
		return d.Kind
	case len(d.Series.Points) > 0 && d.Series.Points[0].OutOf > 0:
		return drift.KindProportion
	case d.Series.Grouped():
		return drift.KindMeans
	}
	return drift.KindIndividuals
}

// charts makes the main chart and the one of spreads, nil where there is none.
func (d *drifter) charts() (spread *drift.Chart, err error) {
	s := d.Series
	d.points = s.Points
	var beside drift.Chart
	switch d.kind() {
	case drift.KindMeans:
		if !s.Grouped() {
			return nil, ErrNoGroups
		}
		var first []int
		d.groups, first = s.Groups()
		d.points = make([]drift.Point, len(first))
		for i, at := range first {
			d.points[i] = s.Points[at]
			d.answer.Groups = append(d.answer.Groups, GroupAnswer{s.Points[at].Group, len(d.groups[i])})
		}
		d.main, beside, err = drift.Means(d.groups, d.Spread, d.Basis)
		return &beside, err
	case drift.KindProportion:
		outOf := make([]int, len(s.Points))
		for i, p := range s.Points {
			if outOf[i] = p.OutOf; p.OutOf == 0 {
				return nil, ErrNoOutOf
			}
		}
		d.main, err = drift.Proportions(s.Values(), outOf, d.Basis)
		return nil, err
	case drift.KindCount:
		d.main, err = drift.Counts(s.Values(), d.Basis)
		return nil, err
	case drift.KindIndividuals:
		d.main, beside, err = drift.Individuals(s.Values(), d.Basis)
		return &beside, err
	}
	return nil, fmt.Errorf("%q is no kind of control chart", d.Kind)
}

// weighted makes the charts that remember.
func (d *drifter) weighted() error {
	if e := d.EWMA; e != nil {
		c := drift.EWMA(d.main, e.Lambda, e.Width)
		d.answer.EWMA = &EWMAAnswer{Lambda: e.Lambda, Width: e.Width, ChartAnswer: d.chartAnswer(c)}
	}
	if q := d.CUSUM; q != nil {
		c, err := drift.CumulativeSum(d.main, q.K, q.H, q.HeadStart)
		if err != nil {
			return fmt.Errorf("cumulative sums: %w", err)
		}
		d.answer.CUSUM = &CusumAnswer{
			K: c.K, H: c.H, HeadStart: c.HeadStart, Target: c.Target, Sigma: c.Sigma, Limit: c.Limit,
			High: c.High, Low: c.Low, Signals: d.signalsOf(c.Signals, d.main),
		}
	}
	return nil
}

func (d *drifter) chartAnswer(c drift.Chart) ChartAnswer {
	a := ChartAnswer{
		Chart: string(c.Kind), Centre: c.Centre, Lower: c.Lower, Upper: c.Upper, Sigma: c.Sigma, First: c.First,
		Points: c.Points, LowerPoints: c.Lowers, UpperPoints: c.Uppers, Signals: d.signalsOf(c.Signals, c),
	}
	a.NoLower = d.Series.NeverNegative && c.Lower < 0
	if c.Kind == drift.KindCount || c.Kind == drift.KindProportion {
		a.Sigma = c.SDAt(len(c.Points) - 1)
	}
	return a
}

func (d *drifter) signalsOf(found []drift.Signal, c drift.Chart) Signals {
	return Signals{found: found, of: d.points, values: c.Points, first: c.First, grouped: d.groups != nil}
}

// label is what a point is called: its own label, or its group's.
func (d *drifter) label(p drift.Point) string { return labelOf(&p, d.groups != nil) }

// day prints a date, nothing where it is not known.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// changes looks for steps of the level.
func (d *drifter) changes() error {
	var weights []float64
	switch {
	case d.groups != nil:
		for _, g := range d.groups {
			weights = append(weights, float64(len(g)))
		}
	case d.main.Kind == drift.KindProportion:
		for _, p := range d.points {
			weights = append(weights, float64(p.OutOf))
		}
	}
	found, err := drift.Changes(d.main.Points, weights, d.Confidence)
	if err != nil {
		return err
	}
	for _, c := range found {
		p := d.points[c.First-1]
		d.answer.Changes = append(d.answer.Changes, ChangeAnswer{
			Index: c.First, Earliest: c.Earliest, Latest: c.Latest, Before: c.Before, After: c.After,
			UBefore: c.UBefore, UAfter: c.UAfter, P: c.P, Label: d.label(p), Date: day(p.Date),
			FromDate: day(d.points[c.Earliest-1].Date), ToDate: day(d.points[c.Latest-1].Date),
		})
	}
	return nil
}

// signals counts what all charts signal.
func (d *drifter) signals() int {
	a := d.answer
	n := a.Signals.Len()
	if a.Spread != nil {
		n += a.Spread.Signals.Len()
	}
	if a.EWMA != nil {
		n += a.EWMA.Signals.Len()
	}
	if a.CUSUM != nil {
		n += a.CUSUM.Signals.Len()
	}
	return n
}

// split answers the whole series and each part of it by itself, several at a time.
func (d *drifter) split(ctx context.Context) (*DriftAnswer, error) {
	parts := d.Parts
	if parts == nil {
		parts = d.Series.By(d.By)
	}
	if len(parts) == 1 && parts[0].Tag == "" {
		if _, err := d.chart(ctx); err != nil { // what is wrong with the whole series comes first
			return nil, err
		}
		return nil, fmt.Errorf("%w: %s", ErrNoTag, d.By)
	}
	answers, errs := make([]*DriftAnswer, len(parts)), make([]error, len(parts))
	var a *DriftAnswer
	var err error
	atOnce(1+len(parts), func(i int) {
		if i == 0 {
			a, err = d.chart(ctx)
			return
		}
		one := drifter{DriftRequest: d.DriftRequest, normal: d.normal}
		one.Series, one.Basis.First, one.Notes = parts[i-1].Series, 0, nil
		answers[i-1], errs[i-1] = one.chart(ctx)
	})
	if err != nil {
		return nil, err
	}
	a.By = d.By
	for i, p := range parts {
		switch err := errs[i]; {
		case errors.Is(err, drift.ErrTooFew), errors.Is(err, drift.ErrNoScatter):
			a.Parts = append(a.Parts, DriftPart{Tag: p.Tag, Why: err.Error()})
		case err != nil:
			return nil, err
		default:
			a.Parts = append(a.Parts, DriftPart{Tag: p.Tag, Answer: answers[i]})
		}
	}
	a.PartsDiffer = d.differ(parts)
	return a, nil
}

// atOnce calls do for 0 to n-1, as many at a time as there are cores.
func atOnce(n int, do func(i int)) {
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		all.Go(func() error { do(i); return nil })
	}
	_ = all.Wait()
}

// differ compares the parts: means by analysis of variance, shares and counts
// by chi-square. Nil where that cannot be told.
func (d *drifter) differ(parts []drift.Part) *PartsDifferAnswer {
	var levels []drift.Level
	var sums, outOf []float64
	for _, p := range parts {
		values := p.Series.Values()
		levels = append(levels, drift.LevelOf(values))
		sums = append(sums, floats.Sum(values))
		n := float64(len(values))
		if d.main.Kind == drift.KindProportion {
			n = 0
			for _, point := range p.Series.Points {
				n += float64(point.OutOf)
			}
		}
		outOf = append(outOf, n)
	}
	var a PartsDifferAnswer
	switch d.main.Kind {
	case drift.KindProportion:
		a.Test, a.ChiSquare = "chi-square of shares", new(float64)
		*a.ChiSquare, a.P = drift.SharesDiffer(sums, outOf)
	case drift.KindCount:
		a.Test, a.ChiSquare = "chi-square of counts", new(float64)
		*a.ChiSquare, a.P = drift.CountsDiffer(sums, outOf)
	default:
		a.Test, a.F = "analysis of variance", new(float64)
		*a.F, a.P = drift.LevelsDiffer(levels)
	}
	if known(a.P) == nil {
		return nil
	}
	return &a
}
