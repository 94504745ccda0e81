package answer

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/arrive"
	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

const (
	// handMM is how true a hand files that is told what to take off, standard
	// deviation. From memory.
	handMM = 0.004
	// workSeed makes the draws of the readings to come repeatable.
	workSeed = 1861
	// leastChance is the chance of arriving below which nothing is filed.
	leastChance = 0.5
	// filedMinutes is the time to file one fret where the neck file gives none. From
	// memory.
	filedMinutes = 3.0
)

// worker finds what to do about a neck.
type worker struct {
	r       *FretsRequest
	n       *findings.Neck
	lanes   []level.Lane
	whole   []findings.Whole
	first   []WorkFirst
	out     []int // the frets of first
	rest    straight.Verdict
	outlook *arrive.Outlook
}

// worked is what to do, or why nothing should be filed yet; and the metal, lane by
// lane, nil where nothing is filed.
type worked struct {
	work   *Work
	whyNot string
	metal  *level.Plan
}

// workOf finds the work: frets to see to first, then the metal that leaves the
// widest zone at which the next reading says level.
func workOf(ctx context.Context, r *FretsRequest, n *findings.Neck, found []findings.Finding, whole []findings.Whole, next []NextReading) (worked, error) {
	w := worker{r: r, n: n, lanes: levelLanes(n), whole: whole, first: []WorkFirst{}}
	if n.Verdict != straight.Level {
		w.first = firstFrets(found, whole, r.Seated)
	}
	for _, f := range w.first {
		w.out = append(w.out, f.Fret)
	}
	var err error
	if w.rest, err = w.restVerdict(); err != nil {
		return worked{}, err
	}
	if len(n.Lanes) == 0 {
		return worked{whyNot: w.premature() + nextWords(next)}, nil
	}
	if w.outlook, err = arrive.New(w.neck(), w.ask()); err != nil {
		return worked{}, fmt.Errorf("planning: %w", err)
	}
	why := w.premature()
	if w.rest == straight.Level || why != "" {
		out := worked{work: w.nothingFiled()}
		if why != "" && w.rest != straight.Level {
			out.whyNot = why + nextWords(next)
			if len(w.first) == 0 {
				out.work = nil
			}
		}
		return out, nil
	}
	return w.file(ctx, next)
}

// neck is the neck as package arrive takes it.
func (w *worker) neck() arrive.Neck {
	cov := func(a, i, b, j int) float64 {
		if a == b { // what leaves leave open is in the lane's own
			return w.n.Lanes[a].Cov.At(i, j)
		}
		return w.n.Estimate.CovBetween(a, i, b, j)
	}
	return arrive.Neck{Lanes: w.lanes, Cov: cov, Out: w.out}
}

// ask is what the work is planned for: a hand true to handMM, the same readings
// again. Leaves say no more of a gap the second time, so those before do not count
// then; and without a noted state the rod may be set otherwise.
func (w *worker) ask() arrive.Ask {
	a := arrive.Ask{LimitMM: w.r.Model.Level.Zone, HandMM: handMM, Seed: workSeed}
	states := map[string]bool{}
	for _, r := range w.r.judgedBy() {
		if slices.Contains(reading.OfCrowns(), r.Method) {
			states[r.State] = true
			a.Alone = a.Alone || r.Method == reading.Edge || r.Method == reading.Rocker
		}
	}
	a.BowFree = len(states) != 1 || states[""]
	return a
}

// restVerdict judges the neck without the frets to be seen to first.
func (w *worker) restVerdict() (straight.Verdict, error) {
	if len(w.out) == 0 {
		return w.n.Verdict, nil
	}
	v := straight.Level
	if _, _, aside := w.aside(); aside || len(w.n.Open) > 0 {
		v = straight.InDoubt
	}
	for a := range w.n.Lanes {
		lane, err := w.laneWithout(a)
		if err != nil {
			return v, err
		}
		if lane == straight.NotLevel {
			return lane, nil
		}
		if lane == straight.InDoubt {
			v = lane
		}
	}
	return v, nil
}

