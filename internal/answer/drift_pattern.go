package answer

import (
	"context"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
	"ringtrue/internal/text"
)

// PatternAnswer is what many necks have in common. Heights are over each
// lane's own line.
type PatternAnswer struct {
	Of         string  `json:"of"`
	Unit       string  `json:"unit"`
	Stage      string  `json:"stage"`
	From       string  `json:"from"` // dates of the first and the last neck
	To         string  `json:"to"`
	Confidence float64 `json:"confidence"`
	Crown1P    float64 `json:"crown_p_below"` // what one crown's p must stay under, by Šidák's rule
	Fret1P     float64 `json:"fret_p_below"`
	Steady     bool    `json:"steady"` // no fret sits off by more than chance, none steps
	drift.PatternPart
	Findings []string               `json:"findings"`
	By       string                 `json:"by,omitempty"`
	Parts    []drift.PatternPart    `json:"parts,omitempty"`
	Differ   []drift.FretDifference `json:"frets_differ,omitempty"`
	Warnings []string               `json:"warnings"`
}

// Pattern says what the necks that a filter picks have in common (Stage "":
// book.SeatedStage), and splits them by a tag where one is given. Errors: those of
// book.Heights; drift.ErrTooFew; drift.ErrNoTag.
func Pattern(ctx context.Context, s book.Scanner, f book.Filter, by string) (*PatternAnswer, error) {
	necks, stage, notes, err := book.Heights(ctx, s, f)
	if err != nil {
		return nil, err
	}
	p, err := drift.PatternOf(ctx, necks, defaultConfidence)
	if err != nil {
		return nil, err
	}
	a := &PatternAnswer{
		Of: "pattern", Unit: "mm", Stage: stage, From: necks.Date(0).Format(time.DateOnly), To: necks.Date(necks.Len() - 1).Format(time.DateOnly),
		Confidence: defaultConfidence, Crown1P: p.Crown1P, Fret1P: p.Fret1P, Steady: p.Steady(), PatternPart: drift.PatternPart{Pattern: p},
		Findings: text.FretFindings(p.Findings()), By: by, Warnings: []string{},
	}
	for _, n := range notes {
		a.Warnings = append(a.Warnings, text.BookNote(n))
	}
	if by != "" {
		if a.Parts, a.Differ, err = p.Parts(ctx, necks, by, defaultConfidence); err != nil {
			return nil, err
		}
	}
	for _, part := range a.Parts {
		if part.Tag == "" {
			a.Warnings = append(a.Warnings, text.NecksWithoutTag(part.Necks, by))
		}
	}
	return a, nil
}
