package answer

import (
	"context"
	"errors"
	"fmt"

	"ringtrue/internal/play"
	"ringtrue/internal/sound"
)

// SoundRequest is what `play --wav` is asked: a neck as for Play (its Bend is
// not heard), one note, and where it is listened to.
type SoundRequest struct {
	PlayRequest
	Note     play.NoteChoice
	Seconds  float64 // of each note; 0: as usual
	PickupMM float64 // from the saddle; 0: the force on the saddle
}

// SoundAnswer is what `play --wav` says of the file it writes.
type SoundAnswer struct {
	Neck         string          `json:"neck"`
	Touch        string          `json:"touch"`
	Heard        string          `json:"heard"` // in words: the force on the saddle, or the speed at a pickup
	SampleHz     int             `json:"sample_hz"`
	Bits         int             `json:"bits"`
	Channels     int             `json:"channels"`
	LengthS      float64         `json:"length_s"`
	TurnedDownDB float64         `json:"turned_down_db"` // 0: every note stands at its own full scale
	AllNotes     bool            `json:"all_notes"`
	Notes        []sound.Heard   `json:"notes"` // in the order they are heard
	NotJudged    []play.Unjudged `json:"not_judged"`
	Warnings     []string        `json:"warnings"`
}

// Sound is one note as a WAV file, mono: as read, or with Planned as the
// levelling plan leaves it. The scale hangs on string, stop and touch alone, so
// that a note before and after may be compared by ear. Faults as Play's; a note
// that is not the neck's, a pickup beyond the stop, a length that makes no sense.
func Sound(ctx context.Context, r SoundRequest) (*SoundAnswer, []byte, error) {
	l, warnings, err := r.listen(ctx, r.Note)
	if err != nil {
		return nil, nil, err
	}
	heard, note, err := l.Note(ctx, r.Note.Fret)
	if err != nil {
		return nil, nil, err
	}
	return wav(l, warnings, []sound.Heard{note}, heard)
}

// SoundCompare is one note as read and as planned, one after the other in one
// mono file, released alike and at one scale.
func SoundCompare(ctx context.Context, r SoundRequest) (*SoundAnswer, []byte, error) {
	if !r.Read {
		return nil, nil, errors.New("a comparison of before and after needs readings to plan from")
	}
	r.Planned = true
	l, warnings, err := r.listen(ctx, r.Note)
	if err != nil {
		return nil, nil, err
	}
	heard, notes, err := l.Compare(ctx, r.Note.Fret)
	if err != nil {
		return nil, nil, err
	}
	return wav(l, warnings, notes, heard)
}

// SoundAll is every note of the neck in turn, in two channels (see sound's
// Listener.All). heard, where given, is told how many notes of how many are done.
func SoundAll(ctx context.Context, r SoundRequest, heard func(done, of int)) (*SoundAnswer, []byte, error) {
	l, warnings, err := r.listen(ctx, play.NoteChoice{Touch: r.Note.Touch})
	if err != nil {
		return nil, nil, err
	}
	if len(l.Cases) == 0 {
		return nil, nil, fmt.Errorf("no string can be heard: %s", l.Open[0].Why)
	}
	row, notes, err := l.All(ctx, heard)
	if err != nil {
		return nil, nil, err
	}
	a, data, err := wav(l, warnings, notes, row.Left, row.Right)
	if err != nil {
		return nil, nil, err
	}
	a.AllNotes, a.NotJudged = true, l.Open
	return a, data, nil
}

// listen judges the neck under the touch that is heard; the strings, or one of
// them. With Planned, its notes are released as those of the neck as read, so that
// they can be compared.
func (r SoundRequest) listen(ctx context.Context, note play.NoteChoice) (l *sound.Listener, warnings []string, err error) {
	if r.Seconds, err = sound.Seconds(r.Seconds, r.PickupMM, note.String == 0); err != nil {
		return nil, nil, err
	}
	any := note
	if note.String == 0 { // all of them: any note will do to find the touch by
		any.String, any.Fret = 1, r.Capo
	}
	touch, err := any.On(r.PlayRequest)
	if err != nil {
		return nil, nil, err
	}
	r.PlayRequest = r.Under(touch)
	if l, warnings, err = r.listener(ctx, note); err == nil && r.Planned {
		r.Planned = false
		l.Like, _, err = r.listener(ctx, note)
	}
	return l, warnings, err
}

// listener judges the neck in one state; a note's string 0 is all.
func (r SoundRequest) listener(ctx context.Context, note play.NoteChoice) (*sound.Listener, []string, error) {
	r.Bend = 0
	n, warnings, err := strung(ctx, r.PlayRequest)
	if err != nil {
		return nil, nil, err
	}
	if why, unset := n.Unset(note.String); unset {
		return nil, nil, fmt.Errorf("string %d cannot be heard: %s", note.String, why.Why)
	}
	l, err := sound.Listen(ctx, n, note.String, note.Fret, sound.Place{FromSaddleMM: r.PickupMM}, r.Seconds)
	return l, warnings, err
}

// wav puts channels into a WAV file. Were it to clip, all of it would be turned
// down, and the answer says by how much.
func wav(l *sound.Listener, warnings []string, notes []sound.Heard, channels ...[]float64) (*SoundAnswer, []byte, error) {
	a := &SoundAnswer{Neck: l.Model.Name, Touch: l.Model.Setup.JudgeBy, Heard: l.Place.String(), SampleHz: sound.RateHz, Bits: sound.Bits,
		Channels: len(channels), LengthS: float64(len(channels[0])) / sound.RateHz, TurnedDownDB: sound.TurnDown(channels...), Notes: notes,
		NotJudged: []play.Unjudged{}, Warnings: warnings}
	data, err := sound.WAV(channels...)
	return a, data, err
}
