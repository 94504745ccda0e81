// Package drawn turns the answers of package job into the sheets that show
// them: what commands and pages draw alike.
package drawn

import (
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
)

// Frets draws the answer of `frets`. An error says that there is no lane to draw.
func Frets(a *answer.FretsAnswer, l *geometry.Layout, paper sheet.Paper, units sheet.Units) (*draw.Page, error) {
	s := sheet.Frets{
		Neck: a.Neck, Verdict: a.Verdict, ZoneLimitMM: a.ZoneLimitMM,
		Warnings: append([]string{}, a.Warnings...), NotYet: a.WhyNot,
	}
	remove := map[sheet.FretsPlace]float64{}
	if k := a.Work; k != nil {
		s.Warnings = append(s.Warnings, k.Warnings...)
		s.TotalMM, s.MostMM = k.TotalRemoveMM, k.MaxRemoveMM
		if len(k.Crowns) > 0 {
			s.PlannedMM, s.Arrives = k.PlannedToMM, k.Arrives
		}
		for _, c := range k.Crowns {
			remove[sheet.FretsPlace{Fret: c.Fret, Lane: c.Lane}] = c.RemoveMM
		}
		for _, f := range k.First {
			s.First = append(s.First, f.Fret)
		}
	}
	for _, k := range a.Lanes {
		s.Lanes = append(s.Lanes, sheet.FretsLane{Lane: k.Lane, ZoneMM: orNaN(k.ZoneMM), UZoneMM: orNaN(k.UZoneMM), Verdict: k.Verdict})
	}
	for _, c := range a.Crowns {
		s.Crowns = append(s.Crowns, sheet.FretsCrown{Fret: c.Fret, Lane: c.Lane, OffMM: c.OffMM, Verdict: c.Verdict,
			RemoveMM: remove[sheet.FretsPlace{Fret: c.Fret, Lane: c.Lane}]})
	}
	for _, f := range a.Findings {
		s.Whole = append(s.Whole, sheet.FretsNote{Finding: f.Finding, Advice: f.Advice})
	}
	for _, f := range a.Frets {
		s.ByFret = append(s.ByFret, sheet.FretsNote{Fret: f.Fret, Finding: f.Finding, Advice: f.Advice})
	}
	for _, r := range a.Recheck {
		s.ReadAgain = append(s.ReadAgain, sheet.FretsPlace{Fret: r.Fret, Lane: r.Lane})
	}
	for _, u := range a.Undetermined {
		s.Unknown = append(s.Unknown, sheet.FretsPlace{Fret: u.Fret, Lane: u.Lane})
	}
	return s.Page(l, paper, units)
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
