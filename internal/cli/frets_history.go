package cli

import (
	"context"
	"io"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/text"
)

// history puts beside the findings of a neck of the book what its earlier records say
// of them.
func (s *streams) history(ctx context.Context, from source, stage string, a *answer.FretsAnswer) error {
	if from.serial == "" || a.After != nil {
		return nil
	}
	return s.withBook(ctx, from.where, false, func(b book.Store) error {
		return answer.TellHistory(ctx, b, from.serial, stage, a)
	})
}

// wholeTold is a finding of the whole neck with its history and advice.
func wholeTold(f answer.NeckFinding) string {
	words, advice := f.History.Said(f.Finding, f.Advice)
	return text.WithStory(text.WholeAmount(words, f.AmountMM, f.UMM)+": "+advice, f.History.Story())
}

// fretTold is a fret's finding with its history, put together with its advice.
func fretTold(f answer.FretFinding, with func(words, advice string) string) string {
	return text.WithStory(with(f.History.Said(f.Finding, f.Advice)), f.History.Story())
}

// historyJudged says under the whole listing how sure the history is.
func historyJudged(w io.Writer, h *answer.FretsHistory, all bool) {
	if h == nil {
		return
	}
	for _, words := range h.Warnings {
		wrap(w, "! ", printable(words))
	}
	if all && len(h.Compared) > 0 {
		wrap(w, "", text.HistoryJudged(h.WithinMM, percent(h.Confidence)))
	}
}
