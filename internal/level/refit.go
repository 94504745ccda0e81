package level

import (
	"context"
	"slices"
)

// Option is the best plan that lifts and refits exactly the frets in Refit. A
// refitted fret constrains nothing in any lane and loses nothing.
type Option struct {
	Refit []int // ascending, not nil
	Plan  Plan
}

// MaxRefits is how many refits options usually go up to: a search of all further
// ones takes too long.
const MaxRefits = 3

// Options returns the best plans that refit exactly 0, 1, … up to `refits`
// frets, ending early after one with a total of 0 or when all frets are out.
// Of equal totals (within 1e-10 mm) the one with the smaller maximum, then the
// lower frets.
//
// Each is proved best: a set of frets is passed over only where dual solutions
// of its lanes already cost more than the best set known. ctx ends a long
// search with its error. Errors as Least, and ErrFrets where fret numbers span
// more than 64.
func Options(ctx context.Context, lanes []Lane, zoneMM float64, refits int) ([]Option, error) {
	if err := check(lanes, zoneMM); err != nil {
		return nil, err
	}
	s, err := newSearch(ctx, lanes, zoneMM)
	if err != nil {
		return nil, err
	}
	var options []Option
	for size := 0; size <= refits && size <= len(s.order); size++ {
		best, err := s.best(size)
		if err != nil {
			return nil, err
		}
		o := s.option(best)
		options = append(options, o)
		if o.Plan.TotalMM == 0 {
			break
		}
	}
	return options, nil
}

// option writes a set of refits out as a plan.
func (s *search) option(refit set) Option {
	o := Option{Refit: s.frets(refit), Plan: Plan{Lanes: make([]LanePlan, len(s.lanes))}}
	for i, l := range s.lanes {
		o.Plan.Lanes[i] = l.without(o.Refit, s.zone, &s.w)
	}
	o.Plan.sum()
	return o
}

// without plans a lane some of whose frets are refitted.
func (l Lane) without(refit []int, zoneMM float64, w *work) LanePlan {
	kept := Lane{X: make([]float64, 0, len(l.X)), D: make([]float64, 0, len(l.X))}
	at := make([]int, 0, len(l.X))
	for i, f := range l.Frets {
		if !slices.Contains(refit, f) {
			kept.X, kept.D = append(kept.X, l.X[i]), append(kept.D, l.D[i])
			at = append(at, i)
		}
	}
	p := kept.filed(w.line(kept.X, kept.D, zoneMM))
	all := make([]float64, len(l.X))
	for k, i := range at {
		all[i] = p.RemoveMM[k]
	}
	p.RemoveMM = all
	return p
}
