// Package drawn turns the answers of package answer into the sheets that show
// them: what commands and pages draw alike.
package drawn

import (
	"fmt"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/sheet"
)

// Pattern draws what many necks have in common.
func Pattern(a *answer.PatternAnswer) (*draw.Page, error) {
	s := sheet.Pattern{
		Name: fmt.Sprintf("Pattern of %d necks, %s", a.Necks, a.Stage), Words: fmt.Sprintf("%s to %s", a.From, a.To), Findings: a.Findings, Lanes: a.Lanes,
		Chance: fmt.Sprintf("high or low on average by more than chance; where there is nothing, one table in %.0f names any (Šidák over %d crowns, over %d frets)", 1/(1-a.Confidence), len(a.Crowns), len(a.Frets)),
	}
	if len(a.Findings) == 0 {
		s.Words += ". No fret sits high or low by more than chance, none steps."
	}
	for _, f := range a.Frets {
		s.Frets = append(s.Frets, sheet.PatternFret{Fret: f.Fret, Mean: f.Mean.OrNaN(), Scatter: f.SD.OrNaN(), Side: sideOf(f.Standing)})
	}
	for _, c := range a.Crowns {
		s.Crowns = append(s.Crowns, sheet.PatternCrown{Fret: c.Fret, Lane: c.Lane, Mean: c.Mean.OrNaN(), Scatter: c.SD.OrNaN(), Side: sideOf(c.Standing)})
	}
	return s.Page()
}

func sideOf(verdict drift.Standing) int {
	switch verdict {
	case "high":
		return 1
	case "low":
		return -1
	}
	return 0
}
