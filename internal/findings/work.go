package findings

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"ringtrue/internal/arrive"
	"ringtrue/internal/filing"
	"ringtrue/internal/hand"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

const (
	// workSeed makes the draws of the readings to come repeatable.
	workSeed = 1861
	// minChance is the chance of arriving below which nothing is filed.
	minChance = filing.Worthwhile
	// filedMinutes is the time to file one fret where the neck file gives none. From
	// memory.
	filedMinutes = 3.0
)

// Ask is what work on a neck is asked for, and what the neck itself says.
type Ask struct {
	Readings []reading.Reading // those that the neck was judged by
	PlanToMM float64           // the zone to file to; 0: the widest that will be called level
	Fair     bool              // smooth across each fret, as a file on a radius leaves it
	Seated   []int             // frets known to sit down on the board: a high one is filed
	Heights  level.CrownHeights
	Found    []Finding
	Whole    []Whole
	Next     []Next
	Hand     hand.Known // who files; the zero value is a usual hand
	Paper    string     // on the beam
	Shop     neck.Shop  // tools; the zero value: the usual ones
	Moves    bool       // find moves for hands; takes a second, so not at every reading
}

// Work is what to do now: frets to press, glue or replace first, then, these done
// and out of it, what to file.
type Work struct {
	First []Finding
	Wait          // why nothing should be filed yet
	Metal *Filing // what to file; nil: not to be said yet
	// Plan is Metal, lane by lane; nil where nothing is filed.
	Plan   *level.Plan
	Unfair *level.UnfairError // no plan that is smooth across each fret keeps the zone
	// TooLow are crowns that would end under the least, Instead the option that
	// keeps enough, nil where none does.
	TooLow  []level.Removal
	Instead *level.Cost
	Lack    filing.Lack // why there are no moves, where they were asked for
	// FaceMM is what of the beam's own face counts over the crowns, where it is over
	// a third of the limit; 0: less.
	FaceMM float64
}

// Filing is what to file, as JSON has it.
type Filing struct {
	PlannedToMM   float64         `json:"planned_to_mm"`
	Arrives       float64         `json:"arrives"` // chance that the next reading, with this one, says level
	TotalRemoveMM float64         `json:"total_remove_mm"`
	MaxRemoveMM   float64         `json:"max_remove_mm"`
	LeastCrownMM  float64         `json:"least_crown_mm"`
	Minutes       num.Opt         `json:"minutes,omitzero"` // of filing
	Crowns        []level.Removal `json:"crowns"`
	// ToLimit is what the limit itself would take and how seldom it arrives: what
	// the guard band costs. Nil where nothing is filed.
	ToLimit *ToLimit     `json:"to_limit,omitempty"`
	Options []level.Cost `json:"options,omitempty"` // refitting one to three further frets, to the same zone
	// Moves are the same work for hands, in order; PlannedToMM, Arrives and Minutes
	// are then theirs. Missing where they were not asked for or none arrives.
	Moves []Move `json:"moves,omitempty"`
}

// ToLimit is the least metal to the limit itself, with the same frets seen to
// first.
type ToLimit struct {
	TotalRemoveMM float64 `json:"total_remove_mm"`
	Arrives       float64 `json:"arrives"`
}

// worker finds what to do about a neck.
type worker struct {
	Ask
	n       *Neck
	work    Work
	lanes   []level.Lane
	out     []int // the frets to be seen to first
	rest    straight.Verdict
	outlook *arrive.Outlook
}

