package answer

import (
	"context"
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/sound"
)

// Lengths of notes in s: of one note, of one among all, and their limits.
const (
	NoteSeconds     = 3.0
	AllNotesSeconds = 0.4
	leastSeconds    = 0.1
	mostSeconds     = 30.0
	mostAllSeconds  = 1.5
)

// pauseS is the silence between a note before and after.
const pauseS = 0.5

// SoundRequest is what `play --wav` is asked: a neck as for Play (its Bend is
// not heard), one note, and where it is listened to.
type SoundRequest struct {
	PlayRequest
	Note     NoteChoice
	Seconds  float64 // of each note; 0: NoteSeconds, or AllNotesSeconds
	PickupMM float64 // from the saddle; 0: the force on the saddle
}

// listener is a neck in one state, its strings judged under the one touch that
// is heard.
type listener struct {
	*player
	touch neck.Touch
	place sound.Place
}

// Sound is one note as a WAV file, mono: as read, or with Planned as the
// levelling plan leaves it. The scale hangs on string, stop and touch alone, so
// that a note before and after may be compared by ear. Faults as Play's; a note
// that is not the neck's, a pickup beyond the stop, a length that makes no sense.
func Sound(ctx context.Context, r SoundRequest) (*SoundAnswer, []byte, error) {
	l, like, err := r.listen(ctx, r.Note.String)
	if err != nil {
		return nil, nil, err
	}
	heard, note, err := l.only(ctx, r, like)
	if err != nil {
		return nil, nil, err
	}
	return l.file([]SoundNote{note}, heard)
}

// SoundCompare is one note as read and as planned, one after the other in one
// mono file, released alike and at one scale.
func SoundCompare(ctx context.Context, r SoundRequest) (*SoundAnswer, []byte, error) {
	if !r.Read {
		return nil, nil, fmt.Errorf("a comparison of before and after needs readings to plan from")
	}
	r.Planned = true
	after, before, err := r.listen(ctx, r.Note.String)
	if err != nil {
		return nil, nil, err
	}
	first, a, err := before.only(ctx, r, nil)
	if err != nil {
		return nil, nil, err
	}
	second, b, err := after.only(ctx, r, before)
	if err != nil {
		return nil, nil, err
	}
	all := append(append(first, make([]float64, int(pauseS*sound.RateHz))...), second...)
	b.TimeS = a.SecondsS + pauseS
	return after.file([]SoundNote{a, b}, all)
}

// listen judges the neck under the touch that is heard; the strings, or one of
// them. With Planned, like is the neck as read, whose release the planned one's
// notes take so that they can be compared; else it is nil.
func (r *SoundRequest) listen(ctx context.Context, number int) (l, like *listener, err error) {
	if err := r.checkSeconds(number == 0); err != nil {
		return nil, nil, err
	}
	choice := r.Note
	if number == 0 { // all of them: any note will do to find the touch by
		choice.String, choice.Fret = 1, r.Capo
	}
	t, err := choice.On(r.Model, r.Layout, r.Capo)
	if err != nil {
		return nil, nil, err
	}
	if l, err = r.listener(ctx, r.Planned, t, number); err == nil && r.Planned {
		like, err = r.listener(ctx, false, t, number)
	}
	return l, like, err
}

func (r *SoundRequest) checkSeconds(all bool) error {
	most, usual := mostSeconds, NoteSeconds
	if all {
		most, usual = mostAllSeconds, AllNotesSeconds
	}
	if r.Seconds == 0 {
		r.Seconds = usual
	}
	if !(r.Seconds >= leastSeconds && r.Seconds <= most) {
		return fmt.Errorf("a note of %g s; it may last %g to %g s", r.Seconds, leastSeconds, most)
	}
	if !(r.PickupMM >= 0) || math.IsInf(r.PickupMM, 0) {
		return fmt.Errorf("a pickup %g mm from the saddle", r.PickupMM)
	}
	return nil
}

