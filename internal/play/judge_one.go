package play

import (
	"context"
	"fmt"
)

// JudgeOne judges the notes of one stop alone. Notes and Own are filled at the
// index of that stop, Ideal is left empty. Errors as Judge's; ErrNoCrown: the
// string cannot be stopped there.
func JudgeOne(ctx context.Context, c Case, fret int) (Judged, error) {
	rest, err := c.Lane.Rest(c.Setup)
	if err != nil {
		return Judged{}, fmt.Errorf("string %d: %w", c.Lane.String, err)
	}
	stops := c.Lane.Stops(c.Setup, rest)
	out := Judged{Rest: rest, Stops: stops, Notes: make([][]Note, len(stops)), Own: make(Needs, len(stops))}
	for i, s := range stops {
		if s.Fret == fret {
			if err := c.judgeStop(ctx, &out, i); err != nil {
				return Judged{}, err
			}
			return out, ctx.Err()
		}
	}
	return Judged{}, fmt.Errorf("string %d: fret %d: %w", c.Lane.String, fret, ErrNoCrown)
}
