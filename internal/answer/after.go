package answer

import (
	"context"
	"slices"
	"strings"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// levelling is what lies between two sets of readings of a neck: what was planned,
// and what the readings say was done.
type levelling struct {
	r             *FretsRequest
	before, alone *findings.Neck // the second set taken alone
	planned       *level.Plan    // in the order of before.Lanes
	known         bool           // planned is what the hand was told
	first         map[int]bool   // frets that were pressed or replaced
	bowFree       bool
	sameState     bool
	crowns        map[level.Place]*filing
	bows          map[float64]curve // by lane, where the bow is free
}

// filing is one crown of both sets.
type filing struct {
	planned, taken, u float64
	told              bool // the readings tell what came off
	far               bool // more or less than planned, beyond chance
	unsure            bool // it may have moved, or the lane was not filed as planned
}

// holds reports whether the readings before, less what was planned, still hold.
func (k *filing) holds() bool { return k.told && !k.far && !k.unsure }

// after judges the readings taken after levelling. Those before count where they
// still hold: see (*levelling).earlier.
func after(ctx context.Context, r *FretsRequest, before *findings.Neck, a *FretsAnswer, w worked) (*AfterAnswer, error) {
	alone, err := judged(r.Model, r.Layout, r.After)
	if err != nil {
		return nil, err
	}
	v := newLevelling(r, before, alone, a, w)
	earlier := v.earlier()
	n := alone
	if len(earlier) > 0 {
		if n, err = judged(r.Model, r.Layout, slices.Concat(r.After, earlier)); err != nil {
			return nil, err
		}
	}
	// What is wrong with readings before was said of them.
	n.Estimate.Misreads = slices.DeleteFunc(n.Estimate.Misreads, func(m heights.Misread) bool { return m.Reading >= len(r.After) })
	n.Estimate.Passes = slices.DeleteFunc(n.Estimate.Passes, func(p heights.PassFault) bool { return strings.HasPrefix(p.Pass, passBefore) })
	q := *r
	q.Readings, q.earlier, q.After, q.filed = r.After, earlier, nil, v.filed()
	full, _, err := answered(ctx, &q, n)
	if err != nil {
		return nil, err
	}
	b := &AfterAnswer{FretsAnswer: *full, FiledByMistake: []FiledByMistake{}, Proud: []AfterCrown{}, Beyond: []AfterCrown{}, Earlier: len(earlier)}
	b.Reached = n.Verdict == straight.Level && len(b.Recheck) == 0 && len(b.Undetermined) == 0
	v.fill(b, n)
	return b, nil
}

func newLevelling(r *FretsRequest, before, alone *findings.Neck, a *FretsAnswer, w worked) *levelling {
	v := &levelling{r: r, before: before, alone: alone, planned: w.metal, known: a.Work != nil, first: map[int]bool{}, crowns: map[level.Place]*filing{}, bows: map[float64]curve{}}
	if a.Work != nil {
		for _, f := range a.Work.First {
			v.first[f.Fret] = true
		}
	}
	if v.planned == nil {
		none := nothing(before)
		v.planned = &none
		if !v.known { // no work was given, so the least metal is what may have been filed
			v.fromPlan(a.Plan)
		}
	}
	one, two := stateOf(r.Readings), stateOf(r.After)
	v.sameState = one != "" && one == two
	v.bowFree = !v.sameState
	for i, l := range before.Lanes {
		for _, m := range alone.Lanes {
			if m.Lane.Lane == l.Lane.Lane {
				v.compare(l, m, v.planned.Lanes[i].RemoveMM)
			}
		}
	}
	return v
}

// fromPlan takes the crowns of a plan.
func (v *levelling) fromPlan(p LevellingPlan) {
	for _, c := range p.Crowns {
		for i, l := range v.before.Lanes {
			if l.Lane.Lane == c.Lane {
				v.planned.Lanes[i].RemoveMM[slices.Index(l.Frets, c.Fret)] = c.RemoveMM
			}
		}
	}
}

// stateOf is the state of the neck that all readings of crowns note; "" where one
// notes none, or they differ.
func stateOf(readings []reading.Reading) string {
	state, seen := "", false
	for _, r := range readings {
		if !slices.Contains(reading.OfCrowns(), r.Method) {
			continue
		}
		if seen && r.State != state {
			return ""
		}
		state, seen = r.State, true
	}
	return state
}

// filed is what came off each crown as planned.
func (v *levelling) filed() map[level.Place]float64 {
	out := map[level.Place]float64{}
	for p, k := range v.crowns {
		if k.planned > 0 && v.known {
			out[p] = k.planned
		}
	}
	return out
}

// fill names what the hand did otherwise than planned.
func (v *levelling) fill(b *AfterAnswer, now *findings.Neck) {
	high := map[level.Place]bool{}
	for _, l := range now.Lanes {
		for i, f := range l.Frets {
			high[level.Place{Fret: f, Lane: l.Lane.Lane}] = l.Crown[i] == straight.High
		}
	}
	for _, l := range v.before.Lanes {
		for _, f := range l.Frets {
			p := level.Place{Fret: f, Lane: l.Lane.Lane}
			k := v.crowns[p]
			if k == nil || !k.told {
				continue
			}
			over := k.taken - k.planned
			row := AfterCrown{f, p.Lane, k.planned, k.taken, k.u}
			switch {
			case k.far && over > 0 && k.planned == 0:
				b.FiledByMistake = append(b.FiledByMistake, FiledByMistake{f, p.Lane, k.taken, k.u})
				b.BeyondMM += over
			case k.far && over > 0:
				b.Beyond = append(b.Beyond, row)
				b.BeyondMM += over
			case high[p]:
				b.Proud = append(b.Proud, row)
			}
		}
	}
}
