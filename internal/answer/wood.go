package answer

import (
	"context"
	"fmt"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/wood"
)

// WoodRequest is what `wood` is asked.
type WoodRequest struct {
	Model       neck.Model
	Layout      *geometry.Layout
	TempC       float64
	HumidityPct float64
	DriestPct   float64
	DampestPct  float64
	OneFace     bool
	Biot        float64
	ProudMM     float64
	BowMM       float64
	Curves      bool
}

// Wood says whether the board is dry enough and what the seasons do to it.
// Errors are those of the air (wood.ErrHumidity, wood.ErrTemperature); an
// unknown wood is a fileerr.List with keys of the neck file.
func Wood(ctx context.Context, r WoodRequest) (*WoodAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c, err := woodCase(r)
	if err != nil {
		return nil, err
	}
	o, err := wood.Look(c)
	if err != nil {
		return nil, err
	}
	a := woodAnswer(r, c, o)
	if r.Curves {
		if a.Curves, err = woodCurves(c); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// woodCase looks the woods up and measures the neck.
func woodCase(r WoodRequest) (wood.Case, error) {
	m := r.Model
	var faults fileerr.List
	board, err := material.FindWood(m.Board.Wood)
	if err != nil {
		faults.Add("", 0, "board.wood", "%v", err)
	}
	c := wood.Case{
		Board: board, QuarterSawn: m.Board.QuarterSawn, MoisturePct: m.Board.MoisturePct, WidthMM: m.Board.Width[1],
		ThicknessMM: m.Board.Thickness, LengthMM: r.Layout.CentreX(r.Layout.LastFret()), OneFace: r.OneFace, Biot: r.Biot,
		TempC: r.TempC, HumidityPct: r.HumidityPct, DriestPct: r.DriestPct, DampestPct: r.DampestPct,
		ProudMM: r.ProudMM, BowMM: r.BowMM,
	}
	if m.Body.Wood != "" {
		under, err := material.FindWood(m.Body.Wood)
		if err != nil {
			faults.Add("", 0, "neck.wood", "%v", err)
		}
		c.Neck = &under
		c.NeckMM = max(0, (m.Body.Thickness[0]+m.Body.Thickness[1])/2-m.Board.Thickness)
	}
	if m.Body.Joint > 0 {
		c.LengthMM = r.Layout.CentreX(m.Body.Joint)
	}
	return c, faults.Err()
}

func woodAnswer(r WoodRequest, c wood.Case, o wood.Outlook) *WoodAnswer {
	a := &WoodAnswer{
		Neck: r.Model.Name, MoisturePct: o.MoisturePct, BoardPct: c.MoisturePct, Ready: o.Ready,
		Days: o.Days.Likely, DaysRange: ends(o.Days), ProudMM: o.Proud.Likely, ProudRange: ends(o.Proud),
		WidthMM: [2]float64{o.Drier.Likely, o.Damper.Likely}, WidthDry: ends(o.Drier), WidthDamp: ends(o.Damper),
		BoardWidthMM: c.WidthMM, SeasonPct: [2]float64{o.DriestPct, o.DampestPct}, Window: [2]float64{o.Window.Low, o.Window.High},
		Limits:  WoodLimits{c.ProudMM, c.BowMM},
		Air:     WoodAir{c.TempC, c.HumidityPct, c.DriestPct, c.DampestPct},
		OneFace: c.OneFace, QuarterSawn: c.QuarterSawn, Board: speciesAnswer(c.Board.Species),
		Listings: []ListingAnswer{}, Notes: woodNotes(c, o),
		Cautions: []string{
			"dust: wood dust harms nose and lungs (" + woodDust() + "), rosewoods and ebony may irritate the skin; extract it and wear a mask",
			"the label, local codes and licensed practice rule over these lines",
		},
	}
	if o.Bows {
		dry, damp := ends(o.BowDry), ends(o.BowDamp)
		a.BowDry, a.BowDamp = &dry, &damp
	}
	for _, s := range c.Board.Others {
		a.BoardOthers = append(a.BoardOthers, speciesAnswer(s))
	}
	woods := c.Board.All()
	if c.Neck != nil {
		s := speciesAnswer(c.Neck.Species)
		a.NeckWood = &s
		woods = append(woods, c.Neck.All()...)
	}
	a.Listings = listingAnswers(woods)
	return a
}

func ends(s wood.Span) [2]float64 { return [2]float64{s.Low, s.High} }

// woodNotes are what the figures leave out or stretch.
func woodNotes(c wood.Case, o wood.Outlook) []string {
	notes := []string{}
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if least := min(o.DriestPct, o.DampestPct, c.MoisturePct); least < 6 || max(o.DampestPct, c.MoisturePct) > 14 {
		add("coefficients hold from 6 to 14 %% moisture; beyond, widths go by total shrinkage")
	}
	if !o.Bows {
		add(`the bow of board against neck is left out, all else holds: it wants the neck's own wood and thickness (at fret 1 and at the joint, board included); in the neck file's table [neck] write, as an example, wood = "maple" and thickness = ["21 mm", "24 mm"]`)
	}
	if w := c.Board; len(w.Others) > 0 {
		add("%q may mean several woods or sources; the ranges hold them all", w.Asked)
	}
	if c.Board.Species.FromMemory != "" {
		add("of %s these were not read in the source: %s", c.Board.Species.Name, c.Board.Species.FromMemory)
	}
	if o.Proud.High == 0 {
		add("the board does not shrink in that air: fret ends stay flush")
	}
	return notes
}

func speciesAnswer(s material.Species) SpeciesAnswer {
	pair := func(r material.Range) *[2]float64 {
		if !r.Given() {
			return nil
		}
		return &[2]float64{r.Low, r.High}
	}
	return SpeciesAnswer{
		Name: s.Name, Botanical: s.Botanical, RadialPct: s.RadialPct, TangentialPct: s.TangentialPct, SaturationPct: s.SaturationPct,
		ModulusMPa: pair(s.ModulusMPa), CrushAlongMPa: pair(s.CrushAlongMPa), DensityKgM3: pair(s.DensityKgM3),
		FromMemory: s.FromMemory, CoefficientNote: s.CoefficientStatus, Source: s.Source,
	}
}

// listingAnswers are the notices of these woods, each once.
func listingAnswers(woods []material.Species) []ListingAnswer {
	list, seen := []ListingAnswer{}, map[string]bool{}
	for _, s := range woods {
		for _, l := range material.Listings(s) {
			if !seen[l.Taxon] {
				seen[l.Taxon] = true
				list = append(list, ListingAnswer{s.Name, l.Taxon, l.Listing, l.Rule, l.Effective, l.Status, l.Source})
			}
		}
	}
	return list
}

// Species lists every wood of the data.
func Species() []SpeciesAnswer {
	list := []SpeciesAnswer{}
	for _, s := range material.AllSpecies() {
		list = append(list, speciesAnswer(s))
	}
	return list
}

// curveDays is how many points a drying curve has.
const curveDays = 61

// woodCurves samples the drying until the slowest wood has gone 95 % of its way,
// closely at first where it is steep, and the year.
func woodCurves(c wood.Case) (*WoodCurves, error) {
	all, err := wood.Slab{ThicknessMM: c.ThicknessMM, OneFace: c.OneFace, Biot: c.Biot}.Days(0.95)
	if err != nil {
		return nil, err
	}
	days := make([]float64, curveDays)
	for i := range days {
		t := float64(i) / (curveDays - 1)
		days[i] = all.High * t * t
	}
	moist, err := c.Drying(days)
	if err != nil {
		return nil, err
	}
	out := &WoodCurves{}
	for i, m := range moist {
		out.Days = append(out.Days, MoistureDay{days[i], m[0], m[1], m[2]})
	}
	weeks, err := c.Year()
	if err != nil {
		return nil, err
	}
	for _, w := range weeks {
		out.Year = append(out.Year, WidthWeek{w.Week, w.Air, w.Likely, w.Slowest})
	}
	return out, nil
}