// Work finds the work: frets to see to first, then the metal that leaves the
// widest zone at which the next reading says level. Errors: those of package
// level, and ctx's.
func (n *Neck) Work(ctx context.Context, a Ask) (Work, error) {
	w := worker{Ask: a, n: n, lanes: n.LevelLanes(), rest: n.Verdict}
	if n.Verdict != straight.Level {
		w.work.First = firstFrets(a.Found, a.Whole, a.Seated)
	}
	for _, f := range w.work.First {
		w.out = append(w.out, f.Fret)
	}
	var err error
	if len(w.out) > 0 {
		if w.rest, err = w.restVerdict(); err != nil {
			return w.work, err
		}
	}
	wait := w.premature()
	if len(n.Lanes) == 0 {
		w.work.Wait = wait
		return w.work, nil
	}
	if w.outlook, err = arrive.New(w.neck(), w.ask()); err != nil {
		return w.work, fmt.Errorf("planning: %w", err)
	}
	if w.rest != straight.Level && wait.Why == NoWait {
		return w.work, w.file(ctx)
	}
	if w.rest != straight.Level {
		w.work.Wait = wait
	}
	w.nothingFiled()
	return w.work, nil
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

// ask is what the work is planned for: a hand true to level.HandMM, the same
// readings again. Leaves say no more of a gap the second time, so those before do
// not count then; and without a noted state the rod may be set otherwise.
func (w *worker) ask() arrive.Ask {
	leaves := slices.ContainsFunc(w.Readings, func(r reading.Reading) bool { return r.Method.Spec().Gap })
	return arrive.Ask{LimitMM: w.n.Model.Level.Zone, HandMM: level.HandMM, Seed: workSeed, Alone: leaves, BowFree: level.StateOf(w.Readings) == ""}
}

// nothingFiled is the work where no metal comes off: none to be said where it must
// wait and no fret comes first.
func (w *worker) nothingFiled() {
	if w.work.Why != NoWait && len(w.work.First) == 0 {
		return
	}
	none, to := level.Nothing(w.lanes), w.PlanToMM
	if to == 0 {
		to = w.n.Model.Level.Zone
	}
	w.work.Metal = w.filing(arrive.Plan{ToMM: to, Chance: w.outlook.Chance(none), Metal: none})
}

// file plans the metal.
func (w *worker) file(ctx context.Context) error {
	var p arrive.Plan
	if w.PlanToMM > 0 {
		p = w.outlook.To(w.PlanToMM)
	} else {
		p = w.outlook.Best()
	}
	lanes, full := level.Without(w.lanes, w.out)
	if w.Fair {
		f, err := level.Fair(lanes, p.ToMM)
		switch {
		case errors.As(err, &w.work.Unfair): // the plan as it is
		case err != nil:
			return fmt.Errorf("planning: %w", err)
		default:
			f = full(f)
			p = arrive.Plan{ToMM: p.ToMM, Chance: w.outlook.Chance(f), Metal: f}
		}
	}
	var by filing.Choice
	if w.Moves && p.Chance >= minChance {
		var err error
		if p, by, err = w.carry(ctx, p); err != nil {
			return err
		}
	}
	if p.Chance < minChance {
		w.work.Unfair = nil
		w.work.Wait = w.tooSeldom(p)
		w.nothingFiled()
		return nil
	}
	options, err := level.Options(ctx, lanes, p.ToMM, level.MaxRefits)
	if err != nil {
		return fmt.Errorf("planning: %w", err)
	}
	a, toLimit := w.filing(p), w.outlook.To(w.n.Model.Level.Zone)
	a.ToLimit = &ToLimit{toLimit.Metal.TotalMM, toLimit.Chance}
	for _, o := range options {
		o.Plan = full(o.Plan)
		a.Options = append(a.Options, w.Heights.CostOf(w.n.Model, w.lanes, o))
	}
	if len(by.Moves.Spots)+len(by.Moves.Runs) > 0 {
		a.Moves, a.Arrives, a.Minutes = w.moved(by), by.Chance, num.Some(by.Minutes)
		p.Metal = w.strayed(p.Metal, by.StrayMM)
	}
	w.work.Metal, w.work.Plan = a, &p.Metal
	w.tooLow(a)
	return nil
}

// filing puts a plan down as what to file.
func (w *worker) filing(p arrive.Plan) *Filing {
	h, m := w.Heights, w.n.Model
	each := m.Minutes.File
	if each == 0 {
		each = w.Shop.Minutes.File
	}
	if each == 0 {
		each = filedMinutes
	}
	return &Filing{
		PlannedToMM: p.ToMM, Arrives: p.Chance, TotalRemoveMM: p.Metal.TotalMM, MaxRemoveMM: p.Metal.MaxMM,
		LeastCrownMM: h.Least(w.lanes, p.Metal, nil), Crowns: h.Removals(m.Wire, w.lanes, p.Metal),
		Minutes: num.Some(each * float64(level.FretsFiled(w.lanes, p.Metal))),
	}
}

// tooLow finds the crowns that would end under the least, and what to replace
// instead.
func (w *worker) tooLow(a *Filing) {
	least := w.n.Model.Level.LeastCrown
	for _, c := range a.Crowns {
		if c.LeftMM < least {
			w.work.TooLow = append(w.work.TooLow, c)
		}
	}
	for i, o := range a.Options {
		if len(o.Refit) > 0 && o.LeastCrownMM >= least {
			w.work.Instead = &a.Options[i]
			return
		}
	}
}
