package answer

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"ringtrue/internal/play"
	"ringtrue/internal/sound"
)

// Silences of a whole neck's row, in s: before every note, where the ticks
// stand, and before every string.
const (
	beforeNoteS   = 0.2
	beforeStringS = 0.6
)

// ticksOf is how many ticks announce a note.
func ticksOf(verdict play.Verdict) int {
	return map[play.Verdict]int{play.Grazes: 1, play.Buzzes: 2, play.Chokes: 3}[verdict]
}

// SoundAll is every note of the neck in turn, string by string, in two channels:
// clear ones in the middle, all others from the right only, announced by one
// tick (grazes), two (buzzes) or three (chokes, and is silent). Each note stands
// at its own full scale, so that all are about equally loud. heard, where given,
// is told how many notes of how many are done; it is called from one place at a
// time. The answer does not hang on how many processors there are.
func SoundAll(ctx context.Context, r SoundRequest, heard func(done, of int)) (*SoundAnswer, []byte, error) {
	l, like, err := r.listen(ctx, 0)
	if err != nil {
		return nil, nil, err
	}
	if len(l.cases) == 0 {
		return nil, nil, fmt.Errorf("no string can be heard: %s", l.lanes[0].why)
	}
	pieces, err := l.hearAll(ctx, r.Seconds, like, heard)
	if err != nil {
		return nil, nil, err
	}
	var row sound.Row
	var notes []SoundNote
	for i, p := range pieces {
		if i > 0 && p.note.String != pieces[i-1].note.String {
			row.Rest(beforeStringS)
		}
		row.Rest(beforeNoteS)
		p.note.Ticks = ticksOf(p.note.Verdict)
		row.Ticks(p.note.Ticks)
		p.note.TimeS = row.SecondsNow()
		row.Add(p.sound, p.note.Ticks > 0)
		notes = append(notes, p.note)
	}
	a, data, err := l.file(notes, row.Left, row.Right)
	if err != nil {
		return nil, nil, err
	}
	a.AllNotes, a.NotJudged = true, l.answer.NotJudged
	return a, data, nil
}

// soundPiece is one note of the row.
type soundPiece struct {
	k, stop int
	sound   []float64
	note    SoundNote
	err     error
}

// hearAll hears every stop of every case, shared out over the processors.
func (l *listener) hearAll(ctx context.Context, seconds float64, like *listener, heard func(done, of int)) ([]soundPiece, error) {
	var pieces []soundPiece
	for k, j := range l.judged {
		for i := range j.Stops {
			pieces = append(pieces, soundPiece{k: k, stop: i})
		}
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var next atomic.Int64
	var telling sync.Mutex
	done := 0
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(pieces)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(pieces); i = int(next.Add(1)) - 1 {
				p := &pieces[i]
				p.sound, p.note, p.err = l.hear(ctx, p.k, p.stop, l.toward(p.k, p.stop, like), seconds)
				if p.err != nil {
					stop()
					return
				}
				telling.Lock()
				done++
				if heard != nil {
					heard(done, len(pieces))
				}
				telling.Unlock()
			}
		})
	}
	wait.Wait()
	return pieces, firstFault(ctx, pieces)
}

// firstFault is the first fault in the notes' order that is not merely the work
// being called off, else that.
func firstFault(ctx context.Context, pieces []soundPiece) error {
	for _, p := range pieces {
		if p.err != nil && !errors.Is(p.err, context.Canceled) {
			return p.err
		}
	}
	return ctx.Err()
}
