package film

import (
	"context"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/play"
)

// Reason is what makes a moment worth a look.
type Reason struct {
	Kind   Kind
	Fret   int // of the crown
	Period int // from 1
}

// Kind is a kind of reason.
type Kind int

// The reasons.
const (
	Evenly       Kind = iota // none: one of many
	Release                  // the string is let go
	FirstContact             // with a crown
	LowestOver               // a crown in a period
	LowestWhere              // plucked in a period
	HighestWhere             // the same, highest
)

// moments picks the steps that the strip shows: the release; where there is a
// contact, the first; and of each of the first three periods the lowest the
// string comes over the crown that matters, and the highest it goes where it was
// plucked (in the first, the other end of its swing). The crown that matters is the
// one struck first or, without contact, the one it comes nearest to.
func (t *Recording) moments(ctx context.Context, s Scene, forces []play.Force) ([]Moment, error) {
	rows := shapes(s.Barrier, append(append([]float64(nil), s.XMM...), s.PluckMM))
	over := make([][]float64, len(rows)) // heights at each crown and the pluck, step by step
	err := s.Barrier.Replay(ctx, s.StartMM, forces, t.lastStep(), func(_ int, now, _ []float64, _ []play.Force) {
		for j, row := range rows {
			over[j] = append(over[j], floats.Dot(row, now))
		}
	})
	if err != nil {
		return nil, err
	}
	crown := t.crownThatMatters(s, over)
	out := []Moment{{Reason: Reason{Kind: Release}}}
	add := func(step int, kind Kind, fret, period int) {
		if !slices.ContainsFunc(out, func(m Moment) bool { return m.step == step }) {
			out = append(out, Moment{step: step, Reason: Reason{kind, fret, period}})
		}
	}
	if len(t.Contacts) > 0 {
		add(t.Contacts[0].from, FirstContact, t.Contacts[0].Fret, 0)
	}
	plucked := over[len(rows)-1]
	for p := range filmPeriods {
		from, to := t.period(p)
		if crown >= 0 {
			add(from+floats.MinIdx(over[crown][from:to]), LowestOver, s.Frets[crown], p+1)
		}
		// The release is one end of the first period's swing.
		if p == 0 && plucked[0] > 0 {
			add(from+floats.MinIdx(plucked[from:to]), LowestWhere, 0, p+1)
		} else {
			add(from+floats.MaxIdx(plucked[from:to]), HighestWhere, 0, p+1)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].step < out[j].step })
	return out, nil
}

// period is the range of steps of the p-th free period, from 0; the release is
// not part of the first.
func (t *Recording) period(p int) (from, to int) {
	at := func(n int) int { return int(math.Round(float64(n) * t.periodS / t.stepS)) }
	return max(1, at(p)), at(p + 1)
}

// crownThatMatters is the crown struck first, or the one the string comes
// nearest to in the film; −1 where there is none.
func (t *Recording) crownThatMatters(s Scene, over [][]float64) int {
	if len(t.Contacts) > 0 {
		return t.Contacts[0].crown
	}
	best, left := -1, math.Inf(1)
	for j, floor := range s.FloorMM {
		if v := floats.Min(over[j]) - floor; v < left {
			best, left = j, v
		}
	}
	return best
}
