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
	onsets := Find(x, rateHz)
	all := make([]Sounding, len(onsets))
	pitches := make([]float64, len(onsets))
	low := lowestHz
	if len(wanted) > 0 {
		low = math.Max(low, slices.Min(wanted))
	}
	err := each(ctx, worker{rateHz: rateHz, lowHz: low}, len(onsets), nil, func(w *worker, i int) {
		all[i] = Sounding{From: onsets[i], To: len(x), Name: -1}
		if i+1 < len(onsets) {
			all[i].To = onsets[i+1]
		}
		if hz, ok := w.pitchOf(x[all[i].From:all[i].To]); ok {
			all[i].PitchHz, pitches[i] = hz, hz
		}
	})
	if err != nil {
		return nil, err
	}
	names, noise := Name(pitches, wanted, false), Noise(x, rateHz)
	return all, each(ctx, worker{rateHz: rateHz, lowHz: low}, len(all), tell, func(w *worker, i int) {
		s := &all[i]
		if names[i] < 0 {
			return
		}
		if n, ok := w.listen(x[s.From:s.To], s.PitchHz, noise); ok {
			s.Note, s.Name = n, names[i]
		}
	})
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
