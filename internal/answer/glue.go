package answer

import (
	"context"
	"slices"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/glue"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
	"ringtrue/internal/wood"
)

// WaitRequest is what `glue` is asked. Test is the shop's own push-out test, nil
// where there is none.
type WaitRequest struct {
	Model       neck.Model
	Kind        glue.Kind
	Activator   bool
	TempC       float64
	HumidityPct float64
	Test        []glue.Push
	Assumed     []string // options of the call that were left to their defaults
}

// WaitAnswer is what `glue` says of a neck's frets.
type WaitAnswer struct {
	Neck        string        `json:"neck"`
	Headline    string        `json:"headline"`
	WaitH       float64       `json:"level_after_h"`
	Range       wood.Span     `json:"level_after_range_h"`
	Why         glue.Reason   `json:"rests_on"`
	WhyWords    string        `json:"rests_on_words"`
	Kind        glue.Kind     `json:"kind"`
	KindName    string        `json:"kind_name"`
	Activator   bool          `json:"activator"`
	TempC       float64       `json:"temperature_c"`
	HumidityPct float64       `json:"humidity_pct"`
	Board       string        `json:"board"`
	Assumed     []string      `json:"assumed"` // keys and options left to their defaults
	Gaps        []FilledGap   `json:"gaps"`
	Better      glue.Kind     `json:"better_kind,omitempty"` // bridges every gap, where the chosen one does not
	FloorTo     float64       `json:"gap_bridged_mm,omitempty"`
	Factors     []glue.Factor `json:"factors"`
	Test        *PushTest     `json:"test,omitempty"`
	Do          []string      `json:"do"`
	Order       []string      `json:"order"`
	Warnings    []string      `json:"warnings"`
	Notes       []string      `json:"notes"`
	Cautions    []string      `json:"cautions"`
}

// FilledGap is a gap and what is said of it.
type FilledGap struct {
	glue.Gap
	Words string `json:"words"`
}

// PushTest is what the shop's own test says. Fields beside the counts are left out
// where it gives no curve.
type PushTest struct {
	Verdict  glue.Verdict `json:"verdict"`
	Words    string       `json:"words"`
	Readings int          `json:"readings"`
	Times    int          `json:"times"`
	FullN    num.Opt      `json:"full_force_n,omitzero"`
	HalfMin  num.Opt      `json:"half_force_min,omitzero"`
	Power    num.Opt      `json:"power,omitzero"`
	ScatterN num.Opt      `json:"scatter_n,omitzero"`
	WaitMin  num.Opt      `json:"wait_min,omitzero"` // until 90 % of the full force
	Range    *wood.Span   `json:"wait_range_min,omitempty"`
	Pushed   []glue.Push  `json:"pushed"`
	Curve    []float64    `json:"curve_n,omitempty"` // the fitted force at each of them
}

// Wait says when frets that are glued may be levelled. Errors: glue.ErrActivator, glue.ErrTemperature; an
// unknown wood is a fileerr.List with a key of the neck file.
func Wait(ctx context.Context, r WaitRequest) (*WaitAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	board, err := material.FindWood(r.Model.Board.Wood)
	if err != nil {
		var faults fileerr.List
		faults.Add("", 0, "board.wood", "%v", err)
		return nil, faults
	}
	c := glue.CaseOf(r.Model, board)
	c.Kind, c.Activator, c.TempC, c.HumidityPct = r.Kind, r.Activator, r.TempC, r.HumidityPct
	o, err := glue.Look(c)
	if err != nil {
		return nil, err
	}
	var fit *glue.Fit
	if r.Test != nil {
		f := glue.FitTest(r.Test)
		fit = &f
		o.ByTest(c, r.Test, f)
	}
	return waitAnswer(r, c, o, fit), nil
}

func waitAnswer(r WaitRequest, c glue.Case, o glue.Outlook, fit *glue.Fit) *WaitAnswer {
	a := &WaitAnswer{
		Neck: r.Model.Name, Headline: text.GlueHead(o), WaitH: o.WaitH, Range: o.Range, Why: o.Why, WhyWords: text.GlueWhy(o, fit),
		Kind: c.Kind, KindName: text.GlueName(c.Kind), Activator: c.Activator, TempC: c.TempC, HumidityPct: c.HumidityPct,
		Board: c.Wood.Species.Name, Assumed: waitAssumed(r), Better: o.Better, FloorTo: o.FloorTo, Factors: []glue.Factor{},
		Do: text.GlueDo(c.Kind, o), Order: text.GlueOrder(), Warnings: text.GlueWarnings(c, o, r.Test, fit),
		Notes: text.GlueNotes(c), Cautions: text.GlueCautions(c.Kind),
	}
	a.Factors = append(a.Factors, o.Factors...)
	for _, g := range o.Gaps {
		a.Gaps = append(a.Gaps, FilledGap{g, text.GlueGap(c.Kind, g)})
	}
	if fit != nil {
		a.Test = pushTest(*fit, r.Test)
	}
	return a
}

func pushTest(f glue.Fit, pushed []glue.Push) *PushTest {
	t := &PushTest{Verdict: f.Verdict, Words: text.GlueTest(f), Readings: f.Readings, Times: f.Times, Pushed: pushed}
	if f.Verdict != glue.Fitted {
		return t
	}
	t.FullN, t.HalfMin, t.Power = num.Some(f.FullN), num.Some(f.HalfMin), num.Some(f.Power)
	t.ScatterN, t.WaitMin, t.Range = num.Some(f.ScatterN), num.Some(f.WaitMin), &f.Range
	for _, p := range pushed {
		t.Curve = append(t.Curve, f.ForceN(p.Minutes))
	}
	return t
}

// waitAssumed lists the keys of the slot and the options that nobody gave.
func waitAssumed(r WaitRequest) []string {
	all := []string{}
	for _, key := range []string{"board.wood", "slot.width", "slot.floor_gap", "wire.tang_width"} {
		if slices.Contains(r.Model.Assumed, key) {
			all = append(all, key)
		}
	}
	return append(all, r.Assumed...)
}
