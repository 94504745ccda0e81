package answer

import (
	"context"
	"slices"
	"strings"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// after judges the readings taken after levelling. Those before count where they
// still hold.
func after(ctx context.Context, r *FretsRequest, before *findings.Neck, a *FretsAnswer, plan *level.Plan) (*AfterAnswer, error) {
	alone, err := judged(ctx, r.Model, r.Layout, r.After)
	if err != nil {
		return nil, err
	}
	v := levellingOf(r, before, alone, a.Work, plan)
	earlier := v.Earlier()
	n := alone
	if len(earlier) > 0 {
		if n, err = judged(ctx, r.Model, r.Layout, slices.Concat(r.After, earlier)); err != nil {
			return nil, err
		}
	}
	// What is wrong with readings before was said of them.
	n.Estimate.Misreads = slices.DeleteFunc(n.Estimate.Misreads, func(m heights.Misread) bool { return m.Reading >= len(r.After) })
	n.Estimate.Passes = slices.DeleteFunc(n.Estimate.Passes, func(p heights.PassFault) bool { return strings.HasPrefix(p.Pass, level.PassBefore) })
	q := *r
	q.Readings, q.earlier, q.After, q.filed = r.After, earlier, nil, v.Filed()
	full, _, err := answered(ctx, &q, n)
	if err != nil {
		return nil, err
	}
	high := map[level.Place]bool{}
	for _, l := range n.Lanes {
		for i, f := range l.Frets {
			high[level.Place{Fret: f, Lane: l.Lane.Lane}] = l.Crown[i] == straight.High
		}
	}
	out := &AfterAnswer{FretsAnswer: *full, Reached: full.Passed(), Deeds: v.Otherwise(high), Earlier: len(earlier)}
	if len(r.Strokes) > 0 {
		out.Strokes, out.Untold = takenBy(r.Model, r.Layout, before, alone, r.Strokes)
	}
	return out, nil
}

// levellingOf compares two sets of readings. plan is the metal of the work; where no
// work was given, the least metal, which may have been filed.
func levellingOf(r *FretsRequest, before, alone *findings.Neck, work *Work, plan *level.Plan) *level.Levelling {
	v := &level.Levelling{Layout: r.Layout, Before: r.Readings, After: r.After, Lanes: before.LevelLanes(), Now: alone.LevelLanes(),
		Aside: map[int]bool{}, First: map[int]bool{}, Known: work != nil, Planned: *plan, Was: before.Layout, Is: alone.Layout}
	for _, m := range before.Estimate.Misreads {
		v.Aside[m.Reading] = true
	}
	if work != nil {
		for _, f := range work.First {
			v.First[f.Fret] = true
		}
	}
	v.Compare()
	return v
}