// laneWithout judges one lane without them.
func (w *worker) laneWithout(a int) (straight.Verdict, error) {
	l := w.n.Lanes[a]
	var x, d []float64
	var at []int
	for i, f := range l.Frets {
		if !slices.Contains(w.out, f) {
			x, d, at = append(x, l.X[i]), append(d, l.D[i]), append(at, i)
		}
	}
	v := straight.Level
	switch {
	case len(at) == len(l.Frets):
		return l.Verdict, nil
	case l.Brackets != nil: // its range is that of all its frets
		return straight.InDoubt, nil
	case len(at) >= 3:
		j, err := straight.LaneVerdict(x, d, covOf(l, at), w.r.Model.Level.Zone, workSeed)
		if err != nil {
			return v, fmt.Errorf("lane %g: %w", l.Lane.Lane, err)
		}
		v = j.Verdict
	}
	if v == straight.Level && !l.Complete {
		v = straight.InDoubt
	}
	return v, nil
}

// premature says why nothing should be filed yet; "" where it may.
func (w *worker) premature() string {
	if open := len(w.n.Estimate.Undetermined); open > 0 {
		return text.OpenBeforeFiling(open)
	}
	if fret, lane, found := w.aside(); found {
		return text.AsideBeforeFiling(fret, lane)
	}
	if bowed(w.whole, w.r.Model.Level.Zone) && w.r.Model.Body.Rod {
		return text.RodBeforeFiling
	}
	switch {
	case w.rest != straight.InDoubt || w.r.PlanToMM > 0:
		return ""
	case len(w.out) > 0:
		return text.RestInDoubt
	}
	return text.DoubtBeforeFiling
}

// aside is the first crown all of whose readings were set aside, on a fret that is
// not seen to first anyway.
func (w *worker) aside() (fret int, lane float64, found bool) {
	for _, l := range w.n.Lanes {
		for i, f := range l.Frets {
			aside := i < len(l.Aside) && l.Aside[i] || i < len(l.Read) && !l.Read[i]
			if aside && !slices.Contains(w.out, f) {
				return f, l.Lane.Lane, true
			}
		}
	}
	return 0, 0, false
}

// nothingFiled is the work where no metal comes off.
func (w *worker) nothingFiled() *Work {
	none := nothing(w.n)
	return w.written(arrive.Plan{ToMM: w.r.planTo(), Chance: w.outlook.Chance(none), Metal: none})
}

// file plans the metal.
func (w *worker) file(ctx context.Context, next []NextReading) (worked, error) {
	limit := w.r.Model.Level.Zone
	var p arrive.Plan
	if w.r.PlanToMM > 0 {
		p = w.outlook.To(w.r.PlanToMM)
	} else {
		p = w.outlook.Best()
	}
	warnings := []string{}
	if w.r.Fair {
		var err error
		if p, warnings, err = w.fair(p); err != nil {
			return worked{}, err
		}
	}
	if p.Chance < leastChance {
		return w.tooSeldom(p, next), nil
	}
	a := w.written(p)
	a.Warnings = append(a.Warnings, warnings...)
	toLimit := w.outlook.To(limit)
	a.ToLimit = &WorkToLimit{TotalRemoveMM: toLimit.Metal.TotalMM, Arrives: toLimit.Chance}
	options, err := w.options(ctx, p.ToMM)
	if err != nil {
		return worked{}, err
	}
	a.Options = options
	a.Warnings = append(a.Warnings, w.tooLow(a)...)
	return worked{work: a, metal: &p.Metal}, nil
}

// tooSeldom says that no metal is worth taking off: it would not arrive.
func (w *worker) tooSeldom(p arrive.Plan, next []NextReading) worked {
	out := worked{whyNot: text.TooSeldom(p.ToMM, p.Chance)}
	if best := w.outlook.Best(); w.r.PlanToMM > 0 && best.Chance >= leastChance {
		out.whyNot += text.PlanToOut(best.ToMM, best.Chance)
	} else if len(next) > 0 {
		out.whyNot += nextWords(next)
	} else {
		out.whyNot += w.helps()
	}
	if len(w.first) > 0 {
		out.work = w.nothingFiled()
	}
	return out
}

