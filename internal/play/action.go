package play

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/num"
)

// ErrAction marks an action that no string can lie at.
var ErrAction = errors.New("no such action")

// maxRaiseMM bounds how far an action is moved to be tried.
const maxRaiseMM = 3

// Raised is a request for the neck with every string's action raised, or lowered
// where negative. ErrAction: not by that much.
func (r Request) Raised(byMM float64) (Request, error) {
	if !(math.Abs(byMM) <= maxRaiseMM) {
		return r, fmt.Errorf("%w: %g mm up; at most %g mm up or down", ErrAction, byMM, float64(maxRaiseMM))
	}
	action := make([]float64, len(r.Model.Setup.Action))
	for i, a := range r.Model.Setup.Action {
		action[i] = a + byMM
		if !(action[i] > 0) {
			return r, fmt.Errorf("%w: string %d would lie on fret 12", ErrAction, i+1)
		}
	}
	r.Model.Setup.Action = action
	return r, nil
}

// At is every note of a judged neck with all actions raised by so many mm, as
// LowestAction counts: what a note needs hangs on string, stop and touch, not on
// the action. Of each string its number, action and notes are given; a note is
// clear, chokes, or is short. ErrAction: not by that much.
func (n *Neck) At(raiseMM float64) ([]StringReport, error) {
	r, err := n.Raised(raiseMM)
	if err != nil {
		return nil, err
	}
	var out []StringReport
	for i, a := range r.Model.Setup.Action {
		out = append(out, StringReport{String: i + 1, ActionMM: a})
	}
	for k, c := range n.Cases {
		c.Setup.ActionMM += raiseMM
		rest, err := c.Lane.Rest(c.Setup)
		if err != nil {
			return nil, fmt.Errorf("%w: string %d: %w", ErrAction, c.Lane.String, err)
		}
		s := &out[c.Lane.String-1]
		for i, stop := range c.Lane.Stops(c.Setup, rest) {
			s.Notes = append(s.Notes, tried(stop, c.Lane.left(stop, rest, n.Judged[k].Own[i]), r.Model.Setup.JudgeBy))
		}
	}
	return out, nil
}

// tried is a note by what is left of the gap over each crown beyond its stop.
func tried(stop Stop, left []Room, touch string) Note {
	note, least := Note{Fret: stop.Fret, Touch: touch, Verdict: Clear}, math.Inf(1)
	for _, l := range left {
		least = math.Min(least, l.LeftMM)
		if l.GapMM <= 0 {
			note.Verdict = Chokes
		}
	}
	note.ClearMarginMM = num.Some(least)
	if least < 0 && note.Verdict == Clear {
		note.Verdict = Short
	}
	return note
}
