package answer

import (
	"context"
	"errors"
	"fmt"
	"runtime"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// DriftRequest is what `drift` is asked.
type DriftRequest struct {
	drift.Design             // what it leaves open goes by the series
	Series       book.Series // from the book, or from a file
	Spec         drift.Spec  // for capability; without limits there is none
	By           string      // a tag to split the series by
}

// defaultConfidence is that of limits and dates.
const defaultConfidence = 0.95

// DriftAnswer is what `drift` says of a series. All values are in the series'
// unit; indices count from 1.
type DriftAnswer struct {
	Of     string `json:"of,omitempty"`
	Unit   string `json:"unit,omitempty"`
	Stage  string `json:"stage,omitempty"` // of the book's records
	Steady bool   `json:"steady"`          // no signal on any chart, no step found
	Values int    `json:"values"`
	drift.Charts
	FalseAlarms []drift.FalseAlarms `json:"false_alarms"`
	Shifts      []drift.Shift       `json:"changes"`
	Neighbours  num.Opt             `json:"neighbour_correlation"` // null where it cannot be told
	Capability  *drift.Capability   `json:"capability,omitempty"`
	By          string              `json:"by,omitempty"`
	Parts       []DriftPart         `json:"parts,omitempty"`
	PartsDiffer *drift.Difference   `json:"parts_differ,omitempty"`
	Warnings    []string            `json:"warnings"`
}

// DriftPart is the answer for the values that share one value of a tag.
type DriftPart struct {
	Tag    string       `json:"tag"`
	Why    string       `json:"why,omitempty"` // there is no answer
	Answer *DriftAnswer `json:"answer"`
}

// Sizes are how the answer's values are printed.
func (a *DriftAnswer) Sizes() text.Sizes {
	s := text.Sizes{Digits: a.Digits(), Unit: a.Unit}
	if a.Kind == drift.KindProportion {
		s.Unit = ""
	}
	return s
}

// Drift charts a series. Errors: drift's own (ErrNoTag, those of Charts and of
// Capability).
func Drift(ctx context.Context, r DriftRequest) (*DriftAnswer, error) {
	if r.Kind == "" {
		r.Kind = r.Series.Kind
	}
	r.Spread = max(r.Spread, r.Series.Spread) // deviations where either wants them
	if r.By == "" {
		return r.chart(ctx, drift.NewAlarms(r.Design))
	}
	return r.split(ctx, drift.NewAlarms(r.Design))
}

// chart makes every chart of the series, without splitting it.
func (r DriftRequest) chart(ctx context.Context, alarms *drift.Alarms) (*DriftAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	s := r.Series.Series
	a := &DriftAnswer{Of: s.Name, Unit: s.Unit, Stage: r.Series.Stage, Values: len(s.Points), Warnings: []string{}}
	for _, n := range r.Series.Notes {
		a.Warnings = append(a.Warnings, text.BookNote(n))
	}
	var err error
	if a.Charts, err = r.Charts(s); err != nil {
		return nil, err
	}
	if a.FalseAlarms, err = alarms.Of(a.Charts); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if a.Shifts, err = a.Charts.Shifts(defaultConfidence); err != nil {
		return nil, err
	}
	if a.Capability, err = a.Charts.Capability(s, r.Spec, defaultConfidence); err != nil {
		return nil, err
	}
	var real bool
	a.Neighbours, real = a.Charts.Neighbours(a.Shifts)
	for _, c := range a.Cautions(r.Basis, a.Shifts, a.Neighbours, real, a.Capability != nil) {
		a.Warnings = append(a.Warnings, text.DriftCaution(c))
	}
	a.Steady = a.Flagged() == 0 && len(a.Shifts) == 0
	return a, nil
}

// split answers the whole series and each part of it by itself, several at a time.
func (r DriftRequest) split(ctx context.Context, alarms *drift.Alarms) (*DriftAnswer, error) {
	parts := r.Series.Parts
	if parts == nil {
		parts = r.Series.By(r.By)
	}
	var running errgroup.Group
	running.SetLimit(runtime.GOMAXPROCS(0))
	var a *DriftAnswer
	running.Go(func() (err error) {
		a, err = r.chart(ctx, alarms)
		return err
	})
	answers, errs := make([]DriftPart, len(parts)), make([]error, len(parts))
	for i, p := range parts {
		running.Go(func() error {
			one := r
			one.Series = book.Series{Series: p.Series, Stage: r.Series.Stage}
			one.Basis.First = 0
			answers[i].Tag = p.Tag
			answers[i].Answer, errs[i] = one.chart(ctx, alarms)
			return nil
		})
	}
	if err := running.Wait(); err != nil { // what is wrong with the whole series comes first
		return nil, err
	}
	if len(parts) == 1 && parts[0].Tag == "" {
		return nil, fmt.Errorf("%w: %s", drift.ErrNoTag, r.By)
	}
	for i, err := range errs {
		switch {
		case errors.Is(err, drift.ErrTooFew), errors.Is(err, drift.ErrNoScatter):
			answers[i].Why = err.Error()
		case err != nil:
			return nil, err
		}
	}
	a.By, a.Parts, a.PartsDiffer = r.By, answers, drift.Differ(a.Kind, parts)
	return a, nil
}
