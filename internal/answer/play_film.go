package answer

import (
	"context"
	"errors"
	"fmt"

	"ringtrue/internal/film"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// PlayFilmRequest asks to see one pluck.
type PlayFilmRequest struct {
	Play PlayRequest // without a bend
	Note play.NoteChoice
}

// PlayFilmAnswer is one pluck against the frets.
type PlayFilmAnswer struct {
	Neck       string       `json:"neck"`
	State      play.State   `json:"state"`
	String     int          `json:"string"`
	Pitch      string       `json:"pitch"` // of the open string
	Fret       int          `json:"fret"`
	Touch      string       `json:"touch"`
	Verdict    play.Verdict `json:"verdict"`
	Release    play.Way     `json:"release"`
	TriangleMM float64      `json:"triangle_mm"`
	film.Recording
}

// PlayFilm follows one pluck, released the way that is worse for the note, as
// its verdict is. Faults as Play's; a note that is not the neck's; one that
// chokes, since a string at rest on a fret does not swing.
func PlayFilm(ctx context.Context, r PlayFilmRequest) (*PlayFilmAnswer, error) {
	if r.Play.Bend != 0 {
		return nil, errors.New("a bent note cannot be seen")
	}
	touch, err := r.Note.On(r.Play)
	if err != nil {
		return nil, err
	}
	n, _, err := strung(ctx, r.Play.Under(touch))
	if err != nil {
		return nil, err
	}
	if why, unset := n.Unset(r.Note.String); unset {
		return nil, fmt.Errorf("string %d cannot be seen: %s", r.Note.String, why.Why)
	}
	s, err := film.SceneOf(ctx, n.Cases[n.CaseOf(r.Note.String)], r.Note.Fret)
	if err != nil {
		return nil, err
	}
	recording, err := film.Record(ctx, s)
	if err != nil {
		return nil, err
	}
	for i, m := range recording.Strip {
		recording.Strip[i].Why = text.FilmReason(m.Reason)
	}
	return &PlayFilmAnswer{Neck: n.Model.Name, State: n.State(), String: r.Note.String, Pitch: n.From(r.Note.String).Pitch, Fret: r.Note.Fret, Touch: touch,
		Verdict: s.Note.Verdict, Release: s.Way, TriangleMM: s.HeightMM, Recording: *recording}, nil
}
