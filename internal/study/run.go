package study

import (
	"context"
	"errors"

	"ringtrue/internal/play"
)

// Request is what a study is asked.
type Request struct {
	Lines    []Line
	ZonesMM  []float64
	Necks    int
	Seed     uint64
	Errors   Errors
	Progress func(done, all int) // as play.Each tells; may be nil
}

// Actions are the lowest actions of every neck, in mm over the setup's fret.
type Actions struct {
	PerfectMM []float64     // of each line, with perfect crowns
	LowestMM  [][][]float64 // of each zone, line and neck; infinite where no action is high enough
}

// Faults of a request.
var (
	ErrFewFrets = errors.New("a zone takes three crowns or more")
	ErrNothing  = errors.New("a study takes strings, zones and necks")
)

// Run draws the necks and finds each string's lowest action on each of them: the
// lowest at which every note clears every crown beyond its stop by what the
// line's Clearance asks for, nut or nut gap staying as in its Setup.
//
// Neck k has the same errors at every zone, scaled; so zones are compared on the
// same necks. Each neck draws from a generator of its own, so the answer is the
// same on any number of processors. Errors: ErrFewFrets, ErrNothing, the work
// called off, or a lane that the setup does not fit.
// Cost: for each neck a zone and a line a lane, and for each zone two passes
// over all pairs of stop and crown.
func Run(ctx context.Context, r Request) (*Actions, error) {
	switch {
	case len(r.Lines) == 0 || len(r.ZonesMM) == 0 || r.Necks < 1:
		return nil, ErrNothing
	case len(r.Lines[0].Lane.Crowns) < 3:
		return nil, ErrFewFrets
	}
	out := &Actions{LowestMM: make([][][]float64, len(r.ZonesMM))}
	for z := range out.LowestMM {
		out.LowestMM[z] = make([][]float64, len(r.Lines))
		for i := range r.Lines {
			out.LowestMM[z][i] = make([]float64, r.Necks)
		}
	}
	for _, l := range r.Lines {
		a, err := play.LowestAction(l.Lane, l.Setup, l.Clearance)
		if err != nil {
			return nil, err
		}
		out.PerfectMM = append(out.PerfectMM, a)
	}
	return out, play.Each(ctx, r.Necks, r.Progress, func(k int) error { return r.neck(out, k) })
}

// neck works out one neck at every zone.
func (r Request) neck(out *Actions, k int) error {
	off, err := drawn(r.Lines, r.Errors, r.Seed, uint64(k))
	if err != nil {
		return err
	}
	for z, zone := range r.ZonesMM {
		for i, l := range r.Lines {
			a, err := play.LowestAction(raised(l.Lane, off[i], zone), l.Setup, l.Clearance)
			if err != nil {
				return err
			}
			out.LowestMM[z][i][k] = a
		}
	}
	return nil
}

// Raises is by how much the strings of each neck of a zone must rise above
// where perfect crowns would let them lie: the string that needs most.
func (a *Actions) Raises(zone int) []float64 {
	out := append([]float64(nil), a.LowestMM[zone][0]...)
	for k := range out {
		out[k] -= a.PerfectMM[0]
		for i := 1; i < len(a.PerfectMM); i++ {
			out[k] = max(out[k], a.LowestMM[zone][i][k]-a.PerfectMM[i])
		}
	}
	return out
}

// ClearAt counts the necks of a zone on which no string touches at the actions
// given, one a line.
func (a *Actions) ClearAt(zone int, actionMM []float64) int {
	n := 0
	for k := range a.LowestMM[zone][0] {
		clear := true
		for i := range a.PerfectMM {
			clear = clear && a.LowestMM[zone][i][k] <= actionMM[i]
		}
		if clear {
			n++
		}
	}
	return n
}
