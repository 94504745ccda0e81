package drawn

import (
	"fmt"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
)

// Compare draws what changed on a neck between two stages.
func Compare(a *answer.BookCompareAnswer, l *geometry.Layout, paper sheet.Paper, units sheet.Units) (*draw.Page, error) {
	name := a.Serial
	if a.Model != "" {
		name += ", " + a.Model
	}
	s := sheet.Wear{Neck: name, Verdict: a.Verdict, Summary: a.Summary, Warnings: a.Warnings, Guard: a.Guard, Confidence: a.Confidence}
	for _, x := range []answer.ComparedStage{a.From, a.To} {
		s.Stages = append(s.Stages, fmt.Sprintf("%s, %s", x.Stage, x.Date.Format(time.DateOnly)))
	}
	for _, c := range a.Crowns {
		s.Crowns = append(s.Crowns, sheet.WearCrown{Fret: c.Fret, Lane: c.Lane, ChangeMM: c.ChangeMM, UMM: c.UMM, Verdict: c.Verdict})
	}
	for _, f := range a.Frets {
		s.ByFret = append(s.ByFret, sheet.FretsNote{Fret: f.Fret, Finding: f.Finding, Advice: f.Advice})
	}
	for _, u := range a.Open {
		s.Unknown = append(s.Unknown, sheet.FretsPlace{Fret: u.Fret, Lane: u.Lane})
	}
	if b := a.Bow; b != nil {
		s.Bow = fmt.Sprintf("relief changed by %+.3f ± %.3f mm, taken out", b.MM, b.UMM)
	}
	if y := a.LeastCrown; y != nil {
		s.LeastCrown = fmt.Sprintf("least crown of %.2f mm reached: %s", y.LeastMM, answer.Reached(y.SoonestYear, y.LatestYear, y.BelowAlready))
	}
	return s.Page(l, paper, units)
}