// listener judges the neck in one state; number picks a string, 0 is all.
func (r *SoundRequest) listener(ctx context.Context, planned bool, touch, number int) (*listener, error) {
	q := r.PlayRequest
	t := q.Model.Setup.Touch[touch]
	q.Planned, q.Bend = planned, 0
	q.Model.Setup.Touch, q.Model.Setup.JudgeBy = []neck.Touch{t}, t.Name
	p, err := newPlayer(ctx, q)
	if err != nil {
		return nil, err
	}
	l := &listener{player: p, touch: t, place: sound.Place{FromSaddleMM: r.PickupMM}}
	if number > 0 {
		var kept []play.Case
		for _, c := range p.cases {
			if c.Lane.String == number {
				kept = append(kept, c)
			}
		}
		if len(kept) == 0 {
			return nil, fmt.Errorf("string %d cannot be heard: %s", number, p.lanes[number-1].why)
		}
		p.cases = kept
	}
	if err := l.checkPlace(r.Note.Fret, number == 0); err != nil {
		return nil, err
	}
	if number > 0 {
		one, err := play.JudgeOne(ctx, p.cases[0], r.Note.Fret)
		if errors.Is(err, play.ErrNoCrown) {
			return nil, fmt.Errorf("string %d at fret %d cannot be heard: the crown there is not known", number, r.Note.Fret)
		}
		p.judged = []play.Judged{one}
		return l, err
	}
	p.judged, err = play.Judge(ctx, p.cases)
	return l, err
}

// checkPlace refuses a pickup that stands beyond a stop that is heard: the one at
// a fret, or any.
func (l *listener) checkPlace(fret int, all bool) error {
	for _, c := range l.cases {
		rest, err := c.Lane.Rest(c.Setup)
		if err != nil {
			return fmt.Errorf("string %d: %w", c.Lane.String, err)
		}
		for _, s := range c.Lane.Stops(c.Setup, rest) {
			if !all && s.Fret != fret {
				continue
			}
			if err := l.place.On(s.LengthMM); err != nil {
				return fmt.Errorf("string %d at fret %d: %w", c.Lane.String, s.Fret, err)
			}
		}
	}
	return nil
}

// only is the one note asked for, from a listener of its string alone.
func (l *listener) only(ctx context.Context, r SoundRequest, like *listener) ([]float64, SoundNote, error) {
	i := l.stopAt(0, r.Note.Fret)
	return l.hear(ctx, 0, i, l.toward(0, i, like), r.Seconds)
}

// stopAt is the index of the stop at a fret of case k, −1 where there is none.
func (l *listener) stopAt(k, fret int) int {
	for i, s := range l.judged[k].Stops {
		if s.Fret == fret {
			return i
		}
	}
	return -1
}

// toward reports whether a note is released towards the board: the way that is
// worse for it, or for the same note of the neck it is compared with; away where
// nothing is met.
func (l *listener) toward(k, i int, like *listener) bool {
	if like != nil {
		for m, c := range like.cases {
			if c.Lane.String != l.cases[k].Lane.String {
				continue
			}
			if j := like.stopAt(m, l.judged[k].Stops[i].Fret); j >= 0 {
				if x := like.judged[m].Notes[j][0].Contact; x != nil {
					return x.Toward
				}
			}
		}
	}
	x := l.judged[k].Notes[i][0].Contact
	return x != nil && x.Toward
}

// hear is stop i of case k as a sound, 1 being full scale, and what is said of
// it. A note that chokes is silent: at rest the string lies on a fret.
func (l *listener) hear(ctx context.Context, k, i int, toward bool, seconds float64) ([]float64, SoundNote, error) {
	c, j := l.cases[k], l.judged[k]
	stop := j.Stops[i]
	fail := func(err error) ([]float64, SoundNote, error) {
		return nil, SoundNote{}, fmt.Errorf("string %d at fret %d: %w", c.Lane.String, stop.Fret, err)
	}
	pluck, err := play.PluckOf(l.touch, c.String.TensionN, stop.LengthMM)
	if err != nil {
		return fail(err)
	}
	full := l.place.FullScale(c.Span(stop), pluck)
	note := l.soundNote(k, i, seconds, full)
	if j.Notes[i][0].Verdict == play.Chokes {
		return make([]float64, int(math.Round(seconds*sound.RateHz))), note, nil
	}
	r, err := c.Release(j, i, pluck, toward)
	if err != nil {
		return fail(err)
	}
	note.TriangleMM, note.Release = r.HeightMM, releaseWord(toward)
	heard, err := sound.Note(ctx, r.Bed, r.StartMM, r.FloorMM, l.place, seconds)
	if err != nil {
		return nil, SoundNote{}, err
	}
	for n := range heard {
		heard[n] /= full
	}
	note.PeakDB = num.Some(20 * math.Log10(peak(heard)))
	return heard, note, nil
}

func peak(s []float64) (most float64) {
	for _, v := range s {
		most = math.Max(most, math.Abs(v))
	}
	return most
}
