package answer

import (
	"context"
	"fmt"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
	"ringtrue/internal/stringset"
	"ringtrue/internal/text"
	"ringtrue/internal/tune"
)

// PlanRequest is what `plan` is asked.
type PlanRequest struct {
	Model   neck.Model
	Layout  *geometry.Layout
	Options plan.Options
	Alloys  bool // compare alloys too
}

// Plan works out what is decided before a slot is sawn, and the plan itself for
// a drawing. Faults of the neck come back as a fileerr.List with keys of the
// neck file; their file and line are the caller's to fill in.
func Plan(ctx context.Context, r PlanRequest) (*WorkPlan, *plan.Plan, error) {
	p, err := plan.Make(r.Model, r.Layout, r.Options)
	if err != nil {
		return nil, nil, err
	}
	m := r.Model
	a := &WorkPlan{
		Neck: m.Name, Frets: []PlannedFret{}, WireMM: p.TotalMM, WithWaste: p.WasteMM, Coils: p.Coils, CoilMM: r.Options.CoilMM,
		Slots:   SlotsAnswer{m.Slot.Width, p.Slots.FloorGapMM, p.Slots.LeastBoardMM, p.Slots.LeastFret},
		Wire:    wireAnswer(p.Wire),
		Glue:    glueAnswer(p.Glue),
		Bevel:   bevelAnswer(p, m, r.Options),
		Notes:   append([]string{}, p.Notes...),
		Slanted: m.Scale.Slanted, ScaleBass: m.Scale.Bass, ScaleTreble: m.Scale.Treble,
	}
	f := p.Fit
	a.Fit = FitAnswer{f.Verdict, f.WedgeMM, f.BiteMM, f.WallGapMM, f.WallMPa, f.BackBowMM, f.BackBowFret, f.BarbBowMM, f.WantedMM, f.Why}
	for _, f := range p.Frets {
		a.Frets = append(a.Frets, plannedFret(f))
	}
	if a.Strings, err = TuneStrings(ctx, m, r.Layout); err != nil {
		return nil, nil, err
	}
	if r.Alloys {
		a.Alloys = alloyAnswers(p)
	}
	a.Cautions = text.PlanCautions(a.Wire.Designation)
	return a, &p, nil
}

func plannedFret(f plan.Fret) PlannedFret {
	out := PlannedFret{
		Fret: f.Number, FromNutMM: f.CentreMM, FromPreviousMM: f.StepMM, BassMM: f.BassMM, TrebleMM: f.TrebleMM,
		SlantDeg: f.SlantDeg, BoardWidthMM: f.WidthMM, WireCutMM: f.CutMM, TangMM: f.TangMM, NipMM: f.NipMM,
		SlotDepthMM: f.DepthMM, StraightMM: f.StraightMM, SlotLengthMM: f.SlotMM, GlueMM3: f.GlueMM3, TopMM: f.TopMM,
	}
	if f.BoardMM > 0 {
		out.BoardRadiusMM, out.BendMM, out.BendRangeMM = &f.BoardMM, &f.LoadedMM, &[2]float64{f.LoadedLow, f.LoadedHigh}
		if f.SlantDeg > 0 {
			out.AlongRadiusMM = &f.AlongMM
		}
	}
	return out
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
	faults.Add("", 0, fmt.Sprintf("strings.set[%d]", i+1), "%v", err)
	return faults
}

func wireAnswer(w plan.Wire) WireAnswer {
	a := WireAnswer{
		ModulusMPa: w.ModulusMPa, YieldMPa: w.YieldMPa, YieldRangeMPa: [2]float64{w.LowMPa, w.HighMPa}, YieldFrom: w.From,
		HardnessHV: w.Vickers, StrainPct: w.MostStrainPct,
	}
	if w.Alloy != nil {
		a.Alloy, a.Designation = w.Alloy.Name, w.Alloy.Designation
		a.Bending, a.Nipping, a.Filing = w.Alloy.Work.Bending, w.Alloy.Work.Nipping, w.Alloy.Work.Filing
	}
	if w.Temper != nil {
		a.Temper, a.Source, a.Status = w.Temper.Temper, w.Temper.Source, w.Temper.Status
		a.ElongationPct = &[2]float64{w.ElongationPct.Low, w.ElongationPct.High}
	}
	return a
}

func glueAnswer(g plan.Glue) GlueAnswer {
	a := GlueAnswer{TotalMM3: g.TotalMM3, WallGap: g.GapMM, SetS: g.SetS, Grades: []GlueFlow{}, Put: g.Put}
	for _, x := range g.Grades {
		a.Grades = append(a.Grades, GlueFlow{
			Grade: x.Name, ViscosityMPas: [2]float64{x.MPas.Low, x.MPas.High}, MiddleS: [2]float64{x.FillMiddleS.Low, x.FillMiddleS.High},
			ReachMM: [2]float64{x.ReachMM.Low, x.ReachMM.High}, Reaches: x.Reaches, TooWide: x.TooWide,
		})
	}
	return a
}

func bevelAnswer(p plan.Plan, m neck.Model, o plan.Options) BevelAnswer {
	b := BevelAnswer{AngleDeg: o.BevelDeg, LossMM: plan.BevelLossMM(m.Wire.CrownHeight, o.BevelDeg), LeastMM: p.Frets[0].TopMM}
	for _, f := range p.Frets {
		for side := range f.TopMM {
			b.LeastMM[side] = min(b.LeastMM[side], f.TopMM[side])
		}
	}
	return b
}

func alloyAnswers(p plan.Plan) []AlloyAnswer {
	list := []AlloyAnswer{}
	for _, c := range p.Wire.CompareAlloys(p.Frets[len(p.Frets)/2].BoardMM) {
		a := AlloyAnswer{
			Alloy: c.Alloy.Name, Designation: c.Alloy.Designation, Temper: c.Temper.Temper, YieldMPa: c.YieldMPa,
			HardnessHV: c.Vickers, HardnessHow: c.VickersHow, WearRatio: c.Wear, NipRatio: c.Nip,
			Bending: c.Alloy.Work.Bending, Nipping: c.Alloy.Work.Nipping, Filing: c.Alloy.Work.Filing, Source: c.Temper.Source,
		}
		if c.LoadedMM > 0 {
			a.BendMM = &c.LoadedMM
		}
		list = append(list, a)
	}
	return list
}
