package heard

import (
	"math"
	"slices"
)

// Of following a player: the sound that is kept, and how old an onset must be before it
// counts.
const (
	keptS    = 8.0
	settledS = 0.32
)

// Follower names notes while they are played, stretch by stretch. A note counts a third
// of a second after it began; what it is may change with those that follow.
type Follower struct {
	w       *worker
	wanted  []float64
	kept    []float64
	dropped int // samples that came before kept
	heard   []Sounding
}

// NewFollower follows notes wanted in order, by their pitches in Hz.
func NewFollower(rateHz float64, wanted []float64) *Follower {
	w := newWorker(rateHz)
	if len(wanted) > 0 {
		w.lowHz = math.Max(w.lowHz, slices.Min(wanted))
	}
	return &Follower{w: w, wanted: slices.Clone(wanted)}
}

// Add listens to the next stretch of sound, of some tenths of a second.
func (f *Follower) Add(x []float64) {
	f.kept = append(f.kept, x...)
	if over := len(f.kept) - f.w.at(keptS); over > 0 {
		f.kept = slices.Delete(f.kept, 0, over)
		f.dropped += over
	}
	end := f.dropped + len(f.kept)
	for _, at := range Find(f.kept, f.w.rateHz) {
		at += f.dropped
		if end-at < f.w.at(settledS) || len(f.heard) > 0 && at-f.heard[len(f.heard)-1].From < f.w.at(apartS) {
			continue
		}
		s := Sounding{From: at, To: end, Name: -1}
		s.PitchHz, _ = f.w.pitchOf(f.kept[at-f.dropped:])
		if n := len(f.heard); n > 0 {
			f.heard[n-1].To = at
		}
		f.heard = append(f.heard, s)
	}
	f.name()
}

func (f *Follower) name() {
	for i, name := range Name(Pitches(f.heard), f.wanted, true) {
		f.heard[i].Name = name
	}
}

// Heard is what was heard until now, without what each note sounds like (see Listen).
func (f *Follower) Heard() []Sounding { return slices.Clone(f.heard) }

// Next is the index of the note to play next: the one after the last named; the number
// of notes at the end.
func (f *Follower) Next() int {
	next := 0
	for _, h := range f.heard {
		next = max(next, h.Name+1)
	}
	return next
}
