package heard

import (
	"context"
	"math"
	"runtime"
	"slices"

	"ringtrue/internal/play"
)

// Sounding is one sound of a recording: where it begins and ends, what it is, and
// what it sounds like where it has a name.
type Sounding struct {
	From, To int     // samples
	PitchHz  float64 // coarse; 0: none
	Name     int     // index of the notes wanted; −1: none
	Note     Note
}

// Through listens to a recording of notes wanted in order, by their pitches in Hz. tell,
// where given, is told how many sounds of how many are done. The error is that of ctx.
func Through(ctx context.Context, x []float64, rateHz float64, wanted []float64, tell func(done, of int)) ([]Sounding, error) {
	low := lowestHz
	if len(wanted) > 0 {
		low = slices.Min(wanted)
	}
	all, err := Sounds(ctx, x, rateHz, low)
	if err != nil {
		return nil, err
	}
	for i, name := range Name(Pitches(all), wanted, false) {
		all[i].Name = name
	}
	return all, Measure(ctx, x, rateHz, all, tell)
}

// Sounds are what begins in a recording, each with its coarse pitch, none below lowHz, and
// without a name. The error is that of ctx.
func Sounds(ctx context.Context, x []float64, rateHz, lowHz float64) ([]Sounding, error) {
	onsets := Find(x, rateHz)
	all := make([]Sounding, len(onsets))
	return all, each(ctx, worker{rateHz: rateHz, lowHz: math.Max(lowestHz, lowHz)}, len(onsets), nil, func(w *worker, i int) {
		s := Sounding{From: onsets[i], To: len(x), Name: -1}
		if i+1 < len(onsets) {
			s.To = onsets[i+1]
		}
		s.From, s.To = between(x, rateHz, s.From, s.To)
		s.PitchHz, _ = w.pitchOf(x[s.From:s.To])
		all[i] = s
	})
}

// Pitches are those of sounds.
func Pitches(all []Sounding) []float64 {
	hz := make([]float64, len(all))
	for i, s := range all {
		hz[i] = s.PitchHz
	}
	return hz
}

// Measure listens to each sound that has a name; one without a series of partials loses
// it. tell and error as Through's.
func Measure(ctx context.Context, x []float64, rateHz float64, all []Sounding, tell func(done, of int)) error {
	noise := Noise(x, rateHz)
	return each(ctx, worker{rateHz: rateHz, lowHz: lowestHz}, len(all), tell, func(w *worker, i int) {
		s := &all[i]
		if s.Name < 0 {
			return
		}
		var ok bool
		if s.Note, ok = w.listen(x[s.From:s.To], s.PitchHz, noise); !ok {
			s.Name = -1
		}
	})
}

// Silence to the last digit: how long it lasts at least, and how long before it a gate
// may have been closing.
const (
	silenceS = 0.03
	closingS = 0.1
	clickS   = 0.1 // a sound that lasts no longer is a click
)

// between is where a sound begins and ends that silence to the last digit cuts: after one
// that comes at once, as behind a click, and before one that comes later.
func between(x []float64, rateHz float64, from, to int) (int, int) {
	run, long := 0, int(silenceS*rateHz)
	for i := from + 1; i < to; i++ {
		if x[i] == x[i-1] {
			run++
			continue
		}
		switch {
		case run <= long:
		case i-run-from < int(clickS*rateHz):
			from = i
		default:
			return from, max(from+1, i-run-int(closingS*rateHz))
		}
		run = 0
	}
	if run > long {
		to = max(from+1, to-run-int(closingS*rateHz))
	}
	return from, to
}

// each does so many things on all processors, each by one worker.
func each(ctx context.Context, like worker, count int, tell func(done, of int), do func(w *worker, i int)) error {
	free := make(chan *worker, runtime.GOMAXPROCS(0))
	for range cap(free) {
		free <- like.another()
	}
	return play.Each(ctx, count, tell, func(i int) error {
		w := <-free
		do(w, i)
		free <- w
		return nil
	})
}
