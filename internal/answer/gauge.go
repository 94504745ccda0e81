package answer

import (
	"context"

	"ringtrue/internal/gauge"
	"ringtrue/internal/text"
)

// GaugeRequest is what `gauge` is asked. ZoneMM is the tolerance, 0 for none.
type GaugeRequest struct {
	Study  gauge.Study
	ZoneMM float64
}

// GaugeAnswer is what `gauge` says of a study. Standard deviations and all else
// without a unit in its name are in Unit.
type GaugeAnswer struct {
	gauge.Report
	Words    []string `json:"words"` // the same for a person
	Warnings []string `json:"warnings"`
}

// Gauge takes a study apart. Errors are the gauge package's: ErrTooFew,
// ErrUneven, ErrAlike, ErrNotFinite.
func Gauge(ctx context.Context, r GaugeRequest) (*GaugeAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	report, err := gauge.Judge(r.Study, r.ZoneMM, defaultConfidence)
	if err != nil {
		return nil, err
	}
	a := &GaugeAnswer{Report: report}
	a.Words, a.Warnings = text.Gauge(r.Study, report)
	return a, nil
}
