package study

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"sync/atomic"

	"ringtrue/internal/play"
)

// Request is what a study is asked.
type Request struct {
	Lines   []Line
	ZonesMM []float64
	Necks   int
	Seed    uint64
	Errors  Errors
	// Progress, where given, is told now and then how many necks are done; never
	// from two places at once.
	Progress func(done, all int)
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

// tellEvery is how many necks are done between two words of progress.
const tellEvery = 16

// Run draws the necks and finds each string's lowest action on each of them: the
// lowest at which every note clears every crown beyond its stop by what the
// line's Needs ask for, nut or nut gap staying as in its Setup.
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
		a, err := play.LowestAction(l.Lane, l.Setup, l.Needs)
		if err != nil {
			return nil, err
		}
		out.PerfectMM = append(out.PerfectMM, a)
	}
	return out, r.share(ctx, func(k int) error { return r.neck(out, k) })
}

// share gives every neck to some processor.
func (r Request) share(ctx context.Context, do func(k int) error) error {
	var next atomic.Int64
	var failed atomic.Bool
	errs := make([]error, r.Necks)
	var wait sync.WaitGroup
	var telling sync.Mutex
	done := 0
	for range min(runtime.GOMAXPROCS(0), r.Necks) {
		wait.Go(func() {
			for ctx.Err() == nil && !failed.Load() {
				k := int(next.Add(1)) - 1
				if k >= r.Necks {
					return
				}
				if errs[k] = do(k); errs[k] != nil {
					failed.Store(true)
					return
				}
				telling.Lock()
				if done++; r.Progress != nil && (done%tellEvery == 0 || done == r.Necks) {
					r.Progress(done, r.Necks)
				}
				telling.Unlock()
			}
		})
	}
	wait.Wait()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for _, err := range errs { // the first in order, whoever met it first
		if err != nil {
			return err
		}
	}
	return nil
}

// neck works out one neck at every zone.
func (r Request) neck(out *Actions, k int) error {
	off, err := drawn(r.Lines, r.Errors, r.Seed, uint64(k))
	if err != nil {
		return err
	}
	for z, zone := range r.ZonesMM {
		for i, l := range r.Lines {
			a, err := play.LowestAction(raised(l.Lane, off[i], zone), l.Setup, l.Needs)
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
