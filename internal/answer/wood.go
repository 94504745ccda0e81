package answer

import (
	"context"
	"slices"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
	"ringtrue/internal/wood"
)

// WoodRequest is what `wood` is asked.
type WoodRequest struct {
	Model  neck.Model
	Layout *geometry.Layout
	wood.Air
	wood.Limits
	OneFace bool
	Biot    float64
	Curves  bool
	Assumed []string // options of the call that were left to their defaults
}

// WoodAnswer is what `wood` says of a board. Pairs are driest and dampest.
type WoodAnswer struct {
	Neck         string             `json:"neck"`
	MoisturePct  float64            `json:"moisture_pct"` // where the shop's air brings wood
	BoardPct     float64            `json:"board_moisture_pct"`
	Ready        bool               `json:"ready"`
	Days         float64            `json:"days_to_ready"`
	DaysRange    wood.Span          `json:"days_to_ready_range"`
	ProudMM      float64            `json:"frets_end_proud_mm"` // at one end, in the driest
	ProudRange   wood.Span          `json:"frets_end_proud_range_mm"`
	Ends         EndFiling          `json:"fret_ends"`
	WidthMM      [2]float64         `json:"width_change_mm"` // to the driest, to the dampest
	WidthDry     wood.Span          `json:"width_change_driest_range_mm"`
	WidthDamp    wood.Span          `json:"width_change_dampest_range_mm"`
	BoardWidthMM float64            `json:"board_width_mm"`
	SeasonPct    [2]float64         `json:"season_moisture_pct"`
	BowDry       *wood.Span         `json:"bow_driest_range_mm"` // hollow positive; null where a wood or a thickness is not known
	BowDamp      *wood.Span         `json:"bow_dampest_range_mm"`
	Window       wood.Span          `json:"humidity_window_pct"`
	Limits       wood.Limits        `json:"limits"`
	Air          wood.Air           `json:"air"`
	OneFace      bool               `json:"one_face_sealed"`
	QuarterSawn  bool               `json:"quarter_sawn"`
	Board        material.Species   `json:"board"`
	BoardOthers  []material.Species `json:"board_others,omitempty"`
	NeckWood     *material.Species  `json:"neck_wood,omitempty"`
	Listings     []material.Listing `json:"trade_listings"`
	Assumed      []string           `json:"assumed"` // keys and options left to their defaults
	Notes        []string           `json:"notes"`
	Cautions     []string           `json:"cautions"`
	Curves       *wood.Curves       `json:"curves,omitempty"`
}

// EndFiling is how fret ends are filed now for the seasons, at the last fret.
type EndFiling struct {
	File       wood.Filing `json:"file"`           // "flush", or "under flush" by
	UnderMM    float64     `json:"under_flush_mm"` // each end, now
	UnderRange wood.Span   `json:"under_flush_range_mm"`
	FirstMM    float64     `json:"under_flush_first_fret_mm"`
	DressPct   float64     `json:"dress_flush_at_moisture_pct"` // or dress them flush with the board this dry
	DressRH    float64     `json:"dress_flush_at_humidity_pct"`
	DampMM     float64     `json:"filed_in_dampest_proud_mm"` // filed flush in the dampest, proud by this in the driest
	DampRange  wood.Span   `json:"filed_in_dampest_proud_range_mm"`
	FeltMM     [2]float64  `json:"felt_from_mm"` // a square end may be felt, is felt: an estimate
	Words      []string    `json:"words"`
}

// fretEnds gathers what the seasons ask of the fret ends.
func fretEnds(m neck.Model, air wood.Air, e wood.Ends) EndFiling {
	return EndFiling{
		File: e.File, UnderMM: e.Under.Likely, UnderRange: e.Under, FirstMM: e.FirstMM, DressPct: e.DriestPct, DressRH: air.DriestPct,
		DampMM: e.DrySwing.Likely, DampRange: e.DrySwing, FeltMM: [2]float64{wood.FeltMM, wood.SurelyFeltMM},
		Words: text.FretEnds(m, e, air),
	}
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
		a.Curves, err = c.Curves()
	}
	return a, err
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
		Board: board, FirstWidthMM: r.Layout.Width(r.Layout.CentreX(1)), QuarterSawn: m.Board.QuarterSawn, MoisturePct: m.Board.MoisturePct, WidthMM: m.Board.Width[1],
		ThicknessMM: m.Board.Thickness, LengthMM: r.Layout.CentreX(r.Layout.LastFret()), OneFace: r.OneFace, Biot: r.Biot,
		Air: r.Air, Limits: r.Limits,
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

// woodAssumed lists the keys of the board and the options that nobody gave.
func woodAssumed(r WoodRequest) []string {
	all := []string{}
	for _, key := range []string{"board.wood", "board.moisture", "board.sawn", "board.thickness"} {
		if slices.Contains(r.Model.Assumed, key) {
			all = append(all, key)
		}
	}
	return append(all, r.Assumed...)
}

func woodAnswer(r WoodRequest, c wood.Case, o wood.Outlook) *WoodAnswer {
	a := &WoodAnswer{
		Neck: r.Model.Name, MoisturePct: o.MoisturePct, BoardPct: c.MoisturePct, Ready: o.Ready,
		Days: o.Days.Likely, DaysRange: o.Days, ProudMM: o.Proud.Likely, ProudRange: o.Proud,
		WidthMM: [2]float64{o.Drier.Likely, o.Damper.Likely}, WidthDry: o.Drier, WidthDamp: o.Damper,
		BoardWidthMM: c.WidthMM, SeasonPct: [2]float64{o.DriestPct, o.DampestPct}, Window: o.Window,
		Ends: fretEnds(r.Model, c.Air, o.Ends), Limits: c.Limits, Air: c.Air, OneFace: c.OneFace, QuarterSawn: c.QuarterSawn,
		Board: c.Board.Species, BoardOthers: c.Board.Others,
		Assumed: woodAssumed(r), Notes: text.WoodNotes(r.Model, c, o), Cautions: text.WoodCautions(),
	}
	if o.Bows {
		a.BowDry, a.BowDamp = &o.BowDry, &o.BowDamp
	}
	woods := c.Board.All()
	if c.Neck != nil {
		a.NeckWood = &c.Neck.Species
		woods = append(woods, c.Neck.All()...)
	}
	a.Listings = material.Listings(woods...)
	return a
}
