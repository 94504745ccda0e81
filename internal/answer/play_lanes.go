package answer

import (
	"context"
	"fmt"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// laid is a neck over its crowns: perfect ones, those that readings give, or those
// that the levelling plan leaves; and what the maker should know of the readings.
// doubt asks for the crowns as they may truly stand, too.
func laid(ctx context.Context, r PlayRequest, doubt bool) (*play.Neck, *findings.Neck, []string, error) {
	n, err := play.NewNeck(r)
	if err != nil || !r.Read {
		return n, nil, []string{}, err
	}
	f, err := judged(ctx, r.Model, r.Layout, r.Readings)
	if err != nil {
		return nil, nil, nil, err
	}
	warnings, err := layOn(ctx, n, f, doubt)
	return n, f, warnings, err
}

// layOn puts the crowns of a judged neck under its strings.
func layOn(ctx context.Context, n *play.Neck, f *findings.Neck, doubt bool) (warnings []string, err error) {
	r := n.Request
	warnings = append([]string{}, f.Estimate.Warnings...)
	if k := len(f.Estimate.Misreads); k > 0 {
		warnings = append(warnings, text.SetAside(k))
	}
	if r.Strung() && !f.Layout.IsStrung() {
		warnings = append(warnings, text.Strung(r.Model.Setup.Relief))
	}
	var next planned
	if r.Planned {
		if next, err = nextOf(ctx, r, f); err != nil {
			return nil, err
		}
	}
	heights := level.HeightsOf(r.Model, r.Readings)
	maybe := make([][][]float64, len(f.Lanes)) // by lane and draw; none where no doubt is asked for
	if doubt {
		if maybe, err = f.MayBe(play.Draws); err != nil {
			return nil, err
		}
		n.MayBe = make([][]play.Lane, len(n.Lanes))
	}
	for i := range n.Lanes {
		n.Lanes[i].Crowns = nil
	}
	for k, l := range f.Lanes {
		number := int(l.Lane.Lane)
		if float64(number) != l.Lane.Lane || number < 1 || number > len(n.Lanes) {
			continue // between strings
		}
		off, removed := l.Off, make([]float64, len(l.Off))
		if r.Planned {
			removed = next.metal.Lanes[k].RemoveMM
			if off, err = level.Levelled(l.Frets, l.X, l.Off, removed, next.first); err != nil {
				return nil, err
			}
		}
		n.Lanes[number-1] = play.LaneOf(r.Model, r.Layout, number, l.Frets, off)
		for c, f := range l.Frets {
			n.Lanes[number-1].Crowns[c].SpareMM = max(0, heights.At(f, l.Lane.Lane)-r.Model.Level.LeastCrown-removed[c])
		}
		for _, off := range maybe[k] {
			if r.Planned {
				if off, err = level.Levelled(l.Frets, l.X, off, removed, next.first); err != nil {
					return nil, err
				}
			}
			n.MayBe[number-1] = append(n.MayBe[number-1], n.Lanes[number-1].Standing(off))
		}
	}
	cause := map[[2]int]string{}
	for _, u := range f.Estimate.Undetermined {
		cause[[2]int{int(u.Lane), u.Fret}] = u.Why
	}
	n.FindMissing(cause)
	for i, u := range n.Open {
		n.Open[i].Why = text.NotJudged(u)
	}
	return warnings, nil
}

// planned is what comes off a neck and which frets are pressed or replaced first.
type planned struct {
	metal level.Plan
	first []int
}

// nextOf is the work that `frets` asks for; where it asks for none yet, the least
// metal to the limit.
func nextOf(ctx context.Context, q PlayRequest, n *findings.Neck) (planned, error) {
	r := FretsRequest{Model: q.Model, Layout: q.Layout, Readings: q.Readings, Moves: true, Shop: q.Shop}
	w, err := n.Work(ctx, r.askOf(n))
	if err != nil {
		return planned{}, err
	}
	out := planned{}
	for _, f := range w.First {
		out.first = append(out.first, f.Fret)
	}
	switch {
	case w.Plan != nil:
		out.metal = *w.Plan
	case w.Metal != nil:
		out.metal = level.Nothing(n.LevelLanes())
	default:
		if out.metal, err = level.Least(n.LevelLanes(), r.Model.Level.Zone); err != nil {
			return out, fmt.Errorf("planning: %w", err)
		}
	}
	return out, nil
}
