package answer

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

// DriftRequest is what `drift` is asked.
type DriftRequest struct {
	drift.Design
	Series     drift.Series
	Spec       drift.Spec   // for capability; without limits there is none
	By         string       // a tag to split the series by
	Parts      []drift.Part // the split, where the points' own tags would not do
	Stage      string       // of the book's records, for the answer
	Notes      []string     // what the answer warns of first
	Confidence float64      // of limits and dates; 0: 0.95
}

// defaultConfidence is that of limits where none is asked for.
const defaultConfidence = 0.95

// Drift charts a series. Errors: drift's own (ErrNoTag, those of Charts and of
// Capability).
func Drift(ctx context.Context, r DriftRequest) (*DriftAnswer, error) {
	if r.Confidence == 0 {
		r.Confidence = defaultConfidence
	}
	d := drifter{DriftRequest: r, worth: drift.NewAlarms(r.Design)}
	if r.By == "" {
		return d.chart(ctx)
	}
	return d.split(ctx)
}

// drifter holds one series while it is charted.
type drifter struct {
	DriftRequest
	worth  *drift.Alarms // the same for the whole series and its parts
	charts drift.Charts
}

// chart makes every chart of the series, without splitting it.
func (d *drifter) chart(ctx context.Context) (*DriftAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var err error
	if d.charts, err = d.Charts(d.Series); err != nil {
		return nil, err
	}
	a := d.gather()
	if a.FalseAlarms, err = d.worth.Of(d.charts); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if a.Shifts, err = d.charts.Shifts(d.Confidence); err != nil {
		return nil, err
	}
	if a.Capability, err = d.charts.Capability(d.Series, d.Spec, d.Confidence); err != nil {
		return nil, err
	}
	var real bool
	a.Neighbours, real = d.charts.Neighbours(a.Shifts)
	for _, c := range d.charts.Cautions(d.Basis, a.Shifts, a.Neighbours, real, a.Capability != nil) {
		a.Warnings = append(a.Warnings, text.DriftCaution(c))
	}
	a.Steady = d.charts.Signals() == 0 && len(a.Shifts) == 0
	return a, nil
}

// gather lays the charts out.
func (d *drifter) gather() *DriftAnswer {
	c := d.charts
	a := &DriftAnswer{
		Of: d.Series.Name, Unit: d.Series.Unit, Stage: d.Stage, Values: len(d.Series.Points), ChartAnswer: d.chartAnswer(c.Main),
		Warnings: append([]string{}, d.Notes...),
	}
	for i, g := range c.Groups {
		a.Groups = append(a.Groups, GroupAnswer{c.Points[i].Group, len(g)})
	}
	if c.Spread != nil {
		spread := d.chartAnswer(*c.Spread)
		a.Spread = &spread
	}
	if c.EWMA != nil {
		a.EWMA = &EWMAAnswer{*d.EWMA, d.chartAnswer(*c.EWMA)}
	}
	if q := c.CUSUM; q != nil {
		a.CUSUM = &CusumAnswer{
			CusumDesign: q.CusumDesign, Target: q.Target, Sigma: q.Sigma, Limit: q.Limit,
			High: q.High, Low: q.Low, Signals: d.signalsOf(q.Signals, c.Main),
		}
	}
	return a
}

func (d *drifter) chartAnswer(c drift.Chart) ChartAnswer {
	return ChartAnswer{
		Chart: c.Kind, Centre: c.Centre, Lower: c.Lower, Upper: c.Upper, NoLower: d.Series.NeverNegative && c.Lower < 0, Sigma: c.OwnSigma(),
		First: c.First, Points: c.Points, LowerPoints: c.Lowers, UpperPoints: c.Uppers, Signals: d.signalsOf(c.Signals, c),
	}
}

func (d *drifter) signalsOf(found []drift.Signal, c drift.Chart) Signals {
	return Signals{found: found, of: d.charts.Points, values: c.Points, first: c.First, grouped: d.charts.Groups != nil}
}

// day prints a date, nothing where it is not known.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
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
		return nil, fmt.Errorf("%w: %s", drift.ErrNoTag, d.By)
	}
	answers, errs := make([]*DriftAnswer, len(parts)), make([]error, len(parts))
	var a *DriftAnswer
	var err error
	atOnce(1+len(parts), func(i int) {
		if i == 0 {
			a, err = d.chart(ctx)
			return
		}
		one := drifter{DriftRequest: d.DriftRequest, worth: d.worth}
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
	a.PartsDiffer = drift.Differ(d.charts.Main.Kind, parts)
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
