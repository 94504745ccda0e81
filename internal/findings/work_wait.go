package findings

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/arrive"
	"ringtrue/internal/straight"
)

// WaitFor is why nothing should be filed yet.
type WaitFor int

// Reasons to wait.
const (
	NoWait      WaitFor = iota
	CrownsOpen          // crowns are not determined
	CrownAside          // a crown has only readings that were set aside
	RodFirst            // the rod can take the bow out
	RestInDoubt         // the frets but for those to be seen to first
	NeckInDoubt
	TooSeldom // filed, the next reading would hardly say level
)

// Help is a reading that helps where no other was proposed.
type Help int

// Helps.
const (
	NoHelp     Help = iota
	OuterLanes      // by one long gauge: errors add up along the lanes
	OneCrown        // far less sure than the rest
	EveryLane       // once more
	ADial           // leaves are too coarse, however often they are used
)

// Wait is why nothing should be filed yet, and what to read.
type Wait struct {
	Why    WaitFor
	Crowns int     // of CrownsOpen
	Fret   int     // of CrownAside, or of OneCrown
	Lane   float64 // likewise
	// Of TooSeldom: the zone and its chance, and those that would do instead of the
	// zone asked for; 0 where none would.
	ToMM, Chance, InsteadMM, InsteadChance float64
	Leaves                                 bool // gaps felt with leaves count: the chance is the least there may be
	Help                                   Help
	Next                                   []Next // what else to read
}

// premature says why nothing should be filed yet.
func (w *worker) premature() Wait {
	wait := Wait{Next: w.Next, Crowns: len(w.n.Estimate.Undetermined)}
	fret, lane, aside := w.aside()
	switch {
	case wait.Crowns > 0:
		wait.Why = CrownsOpen
	case aside:
		wait.Why, wait.Fret, wait.Lane = CrownAside, fret, lane
	case w.n.Model.Body.Rod && slices.ContainsFunc(w.Whole, func(x Whole) bool {
		return x.Kind == KindBow && math.Abs(x.AmountMM) >= w.n.Model.Level.Zone/2 // the rod is set to half the zone
	}):
		wait.Why = RodFirst
	case w.rest != straight.InDoubt || w.PlanToMM > 0:
	case len(w.out) > 0:
		wait.Why = RestInDoubt
	default:
		wait.Why = NeckInDoubt
	}
	return wait
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

// restVerdict judges the neck without the frets to be seen to first.
func (w *worker) restVerdict() (straight.Verdict, error) {
	v := straight.Level
	if _, _, aside := w.aside(); aside || len(w.n.Open) > 0 {
		v = straight.InDoubt
	}
	for a := range w.n.Lanes {
		lane, err := w.laneWithout(&w.n.Lanes[a])
		if err != nil {
			return v, fmt.Errorf("lane %g: %w", w.n.Lanes[a].Lane.Lane, err)
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
func (w *worker) laneWithout(l *Lane) (v straight.Verdict, err error) {
	var at []int
	for i, f := range l.Frets {
		if !slices.Contains(w.out, f) {
			at = append(at, i)
		}
	}
	switch {
	case len(at) == len(l.Frets):
		return l.Verdict, nil
	case l.Brackets != nil: // its range is that of all its frets
		return straight.InDoubt, nil
	}
	v = straight.Level
	if len(at) >= 3 {
		if v, err = l.verdictOf(at, w.n.Model.Level.Zone, workSeed); err != nil {
			return v, err
		}
	}
	if v == straight.Level && !l.Complete {
		v = straight.InDoubt
	}
	return v, nil
}

// tooSeldom says that no metal is worth taking off: it would not arrive.
func (w *worker) tooSeldom(p arrive.Plan) Wait {
	wait := Wait{Why: TooSeldom, ToMM: p.ToMM, Chance: p.Chance, Leaves: w.n.ByLeaves()}
	switch best := w.outlook.Best(); {
	case w.PlanToMM > 0 && best.Chance >= minChance:
		wait.InsteadMM, wait.InsteadChance = best.ToMM, best.Chance
	case len(w.Next) > 0:
		wait.Next = w.Next
	case w.n.ByLeaves():
		wait.Help = ADial
	default:
		wait.Help, wait.Fret, wait.Lane = w.helps()
	}
	return wait
}

// muchSurer is how many times as unsure as others something is that is named for
// it: a crown beside the rest, or places beside steps between neighbours.
const muchSurer = 3

// helps is the reading that helps most where no other was proposed.
func (w *worker) helps() (h Help, fret int, lane float64) {
	var places, steps []float64
	worst := 0.0
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
		return OuterLanes, 0, 0
	case len(places) > 0 && worst > muchSurer*places[middle]:
		return OneCrown, fret, lane
	}
	return EveryLane, 0, 0
}

// firstFrets are the findings of frets to press, glue or replace before any file:
// those that sit wrong by themselves. Where the board lifts or sinks several
// neighbours, or strings wore them, the file is the cure, not the press.
func firstFrets(found []Finding, whole []Whole, seated []int) []Finding {
	var out []Finding
	for _, f := range found {
		if f.sitsWrong() && !withNeighbours(f.Fret, whole) && !f.FiledInstead(seated) &&
			!slices.ContainsFunc(out, func(o Finding) bool { return o.Fret == f.Fret }) {
			out = append(out, f)
		}
	}
	return out
}

// StandsHigh reports whether a fret stands high as a whole or at one end.
func (f Finding) StandsHigh() bool { return f.Kind() == KindSeat || f.Kind() == KindFretHigh }

// FiledInstead reports whether a high fret is filed, since it sits already.
func (f Finding) FiledInstead(seated []int) bool {
	return f.StandsHigh() && slices.Contains(seated, f.Fret)
}

// Settled reports whether the neck may be left as it is as far as its frets and
// readings go: nothing was set aside or is not determined, no fret is loose or
// badly seated but for those that were seen to sit down, and the neck as a whole is
// sound.
func (a Ask) Settled(n *Neck) bool {
	if len(n.Estimate.Misreads)+len(n.Estimate.Undetermined)+len(a.Whole) > 0 {
		return false
	}
	return !slices.ContainsFunc(a.Found, func(f Finding) bool {
		return !f.FiledInstead(a.Seated) && (f.Kind() == KindSeat || f.Kind() == KindLoose || f.Kind() == KindReadAgain)
	})
}

// sitsWrong reports whether a finding is cured in the slot.
func (f Finding) sitsWrong() bool {
	switch f.Kind() {
	case KindSeat, KindFretHigh, KindFretLow, KindEndLow, KindLoose, KindCurved:
		return true
	}
	return false
}

// withNeighbours reports whether a fret stands off with its neighbours.
func withNeighbours(fret int, whole []Whole) bool {
	return slices.ContainsFunc(whole, func(w Whole) bool {
		switch w.Kind {
		case KindHump, KindDip, KindRise, KindWorn:
			return slices.Contains(w.Frets, fret)
		}
		return false
	})
}
