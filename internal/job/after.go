package job

import (
	"math"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// beyondConfidence is how many standard uncertainties a hand must have gone
// beyond the plan, or stopped short of it, to be told so: one false alarm in
// 700 crowns.
const beyondConfidence = 3.0

// after compares the readings taken after levelling with the plan.
func after(r FretsRequest, before *findings.Neck, plan level.Plan) (*AfterAnswer, error) {
	now, err := judged(r.Model, r.Layout, r.After)
	if err != nil {
		return nil, err
	}
	a := &AfterAnswer{
		Verdict: string(now.Verdict), Proud: []AfterCrown{}, Beyond: []AfterCrown{},
		Lanes: laneAnswers(now), Recheck: withGross(rechecks(now, r.After), r.Model, r.Layout, r.After), Undetermined: []Undetermined{},
	}
	for _, u := range now.Estimate.Undetermined {
		a.Undetermined = append(a.Undetermined, Undetermined{u.Fret, u.Lane, u.Why})
	}
	a.Reached = now.Verdict == straight.Level && len(a.Recheck) == 0 && len(a.Undetermined) == 0
	for i, l := range before.Lanes {
		for _, m := range now.Lanes {
			if m.Lane.Lane == l.Lane.Lane {
				a.compare(l, m, plan.Lanes[i])
			}
		}
	}
	return a, nil
}

// compare finds what came off one lane. Both sets of readings see the lane only
// up to a line, which is the one that best fits the crowns the plan leaves
// alone, by least absolute deviations; where they are few, all crowns.
func (a *AfterAnswer) compare(before, now findings.Lane, plan level.LanePlan) {
	type crown struct {
		fret           int
		planned, taken float64
		u              float64
		verdict        straight.Verdict
	}
	var all []crown
	var x, change, keptX, kept []float64
	for i, f := range before.Frets {
		for k, g := range now.Frets {
			if f != g {
				continue
			}
			d := before.D[i] - now.D[k]
			all = append(all, crown{f, plan.RemoveMM[i], d, math.Hypot(before.U[i], now.U[k]), now.Crown[k]})
			x, change = append(x, before.X[i]), append(change, d)
			if plan.RemoveMM[i] == 0 {
				keptX, kept = append(keptX, before.X[i]), append(kept, d)
			}
		}
	}
	if len(keptX) < 3 {
		keptX, kept = x, make([]float64, len(x))
		for i := range all {
			kept[i] = change[i] - all[i].planned
		}
	}
	if len(keptX) < 2 {
		return
	}
	c, slope, err := straight.ReferenceLine(keptX, kept)
	if err != nil {
		return
	}
	for i, k := range all {
		taken := k.taken - c - slope*x[i]
		row := AfterCrown{k.fret, before.Lane.Lane, k.planned, taken, k.u}
		switch over := taken - k.planned; {
		case over > beyondConfidence*k.u:
			a.Beyond = append(a.Beyond, row)
			a.BeyondMM += over
		case k.verdict == straight.High:
			a.Proud = append(a.Proud, row)
		}
	}
}
