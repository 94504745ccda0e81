package answer

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/hand"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
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
	// Shop is the shop's file: its tools and minutes; the zero value is a usual shop.
	Shop neck.Shop
	// Hand is who files, as the book knows; nil: a usual hand, with the times of the
	// neck and the shop.
	Hand *hand.Known
	// Strokes is what was done between Readings and After.
	Strokes hand.Strokes
	// Time asks how long the work takes.
	Time bool
	// Reading says that the pass is still being read: what would settle a doubt is
	// asked once no crown is open, since it takes half of the time.
	Reading bool
	// Moves asks for the work as moves of a hand, which takes up to a second.
	Moves bool
	// Plays asks whether the notes ring over these crowns, which takes a tenth of a
	// second.
	Plays bool

	earlier []reading.Reading       // of before a levelling, moved to after it: they count too
	filed   map[level.Place]float64 // what was planned off before these readings, mm
}

// Frets judges a neck's frets and says what to do. It ends early, with ctx's
// error, where ctx is done. Readings that contradict each other or leave a crown
// open are no error: the answer says so.
func Frets(ctx context.Context, r FretsRequest) (*FretsAnswer, error) {
	n, err := judged(ctx, r.Model, r.Layout, r.Readings)
	if err != nil {
		return nil, err
	}
	a, plan, err := answered(ctx, &r, n)
	if err != nil {
		return nil, err
	}
	if r.After != nil {
		if a.After, err = after(ctx, &r, n, a, plan); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// judgedBy are all readings that count.
func (r *FretsRequest) judgedBy() []reading.Reading { return slices.Concat(r.Readings, r.earlier) }

// answered is the answer of a neck that was judged by all readings of a request,
// and what comes off: by the work, or where there is none, at least.
func answered(ctx context.Context, r *FretsRequest, n *findings.Neck) (*FretsAnswer, *level.Plan, error) {
	ask := r.askOf(n)
	if !r.Reading || len(n.Estimate.Undetermined) == 0 {
		ask.Next = n.Next(ask.Readings, r.Times)
	}
	a := &FretsAnswer{
		Neck: r.Model.Name, Verdict: string(n.Verdict), ZoneLimitMM: r.Model.Level.Zone, Read: book.TakenOn(r.judgedBy()),
		Lanes: laneAnswers(n), Crowns: crownAnswers(n), Frets: []FretFinding{}, Findings: []NeckFinding{},
		Recheck:      withGross(rechecks(n, r.Readings), r.Model, n.Layout, r.Readings),
		Undetermined: append([]Undetermined{}, n.Estimate.Undetermined...), Passes: passFindings(n), NextReadings: nextReadings(ask.Next),
		Warnings: append([]string{}, n.Estimate.Warnings...),
	}
	if s := strungShape(n); s != nil {
		a.Strung, a.Warnings = s, append(a.Warnings, s.Words)
	} else if level.StateOf(r.Readings) == reading.Strung {
		a.Warnings = append(a.Warnings, text.StrungPlain)
	}
	seat := true // and nothing else is to be mended first
	for _, f := range ask.Found {
		words, advice := text.Finding(f)
		if f.FiledInstead(r.Seated) {
			advice = text.SitsDown
		}
		seat = seat && f.Seats()
		a.Frets = append(a.Frets, FretFinding{Fret: f.Fret, Kind: f.Kind(), Finding: words, Advice: advice, Lanes: f.Lanes, Open: f.Open(), Step: text.FretStep(f), depthMM: f.MM})
	}
	for _, w := range ask.Whole {
		words, advice := text.Whole(w)
		a.Findings = append(a.Findings, NeckFinding{Kind: w.Kind, Finding: words, Advice: advice, AmountMM: w.AmountMM, UMM: w.UMM, Frets: w.Frets, Lanes: w.Lanes, DepthMM: w.DepthMM})
	}
	plan, least, err := planOf(ctx, r, n)
	if err != nil {
		return nil, nil, err
	}
	a.Plan = *plan
	w, err := n.Work(ctx, ask)
	if err != nil {
		return nil, nil, err
	}
	if r.Plays && r.After == nil {
		if err = a.played(ctx, r, n, ask); err != nil {
			return nil, nil, err
		}
	}
	a.Work, a.WhyNot = worded(w, r.Model.Level.LeastCrown), text.WhyNot(w.Wait)
	a.Hold, a.RodFirst = text.Hold(w.Wait), w.Wait.Why == findings.RodFirst
	if r.Time {
		a.Time = r.timeOf(a)
	}
	a.Hand = r.handUsed()
	if seat && len(a.Findings) == 0 {
		for i := range a.Frets {
			a.Frets[i].filed(plan.Crowns)
		}
	}
	switch {
	case w.Plan != nil:
		least = w.Plan
	case w.Metal != nil:
		none := level.Nothing(n.LevelLanes())
		least = &none
	}
	return a, least, nil
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
		out = append(out, NextReading{Method: x.Method, Lane: x.Lane, Lanes: x.Lanes, Frets: x.Frets, Passes: x.Passes, Reach: max(1, x.Reach),
			Why: text.WhyNext(x), Must: x.Must, Minutes: x.Minutes, Settles: num.Some(x.Settles)})
	}
	return out
}

// filed notes what the plan would take off the fret if it were not seated again.
func (f *FretFinding) filed(crowns []PlanCrown) {
	for _, c := range crowns {
		if c.Fret != f.Fret {
			continue
		}
		f.FileMM, f.FileLeftMM = num.Some(max(f.FileMM.Or(0), c.RemoveMM)), num.Some(min(f.FileLeftMM.Or(c.LeftMM), c.LeftMM))
	}
}

func judged(ctx context.Context, m neck.Model, l *geometry.Layout, readings []reading.Reading) (*findings.Neck, error) {
	readings, leaf := reading.WithLeaves(readings)
	l, bow, err := underStrings(m, l, readings)
	if err != nil {
		return nil, err
	}
	e, err := withoutGross(m, l, readings, estimating(ctx))
	if err != nil {
		return nil, err
	}
	if bow != nil {
		bow.Widen(e.Lanes)
	}
	if leaf > 0 {
		e.Warnings = append(e.Warnings, text.NoGoTaken(leaf))
	}
	return findings.Judge(m, l, e, readings)
}

// estimating is heights.FromContext under ctx.
func estimating(ctx context.Context) func(heights.Input) (*heights.Estimate, error) {
	return func(in heights.Input) (*heights.Estimate, error) { return heights.FromContext(ctx, in) }
}

func laneAnswers(n *findings.Neck) []LaneAnswer {
	out := []LaneAnswer{}
	for _, l := range n.Lanes {
		a := LaneAnswer{Lane: l.Lane.Lane, ZoneMM: num.Some(l.Judged.Zone.WidthMM), UZoneMM: num.Some(l.Judged.UZoneMM), Verdict: string(l.Verdict),
			BowMM: num.Some(l.Bow.MM), StepMM: num.Some(max(l.Step.MM, -l.Step.MM))}
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
		out = append(out, PassFinding{Pass: p.Pass, Lane: p.Lane, Method: p.Method, Finding: p.Finding, FromFret: p.FromFret, Why: text.PassFault(p)})
	}
	return out
}

func rechecks(n *findings.Neck, readings []reading.Reading) []Recheck {
	out := []Recheck{}
	for _, m := range n.Estimate.Misreads {
		out = append(out, recheck(m, readings[m.Reading]))
	}
	return out
}

// heights are the crowns' heights before any further filing.
func (r *FretsRequest) heights() level.CrownHeights {
	h := level.HeightsOf(r.Model, r.judgedBy())
	h.Filed = r.filed
	return h
}

// planOf plans the least metal and the refits.
func planOf(ctx context.Context, r *FretsRequest, n *findings.Neck) (*LevellingPlan, *level.Plan, error) {
	m, lanes, zone := r.Model, n.LevelLanes(), r.PlanToMM
	if zone == 0 {
		zone = m.Level.Zone
	}
	options, err := level.Options(ctx, lanes, zone, level.MaxRefits)
	if err != nil {
		return nil, nil, fmt.Errorf("planning: %w", err)
	}
	var us []float64
	for _, l := range n.Lanes {
		us = append(us, l.Judged.UZoneMM)
	}
	h, plan := r.heights(), options[0].Plan
	a := &LevellingPlan{PlannedToMM: zone, SurelyToMM: level.AcceptanceLimit(m.Level.Zone, us...), TotalRemoveMM: plan.TotalMM, MaxRemoveMM: plan.MaxMM,
		LeastCrownMM: h.Least(lanes, plan, nil), Crowns: h.Removals(m.Wire, lanes, plan), Options: []RefitOption{}, Warnings: []string{}}
	for _, c := range a.Crowns {
		if c.LeftMM < m.Level.LeastCrown {
			a.Warnings = append(a.Warnings, text.TooLow(c, m.Level.LeastCrown)+"; refit it instead")
		}
	}
	for _, o := range options {
		a.Options = append(a.Options, h.CostOf(m, lanes, o))
	}
	if !r.Fair {
		return a, &plan, nil
	}
	p, err := level.Fair(lanes, zone)
	var unfair *level.UnfairError
	switch {
	case errors.As(err, &unfair):
		a.Warnings = append(a.Warnings, text.Unfair(unfair))
	case err != nil:
		return nil, nil, fmt.Errorf("planning: %w", err)
	default:
		a.Fair = &FairPlan{TotalRemoveMM: p.TotalMM, MaxRemoveMM: p.MaxMM, Crowns: h.Removals(m.Wire, lanes, p)}
	}
	return a, &plan, nil
}

// Passed reports whether `frets --check` is satisfied: every lane level,
// nothing to recheck, nothing open.
func (a *FretsAnswer) Passed() bool {
	if a.After != nil {
		return a.After.Reached
	}
	return a.Verdict == string(straight.Level) && len(a.Recheck) == 0 && len(a.Undetermined) == 0
}
