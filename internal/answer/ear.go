package answer

import (
	"context"

	"ringtrue/internal/ear"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// EarRequest is what `ear` is asked: a neck, its crowns as read or perfect, and what was
// heard of its notes.
type EarRequest struct {
	PlayRequest
	Answers  []ear.Answer
	Progress func(done, of int) // may be nil
}

// EarAnswer is what `ear` says of a neck.
type EarAnswer struct {
	ear.Report
	NotJudged []play.Unjudged `json:"not_judged"`
	Warnings  []string        `json:"warnings"`
	Says      []string        `json:"says"` // what follows, in words
}

// Ear holds what was heard against what play predicts. Faults and ctx as Play.
func Ear(ctx context.Context, r EarRequest) (*EarAnswer, error) {
	n, _, warnings, err := laid(ctx, r.PlayRequest, true)
	if err == nil {
		err = n.Prepare()
	}
	if err != nil {
		return nil, err
	}
	report, err := ear.Of(ctx, ear.Request{Neck: n, Answers: r.Answers, Tell: r.Progress})
	if err != nil {
		return nil, err
	}
	for i, d := range report.Disagree {
		report.Disagree[i].Why = text.EarWhy(d)
	}
	for i, l := range report.Look {
		report.Look[i].Says = text.EarLook(l)
	}
	return &EarAnswer{Report: *report, NotJudged: n.Open, Warnings: append(warnings, text.EarWarnings(report)...), Says: text.EarSays(report)}, nil
}
