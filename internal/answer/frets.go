package answer

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// FretsRequest is what `frets` is asked.
type FretsRequest struct {
	Model    neck.Model
	Layout   *geometry.Layout
	Readings []reading.Reading
	// After are the readings taken after levelling; nil where there are none.
	After []reading.Reading
	// PlanToMM is the zone that the plan leaves, in mm; 0 for the limit itself.
	PlanToMM float64
	// Fair asks for the plan that a file on a radius can follow.
	Fair bool
	// Times are how long this maker's readings take; 0: the usual times.
	Times readplan.Times
	// Seated are frets that were seen to sit down on the board all along: where
	// they stand high they are filed, not pressed.
	Seated []int

	earlier []reading.Reading // of before a levelling, moved to after it: they count too
	filed   map[place]float64 // what was planned off before these readings, mm
}

// mostRefits is how many refits the options go up to.
const mostRefits = 3

// Frets judges a neck's frets and says what to do. It ends early, with ctx's
// error, where ctx is done. Readings that contradict each other or leave a crown
// open are no error: the answer says so.
func Frets(ctx context.Context, r FretsRequest) (*FretsAnswer, error) {
	n, err := judged(r.Model, r.Layout, r.Readings)
	if err != nil {
		return nil, err
	}
	a, w, err := answered(ctx, &r, n)
	if err != nil {
		return nil, err
	}
	if r.After != nil {
		if a.After, err = after(ctx, &r, n, a, w); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// judgedBy are all readings that count.
func (r *FretsRequest) judgedBy() []reading.Reading { return slices.Concat(r.Readings, r.earlier) }

// answered is the answer of a neck that was judged by all readings of a request.
func answered(ctx context.Context, r *FretsRequest, n *findings.Neck) (*FretsAnswer, worked, error) {
	a := &FretsAnswer{
		Neck: r.Model.Name, Verdict: string(n.Verdict), ZoneLimitMM: r.Model.Level.Zone,
		Lanes: laneAnswers(n), Crowns: crownAnswers(n), Frets: []FretFinding{}, Findings: []NeckFinding{},
		Recheck: withGross(rechecks(n, r.Readings), r.Model, r.Layout, r.Readings), Undetermined: []Undetermined{}, Passes: []PassFinding{}, NextReadings: []NextReading{},
		Warnings: append([]string{}, n.Estimate.Warnings...),
	}
	for _, u := range n.Estimate.Undetermined {
		a.Undetermined = append(a.Undetermined, Undetermined{u.Fret, u.Lane, u.Why})
	}
	a.Passes = passFindings(n)
	found, whole := n.Frets(), n.Whole(r.judgedBy())
	for _, f := range found {
		if filedInstead(f, r.Seated) {
			f.Advice = adviseFiled
		}
		a.Frets = append(a.Frets, FretFinding{Fret: f.Fret, Kind: f.Kind, Finding: f.Words, Advice: f.Advice, Lanes: f.Lanes, Open: f.Open})
	}
	for _, w := range whole {
		a.Findings = append(a.Findings, NeckFinding{Kind: w.Kind, Finding: w.Words, Advice: w.Advice, AmountMM: w.AmountMM, UMM: w.UMM, Frets: w.Frets, Lanes: w.Lanes, DepthMM: w.DepthMM})
	}
	a.NextReadings = nextReadings(n.NextIn(r.judgedBy(), r.Times))
	p, err := planOf(ctx, r, n)
	if err != nil {
		return nil, worked{}, err
	}
	a.Plan = *p
	w, err := workOf(ctx, r, n, found, whole, a.NextReadings)
	if err != nil {
		return nil, worked{}, err
	}
	a.Work, a.WhyNot = w.work, w.whyNot
	if !slices.ContainsFunc(found, func(f findings.Finding) bool { return !f.Seats() }) && len(a.Findings) == 0 {
		for i := range a.Frets { // nothing else is to be mended first
			a.Frets[i].filed(p.Crowns)
		}
	}
	return a, w, nil
}

func crownAnswers(n *findings.Neck) []CrownAnswer {
	out := []CrownAnswer{}
	for _, l := range n.Lanes {
		for i, f := range l.Frets {
			out = append(out, CrownAnswer{f, l.Lane.Lane, l.Off[i], l.U[i], string(l.Crown[i])})
		}
	}
	return out
}

func nextReadings(next []findings.Next) []NextReading {
	out := []NextReading{}
	for _, x := range next {
		var settles *float64
		if !math.IsNaN(x.Settles) {
			settles = &x.Settles
		}
		out = append(out, NextReading{Method: x.Method, Lane: x.Lane, Lanes: x.Lanes, Frets: x.Frets, Passes: x.Passes, Reach: max(1, x.Reach),
			Why: x.Why, Must: x.Must, Minutes: x.Minutes, Settles: settles})
	}
	return out
}

// filed notes what the plan would take off the fret if it were not seated again.
func (f *FretFinding) filed(crowns []PlanCrown) {
	for _, c := range crowns {
		if c.Fret != f.Fret {
			continue
		}
		if f.FileMM == nil {
			f.FileMM, f.FileLeftMM = new(float64), new(float64)
			*f.FileLeftMM = c.LeftMM
		}
		*f.FileMM, *f.FileLeftMM = max(*f.FileMM, c.RemoveMM), min(*f.FileLeftMM, c.LeftMM)
	}
}

func judged(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*findings.Neck, error) {
	readings, leaf := reading.WithLeaves(readings)
	e, err := withoutGross(m, l, readings, heights.From)
	if err != nil {
		return nil, err
	}
	if leaf > 0 {
		e.Warnings = append(e.Warnings, fmt.Sprintf("gaps of 0 without no_go are taken for 0 to %g mm; write the leaf that did not enter as no_go", leaf))
	}
	return findings.Judge(m, l, e, readings)
}

func laneAnswers(n *findings.Neck) []LaneAnswer {
	out := []LaneAnswer{}
	for _, l := range n.Lanes {
		zone, u, bow, step := l.Judged.Zone.WidthMM, l.Judged.UZoneMM, l.Bow.MM, math.Abs(l.Step.MM)
		a := LaneAnswer{Lane: l.Lane.Lane, ZoneMM: &zone, UZoneMM: &u, Verdict: string(l.Verdict), BowMM: &bow, StepMM: &step}
		if l.Brackets != nil {
			a.ZoneRangeMM = []float64{l.Brackets.Range.LeastMM, l.Brackets.Range.LargestMM}
		}
		out = append(out, a)
	}
	for _, lane := range n.Open {
		out = append(out, LaneAnswer{Lane: lane, Verdict: string(straight.InDoubt)})
	}
	return out
}

// passFindings are the passes that are wrong as a whole.
func passFindings(n *findings.Neck) []PassFinding {
	out := []PassFinding{}
	for _, p := range n.Estimate.Passes {
		out = append(out, PassFinding{Pass: p.Pass, Lane: p.Lane, Method: p.Method, Finding: p.Finding, FromFret: p.FromFret, Why: findings.PassWords(p)})
	}
	return out
}

func rechecks(n *findings.Neck, readings []reading.Reading) []Recheck {
	out := []Recheck{}
	for _, m := range n.Estimate.Misreads {
		r := readings[m.Reading]
		out = append(out, Recheck{
			Fret: m.Fret, Lane: m.Lane, ReadingMM: m.ValueMM, ExpectedMM: m.ExpectedMM, Why: m.Why,
			Method: string(r.Method), Pass: r.Pass, Line: r.Line,
		})
	}
	return out
}

// levelLanes are a neck's lanes as the levelling plan takes them.
func levelLanes(n *findings.Neck) []level.Lane {
	lanes := make([]level.Lane, len(n.Lanes))
	for i, l := range n.Lanes {
		y := make([]float64, len(l.Frets))
		for k, f := range l.Frets {
			y[k] = n.Layout.At(f, l.Lane.Lane).Y
		}
		lanes[i] = level.Lane{Lane: l.Lane.Lane, Frets: l.Frets, X: l.X, D: l.D, Y: y}
	}
	return lanes
}

// planTo is the zone that the plan shall leave, in mm.
func (r *FretsRequest) planTo() float64 {
	if r.PlanToMM > 0 {
		return r.PlanToMM
	}
	return r.Model.Level.Zone
}

// surelyTo is a zone to plan to so that readings like these will then say
// level: the limit less twice the largest standard uncertainty of a lane's
// zone. Nil where that is less than the uncertainty itself: no file and no
// reading can aim for it.
func surelyTo(n *findings.Neck, limitMM float64) *float64 {
	largest := 0.0
	for _, l := range n.Lanes {
		largest = math.Max(largest, l.Judged.UZoneMM)
	}
	to := math.Floor((limitMM-2*largest)*1e3) / 1e3
	if to <= 0 || to < largest {
		return nil
	}
	return &to
}

// planOf plans the least metal and the refits.
func planOf(ctx context.Context, r *FretsRequest, n *findings.Neck) (*LevellingPlan, error) {
	lanes := levelLanes(n)
	zone := r.planTo()
	options, err := level.Options(ctx, lanes, zone, mostRefits)
	if err != nil {
		return nil, fmt.Errorf("planning: %w", err)
	}
	h := r.heights()
	a := &LevellingPlan{PlannedToMM: zone, SurelyToMM: surelyTo(n, r.Model.Level.Zone), Crowns: []PlanCrown{}, Options: []RefitOption{}, Warnings: []string{}}
	if len(options) == 0 {
		options = []level.Option{{Refit: []int{}}}
	}
	plan := options[0].Plan
	a.TotalRemoveMM, a.MaxRemoveMM = plan.TotalMM, plan.MaxMM
	a.Crowns = h.planCrowns(r.Model, n, plan)
	a.LeastCrownMM = h.least(n, plan, nil)
	for _, c := range a.Crowns {
		if c.LeftMM < r.Model.Level.LeastCrown {
			a.Warnings = append(a.Warnings, fmt.Sprintf("fret %d, lane %g: %.2f mm of crown would be left, under level.least_crown %.2f mm; refit it instead",
				c.Fret, c.Lane, c.LeftMM, r.Model.Level.LeastCrown))
		}
	}
	for _, o := range options {
		a.Options = append(a.Options, h.option(r.Model, n, o))
	}
	if r.Fair {
		if err := h.fair(a, r.Model, n, lanes, zone); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// fair adds the plan that a file on a radius can follow; where none keeps the
// zone, a warning says on which frets it fails.
func (h crownHeights) fair(a *LevellingPlan, m neck.Model, n *findings.Neck, lanes []level.Lane, zoneMM float64) error {
	p, err := level.Fair(lanes, zoneMM)
	var unfair *level.UnfairError
	if errors.As(err, &unfair) {
		a.Warnings = append(a.Warnings, unfair.Error()+"; refit them, or file them crown by crown")
		return nil
	}
	if err != nil {
		return fmt.Errorf("planning: %w", err)
	}
	a.Fair = &FairPlan{TotalRemoveMM: p.TotalMM, MaxRemoveMM: p.MaxMM, Crowns: h.planCrowns(m, n, p)}
	return nil
}

// planCrowns lists the crowns that lose metal.
func (h crownHeights) planCrowns(m neck.Model, n *findings.Neck, p level.Plan) []PlanCrown {
	out := []PlanCrown{}
	for i, l := range p.Lanes {
		for k, remove := range l.RemoveMM {
			if remove <= 0 {
				continue
			}
			f, lane := n.Lanes[i].Frets[k], n.Lanes[i].Lane.Lane
			land := math.Min(level.Land(m.Wire.Crown(), remove), m.Wire.CrownWidth)
			out = append(out, PlanCrown{f, lane, remove, h.at(f, lane) - remove, land})
		}
	}
	return out
}

// least is the lowest crown left anywhere but on the refitted frets.
func (h crownHeights) least(n *findings.Neck, p level.Plan, refit []int) float64 {
	least := math.Inf(1)
	out := map[int]bool{}
	for _, f := range refit {
		out[f] = true
	}
	for i, l := range n.Lanes {
		for k, f := range l.Frets {
			if out[f] {
				continue
			}
			left := h.at(f, l.Lane.Lane)
			if i < len(p.Lanes) {
				left -= p.Lanes[i].RemoveMM[k]
			}
			least = math.Min(least, left)
		}
	}
	if math.IsInf(least, 1) {
		return h.wire
	}
	return least
}

// option says what a plan costs: crown, levellings left, minutes.
func (h crownHeights) option(m neck.Model, n *findings.Neck, o level.Option) RefitOption {
	a := RefitOption{
		Refit: o.Refit, TotalRemoveMM: o.Plan.TotalMM, MaxRemoveMM: o.Plan.MaxMM,
		LeastCrownMM: h.least(n, o.Plan, o.Refit), Cost: "level",
	}
	switch {
	case len(o.Refit) > 0:
		a.Cost = "part re-fret"
	case a.LeastCrownMM < m.Level.LeastCrown:
		a.Cost = "re-fret"
	}
	if o.Plan.MaxMM > 0 {
		left := int(math.Floor((a.LeastCrownMM - m.Level.LeastCrown) / o.Plan.MaxMM))
		left = max(left, 0)
		a.Levellings = &left
	}
	if m.Minutes.File > 0 || m.Minutes.Reseat > 0 {
		filed := map[int]bool{}
		for i, l := range o.Plan.Lanes {
			for k, v := range l.RemoveMM {
				if v > 0 {
					filed[n.Lanes[i].Frets[k]] = true
				}
			}
		}
		minutes := m.Minutes.File*float64(len(filed)) + m.Minutes.Reseat*float64(len(o.Refit))
		a.Minutes = &minutes
	}
	return a
}

// AsAsked reports whether `frets --check` is satisfied: every lane level,
// nothing to recheck, nothing open.
func (a *FretsAnswer) AsAsked() bool {
	if a.After != nil {
		return a.After.Reached
	}
	return a.Verdict == string(straight.Level) && len(a.Recheck) == 0 && len(a.Undetermined) == 0
}
