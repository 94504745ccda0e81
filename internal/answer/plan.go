package answer

import (
	"context"
	"strconv"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
	"ringtrue/internal/stringset"
	"ringtrue/internal/text"
	"ringtrue/internal/tune"
	"ringtrue/internal/wood"
)

// PlanRequest is what `plan` is asked.
type PlanRequest struct {
	Model   neck.Model
	Layout  *geometry.Layout
	Options plan.Options
	Alloys  bool      // compare alloys too
	Air     *wood.Air // where the neck will live, for the fret ends; nil: not asked for
}

// Plan works out what is decided before a slot is sawn. Faults of the neck come
// back as a fileerr.List with keys of the neck file; their file and line are the
// caller's to fill in.
func Plan(ctx context.Context, r PlanRequest) (*WorkPlan, error) {
	m := r.Model
	var ends *EndFiling
	if r.Air != nil {
		c, err := woodCase(WoodRequest{Model: m, Layout: r.Layout, Air: *r.Air, Limits: wood.Usual()})
		if err != nil {
			return nil, err
		}
		o, err := wood.Look(c)
		if err != nil {
			return nil, err
		}
		e := fretEnds(m, *r.Air, o.Ends)
		ends, r.Options.DryShare = &e, o.EndShare(c)
	}
	p, err := plan.Make(m, r.Layout, r.Options)
	if err != nil {
		return nil, err
	}
	a := &WorkPlan{
		Neck: m.Name, Frets: p.Frets, WireMM: p.TotalMM, WithWaste: p.WasteMM, Coils: p.Coils, CoilMM: p.CoilMM,
		Wire: p.Wire, Slots: p.Slots, Bevel: p.Bevel, Ends: ends, Board: p.Board,
		Fit: FitAnswer{p.Fit, text.PlanLacks(p.Fit.Lacks, m.Body)}, Glue: GlueAnswer{p.Glue, text.PlanGlue(p.Glue)},
		Notes: text.PlanNotes(m, p), Cautions: text.PlanCautions(p.Wire.Designation),
		Slanted: m.Scale.Slanted, ScaleBass: m.Scale.Bass, ScaleTreble: m.Scale.Treble,
	}
	if r.Alloys {
		a.Alloys = p.CompareAlloys()
	}
	a.Strings, err = TuneStrings(ctx, m, r.Layout)
	return a, err
}

// TuneStrings places the saddle of every string of a neck as its file sets it
// up: fret 12 exact by the saddle alone, and saddle and nut together.
func TuneStrings(ctx context.Context, m neck.Model, l *geometry.Layout) ([]TunedString, error) {
	out := []TunedString{}
	for i := range m.Strings.Set {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		lane, err := tune.OfNeck(m, l, i+1, stringset.ConcertA)
		if err != nil {
			return nil, stringFault(i, err)
		}
		exact := tune.SetbackFret(l)
		mm, err := lane.SaddleSetback(exact)
		if err != nil {
			return nil, stringFault(i, err)
		}
		t := TunedString{
			String: i + 1, SetbackMM: mm, LeftOver: lane.Cents(tune.Setback{SaddleMM: mm}),
			FromNutMM: lane.String.ScaleMM + mm, ExactFret: exact,
		}
		if b, err := lane.LeastSquares(true); err == nil { // too few frets to place two things leave it out
			t.Best = &BestSetback{b.SaddleMM, b.NutMM, b.RMSCents, b.MaxCents}
		}
		out = append(out, t)
	}
	return out, nil
}

// stringFault is a fault of one entry of strings.set.
func stringFault(i int, err error) error {
	var faults fileerr.List
	faults.Add("", 0, "strings.set["+strconv.Itoa(i+1)+"]", "%v", err)
	return faults
}