// muchSurer is how many times as unsure as others something is that is named for
// it: a crown beside the rest, or places beside steps between neighbours.
const muchSurer = 3

// helps names the reading that helps most where no other was proposed: of a crown
// that is far less sure than the rest; where errors add up along the lanes, one
// long gauge over the outer ones; else another pass.
func (w *worker) helps() string {
	var places, steps []float64
	worst, fret, lane := 0.0, 0, 0.0
	for _, l := range w.n.Lanes {
		for i := 1; i+1 < len(l.X); i++ {
			k := (l.X[i+1] - l.X[i]) / (l.X[i+1] - l.X[i-1])
			s := straight.StepResult{At: i, Weight: k}
			places, steps = append(places, l.U[i]), append(steps, s.U(l.Cov)/math.Sqrt(1+k*k+(1-k)*(1-k)))
			if l.U[i] > worst && !slices.Contains(w.out, l.Frets[i]) {
				worst, fret, lane = l.U[i], l.Frets[i], l.Lane.Lane
			}
		}
	}
	slices.Sort(places)
	slices.Sort(steps)
	middle := len(places) / 2
	switch {
	case len(places) > 0 && places[middle] > muchSurer*steps[middle]:
		return text.FirstOuterLanes
	case len(places) > 0 && worst > muchSurer*places[middle]:
		return text.FirstCrown(fret, lane)
	}
	return text.FirstEveryLane
}

// fair is the plan that a file on a radius can follow, to the same zone; where
// none keeps it, the plan as it is and a warning.
func (w *worker) fair(p arrive.Plan) (arrive.Plan, []string, error) {
	lanes, at := withoutFrets(w.lanes, w.out)
	f, err := level.Fair(lanes, p.ToMM)
	var unfair *level.UnfairError
	if errors.As(err, &unfair) {
		return p, []string{text.Unfair(unfair)}, nil
	}
	if err != nil {
		return p, nil, fmt.Errorf("planning: %w", err)
	}
	f = w.spreadOut(f, at)
	return arrive.Plan{ToMM: p.ToMM, Chance: w.outlook.Chance(f), Metal: f}, nil, nil
}

// options are the best plans to a zone that refit one to three further frets.
func (w *worker) options(ctx context.Context, zoneMM float64) ([]RefitOption, error) {
	lanes, at := withoutFrets(w.lanes, w.out)
	options, err := level.Options(ctx, lanes, zoneMM, mostRefits)
	if err != nil {
		return nil, fmt.Errorf("planning: %w", err)
	}
	h := w.r.heights()
	var out []RefitOption
	for _, o := range options {
		o.Plan = w.spreadOut(o.Plan, at)
		out = append(out, h.CostOf(w.r.Model, w.lanes, o))
	}
	return out, nil
}

// written puts a plan down as work.
func (w *worker) written(p arrive.Plan) *Work {
	h, m := w.r.heights(), w.r.Model
	each := m.Minutes.File
	if each == 0 {
		each = filedMinutes
	}
	return &Work{
		First: w.first, PlannedToMM: p.ToMM, Arrives: p.Chance, TotalRemoveMM: p.Metal.TotalMM, MaxRemoveMM: p.Metal.MaxMM,
		LeastCrownMM: h.Least(w.lanes, p.Metal, nil), Crowns: h.Removals(m.Wire, w.lanes, p.Metal), Warnings: []string{},
		Minutes: num.Some(each * float64(level.FretsFiled(w.lanes, p.Metal))),
	}
}

// tooLow names the crowns that would end under the least, and what to replace
// instead.
func (w *worker) tooLow(a *Work) []string {
	least := w.r.Model.Level.LeastCrown
	var out []string
	for _, c := range a.Crowns {
		if c.LeftMM < least {
			out = append(out, text.TooLow(c, least))
		}
	}
	if len(out) == 0 {
		return nil
	}
	for _, o := range a.Options {
		if len(o.Refit) > 0 && o.LeastCrownMM >= least {
			return append(out, text.ReplaceInstead(o))
		}
	}
	return append(out, text.ReplaceAll)
}
