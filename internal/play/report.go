package play

import (
	"context"
	"fmt"
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
	"ringtrue/internal/stringset"
)

// Report is what is said of a neck's notes. Its words are the catalogue's to fill
// in: Cure of the worst notes, Why of metal that cannot come off.
type Report struct {
	Neck            string         `json:"neck"`
	JudgeBy         string         `json:"judge_by"`       // the touch that cures and lowest actions are for
	PerfectCrowns   bool           `json:"perfect_crowns"` // no readings were given
	AsPlanned       bool           `json:"as_planned"`     // after the levelling plan
	Capo            int            `json:"capo"`
	Strings         []StringReport `json:"strings"`
	LeastMarginMM   num.Opt        `json:"least_margin_mm"` // over all touches
	LeastMetal      NeckMetal      `json:"least_metal"`
	LeastMetalClear NeckMetal      `json:"least_metal_clear"`
	Cures           *Cures         `json:"cures,omitempty"` // where some note is not clear at judge_by
	Worst           []Worst        `json:"worst"`           // notes that are not clear at judge_by, worst first
	Bends           []Bend         `json:"bends,omitempty"`
	// ChanceAllClear is the chance that every note judged is clear at judge_by, of
	// crowns as read; strings are taken to be wrong each by itself.
	ChanceAllClear num.Opt `json:"chance_all_clear,omitzero"`
	Left           Left    `json:"left_unjudged,omitzero"`
}

// StringReport is one string. What cannot be told is missing: no lane was read, or
// no action is high enough.
type StringReport struct {
	String              int     `json:"string"`
	Pitch               string  `json:"pitch"`
	PitchHz             float64 `json:"pitch_hz"`
	TensionN            float64 `json:"tension_n"`
	MassGPerM           float64 `json:"mass_g_per_m"`
	StiffnessNMM2       float64 `json:"stiffness_n_mm2"`
	Inharmonicity       float64 `json:"inharmonicity"` // B of f_n = n·f0·√(1 + B·n²), open
	StressNMM2          float64 `json:"stress_n_mm2"`
	CoreMM              float64 `json:"core_mm"`
	CoreTaken           bool    `json:"core_taken"`           // by rule, as the file gives none
	UCoreMM             float64 `json:"u_core_mm,omitempty"`  // of a core taken by rule
	Wrap                string  `json:"wrap,omitempty"`       // of a wound string
	WrapTaken           bool    `json:"wrap_taken,omitempty"` // as the file gives none
	ScaleMM             float64 `json:"scale_mm"`
	ActionMM            float64 `json:"action_mm"`
	NutMM               num.Opt `json:"nut_mm"`
	SaddleMM            num.Opt `json:"saddle_mm"`
	LowestActionMM      num.Opt `json:"lowest_action_mm"`
	LowestClearActionMM num.Opt `json:"lowest_clear_action_mm"`
	RaiseActionMM       num.Opt `json:"raise_action_mm"` // until every note is clear at judge_by
	// The lowest actions above are of the very crowns that were read, and too high by
	// what noisy readings add. These are means over crowns as they may truly stand,
	// with their uncertainty; nothing where no crown was read.
	ExpectedLowestActionMM      num.Opt `json:"expected_lowest_action_mm,omitzero"`
	ExpectedLowestClearActionMM num.Opt `json:"expected_lowest_clear_action_mm,omitzero"`
	ULowestActionMM             num.Opt `json:"u_lowest_action_mm,omitzero"`
	ULowestClearActionMM        num.Opt `json:"u_lowest_clear_action_mm,omitzero"`
	ChanceClear                 num.Opt `json:"chance_clear,omitzero"` // of all its notes at judge_by
	SagMM                       float64 `json:"sag_mm"`                // on a neck that lies flat
	QuarterTurnMS               float64 `json:"quarter_turn_ms"`       // of the plane of vibration, a quarter of the pluck going sideways
	SharpCents                  float64 `json:"sharp_at_pluck_cents"`
	BoardShapeMM                float64 `json:"board_shape_mm"` // how much of the lane's zone the board's own arch makes
	Notes                       []Note  `json:"notes"`
}

// LowestClear is the lowest action at which every note is clear, in mm, by the best
// that is known: free of what noisy readings add, where crowns were read.
func (s StringReport) LowestClear() num.Opt {
	if s.ExpectedLowestClearActionMM.Known() {
		return s.ExpectedLowestClearActionMM
	}
	return s.LowestClearActionMM
}

// Lowest is the same of the lowest action without a negative margin.
func (s StringReport) Lowest() num.Opt {
	if s.ExpectedLowestActionMM.Known() {
		return s.ExpectedLowestActionMM
	}
	return s.LowestActionMM
}

// At are the string's notes under one touch.
func (s StringReport) At(touch string) (notes []Note) {
	for _, n := range s.Notes {
		if n.Touch == touch {
			notes = append(notes, n)
		}
	}
	return notes
}

// Chokes says that every note of the string under a touch that can choke does.
func (s StringReport) Chokes(touch string) bool {
	any := false
	for _, n := range s.At(touch) {
		if n.MarginMM.Known() {
			if n.Verdict != Chokes {
				return false
			}
			any = true
		}
	}
	return any
}

// Count counts a touch's notes by verdict, and all of them.
func (r *Report) Count(touch string) (n map[Verdict]int, all int) {
	n = map[Verdict]int{}
	for _, s := range r.Strings {
		for _, note := range s.At(touch) {
			n[note.Verdict]++
			all++
		}
	}
	return n, all
}

