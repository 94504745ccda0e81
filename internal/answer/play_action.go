package answer

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// ErrAction marks an action that no string can lie at.
var ErrAction = errors.New("no such action")

// mostRaiseMM bounds how far an action is moved to be tried.
const mostRaiseMM = 3

// Actions holds what the notes of a neck need under the judging touch, so that
// other actions are answered at once. It may be asked by several at once.
type Actions struct {
	Judged *PlayAnswer // the neck at its own action
	cases  []play.Case
	judged []play.Judged
}

// ActionsAnswer is a neck's notes at another action.
type ActionsAnswer struct {
	RaiseMM  float64      `json:"raise_mm"`
	ActionMM []float64    `json:"action_mm"` // of each string; string 1 first
	Notes    []ActionNote `json:"notes"`
	Short    int          `json:"short"` // notes that are not surely clear
}

// ActionNote is one stop at another action. LeftMM is what is left of the gap
// over the crown it comes nearest to, the pluck taken both ways: from 0 on the
// note is clear; below, it may still graze, buzz or just pass. Missing where nothing
// lies beyond the stop.
type ActionNote struct {
	String int     `json:"string"`
	Fret   int     `json:"fret"`
	LeftMM num.Opt `json:"left_mm"`
	AtFret int     `json:"at_fret"`
	Chokes bool    `json:"chokes"`
}

// NewActions judges a neck as Play does and keeps what its notes need.
func NewActions(ctx context.Context, r PlayRequest) (*Actions, error) {
	r.Bend = 0
	p, err := newPlayer(ctx, r)
	if err != nil {
		return nil, err
	}
	if p.judged, err = play.Judge(ctx, p.cases); err != nil {
		return nil, err
	}
	if err := p.fill(); err != nil {
		return nil, err
	}
	p.warn()
	return &Actions{Judged: p.answer, cases: p.cases, judged: p.judged}, nil
}

// Raised is a request for the neck with every string's action raised, or lowered
// where negative. ErrAction: not by that much.
func (r PlayRequest) Raised(byMM float64) (PlayRequest, error) {
	if !(math.Abs(byMM) <= mostRaiseMM) {
		return r, fmt.Errorf("%w: %g mm up; at most %g mm up or down", ErrAction, byMM, float64(mostRaiseMM))
	}
	r.Model.Setup.Action = slices.Clone(r.Model.Setup.Action)
	for i := range r.Model.Setup.Action {
		r.Model.Setup.Action[i] += byMM
		if !(r.Model.Setup.Action[i] > 0) {
			return r, fmt.Errorf("%w: string %d would lie on fret 12", ErrAction, i+1)
		}
	}
	return r, nil
}

// At is every note with all actions raised by so many mm, as LowestAction counts:
// what a note needs hangs on string, stop and touch, not on the action.
// ErrAction: not by that much.
func (a *Actions) At(raiseMM float64) (*ActionsAnswer, error) {
	if !(math.Abs(raiseMM) <= mostRaiseMM) {
		return nil, fmt.Errorf("%w: %g mm up; at most %g mm up or down", ErrAction, raiseMM, float64(mostRaiseMM))
	}
	out := &ActionsAnswer{RaiseMM: raiseMM, Notes: []ActionNote{}}
	for _, s := range a.Judged.Strings {
		out.ActionMM = append(out.ActionMM, s.ActionMM+raiseMM)
		if !(s.ActionMM+raiseMM > 0) {
			return nil, fmt.Errorf("%w: string %d would lie on fret 12", ErrAction, s.String)
		}
	}
	for k, c := range a.cases {
		setup := c.Setup
		setup.ActionMM += raiseMM
		rest, err := c.Lane.Rest(setup)
		if err != nil {
			return nil, fmt.Errorf("%w: string %d: %w", ErrAction, c.Lane.String, err)
		}
		stops := c.Lane.Stops(setup, rest)
		for i, m := range play.Margins(c.Lane, stops, rest, a.judged[k].Own) {
			n := ActionNote{String: c.Lane.String, Fret: stops[i].Fret}
			if m.Any {
				n.LeftMM, n.AtFret = num.Some(m.LeastMM), m.Nearest
				for _, crown := range c.Lane.Crowns[stops[i].Beyond:] {
					n.Chokes = n.Chokes || stops[i].Gap(crown, rest) <= 0
				}
				if m.LeastMM < 0 {
					out.Short++
				}
			}
			out.Notes = append(out.Notes, n)
		}
	}
	return out, nil
}