// Rings reports whether no note buzzes or chokes under the judging touch.
func (r *Report) Rings() bool {
	n, _ := r.Count(r.JudgeBy)
	return n[Buzzes]+n[Chokes] == 0
}

// sideways is the part of a pluck that is taken to go along the board where the
// report says how fast the plane of vibration turns.
const sideways = 0.25

// Judge judges every note of a prepared neck and reports on them. Errors as those
// of the package's Judge.
func (n *Neck) Judge(ctx context.Context) (*Report, error) {
	var err error
	if n.Judged, err = Judge(ctx, n.Cases); err != nil {
		return nil, err
	}
	r := &Report{Neck: n.Model.Name, JudgeBy: n.Model.Setup.JudgeBy, PerfectCrowns: !n.Read, AsPlanned: n.Planned, Capo: n.Capo, Left: n.left()}
	least := math.Inf(1)
	for i := range n.Strings {
		s, err := n.report(i)
		if err != nil {
			return nil, err
		}
		r.Strings = append(r.Strings, s)
		for _, note := range s.Notes {
			least = min(least, note.MarginMM.Or(least))
		}
	}
	r.LeastMarginMM = num.Some(least)
	r.LeastMetal = n.metal(func(j Judged) Clearance { return j.Ideal })
	r.LeastMetalClear = n.metal(func(j Judged) Clearance { return j.Own })
	if r.Worst, err = n.worst(); err != nil {
		return nil, err
	}
	if len(r.Worst) > 0 {
		if r.Cures, err = n.cures(r.LeastMetalClear); err != nil {
			return nil, err
		}
	}
	if err = n.doubt(r); err != nil {
		return nil, err
	}
	if n.Bend > 0 {
		r.Bends, err = n.bends(ctx)
	}
	return r, err
}

// report is what is said of string i.
func (n *Neck) report(i int) (StringReport, error) {
	s := n.Strings[i]
	r := StringReport{String: i + 1, Pitch: n.From(i + 1).Pitch, PitchHz: s.PitchHz, TensionN: s.TensionN, MassGPerM: s.MassGPerM,
		StiffnessNMM2: s.StiffnessNMM2, Inharmonicity: s.Inharmonicity(s.ScaleMM), StressNMM2: s.StressMPa,
		CoreMM: s.CoreMM, CoreTaken: s.CoreTaken, ScaleMM: s.ScaleMM, ActionMM: n.Model.Setup.Action[i],
		Wrap: s.Wrap, WrapTaken: s.WrapTaken, SagMM: SagMM(s, s.ScaleMM), Notes: []Note{}}
	if s.CoreTaken {
		r.UCoreMM = stringset.CoreDoubt * s.CoreMM
	}
	if pluck, err := PluckOf(n.touches(i + 1)[n.judge], s.TensionN, s.ScaleMM); err == nil {
		r.SharpCents = pluck.RiseCents(s, s.ScaleMM)
		r.QuarterTurnMS = 1e3 * QuarterTurnS(s, s.ScaleMM, pluck.HeightMM, sideways*pluck.HeightMM)
	}
	var err error
	k := n.CaseOf(i + 1)
	if r.BoardShapeMM, err = n.boardShape(i); err != nil || k < 0 {
		return r, err
	}
	c, j := n.Cases[k], n.Judged[k]
	r.NutMM, r.SaddleMM = num.Some(j.Rest.NutMM), num.Some(j.Rest.SaddleMM)
	low, err := LowestAction(c.Lane, c.Setup, j.Ideal)
	if err != nil {
		return r, err
	}
	clear, err := LowestAction(c.Lane, c.Setup, j.Own)
	r.LowestActionMM, r.LowestClearActionMM = num.Some(low), num.Some(clear)
	r.RaiseActionMM = num.Some(max(0, clear-c.Setup.ActionMM))
	for _, notes := range j.Notes {
		r.Notes = append(r.Notes, notes...)
	}
	return r, err
}

// boardShape is how far the board's own surface strays from straight along
// string i's lane: nothing where the strings run with the board's cone.
func (n *Neck) boardShape(i int) (float64, error) {
	x, z := n.surface(i)
	if len(x) < 3 {
		return 0, nil
	}
	zone, err := straight.Zone(x, z)
	if err != nil {
		return 0, fmt.Errorf("lane %d: %w", i+1, err)
	}
	return zone.WidthMM, nil
}

// surface is the intended board's height under string i at each fret.
func (n *Neck) surface(i int) (x, z []float64) {
	for _, f := range FretsOf(n.Layout) {
		at := n.Layout.At(f, float64(i+1))
		x = append(x, n.Layout.LaneX(f, float64(i+1)))
		z = append(z, n.Layout.Surface(geometry.Point{X: at.X, Y: at.Y}))
	}
	return x, z
}

// bends follows every note pushed across the board.
func (n *Neck) bends(ctx context.Context) ([]Bend, error) {
	if len(FretsOf(n.Layout)) < 2 {
		return []Bend{}, nil // no fret beyond any stop
	}
	b := &Board{Layout: n.Layout, Cases: n.Cases}
	for k, c := range n.Cases {
		a, slope, err := straight.ReferenceLine(n.surface(c.Lane.String - 1))
		if err != nil {
			return nil, err
		}
		b.Lines = append(b.Lines, [2]float64{a, slope})
		b.Rests = append(b.Rests, n.Judged[k].Rest)
	}
	return b.Bends(ctx, n.Bend)
}
