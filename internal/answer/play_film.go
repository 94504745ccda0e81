package answer

import (
	"context"
	"errors"
	"fmt"

	"ringtrue/internal/film"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
)

// PlayFilmRequest asks to see one pluck.
type PlayFilmRequest struct {
	Play PlayRequest // without a bend
	Note NoteChoice
}

// PlayFilmAnswer is one pluck against the frets. Heights are over the string's
// rest line from stop to saddle, places from the stop.
type PlayFilmAnswer struct {
	Neck       string            `json:"neck"`
	State      string            `json:"state"` // "as read", "as planned", "perfect crowns"
	String     int               `json:"string"`
	Pitch      string            `json:"pitch"` // of the open string
	Fret       int               `json:"fret"`
	Touch      string            `json:"touch"`
	Verdict    play.Verdict      `json:"verdict"`
	Release    string            `json:"release"` // "away" from the board or "towards" it
	TriangleMM float64           `json:"triangle_mm"`
	PluckMM    float64           `json:"pluck_mm"`
	LengthMM   float64           `json:"length_mm"`
	PeriodMS   float64           `json:"period_ms"` // 2L/c
	WindowMS   float64           `json:"window_ms"` // how long contacts were looked for
	Crowns     []PlayFilmCrown   `json:"crowns"`
	Contacts   []PlayFilmContact `json:"contacts"` // those of one crown under 0.1 ms apart are one
	PlaceMM    []float64         `json:"place_mm"`
	Strip      []PlayFilmMoment  `json:"strip"`
	Film       []PlayFilmMoment  `json:"-"`
}

// PlayFilmCrown is a crown beyond the stop.
type PlayFilmCrown struct {
	Fret     int     `json:"fret"`
	PlaceMM  float64 `json:"place_mm"`
	HeightMM float64 `json:"height_mm"` // negative: under the resting string
}

// PlayFilmContact is one time that the string lies on one crown.
type PlayFilmContact struct {
	Number     int     `json:"number"`
	Fret       int     `json:"fret"`
	FromMS     float64 `json:"from_ms"`
	ToMS       float64 `json:"to_ms"`
	ImpulseMNS float64 `json:"impulse_mns"`
}

// PlayFilmMoment is the string at one moment.
type PlayFilmMoment struct {
	TimeMS   float64         `json:"time_ms"`
	Why      string          `json:"why"`
	HeightMM []float64       `json:"height_mm"` // at each place
	On       []PlayFilmTouch `json:"on"`        // the crowns it lies on
}

// PlayFilmTouch is a crown under the string and the force it gives.
type PlayFilmTouch struct {
	Fret   int     `json:"fret"`
	ForceN float64 `json:"force_n"`
}

// PlayFilm follows one pluck, released the way that is worse for the note, as
// its verdict is. Faults as Play's; a note that is not the neck's; one that
// chokes, since a string at rest on a fret does not swing.
func PlayFilm(ctx context.Context, r PlayFilmRequest) (*PlayFilmAnswer, error) {
	q := r.Play
	if q.Bend != 0 {
		return nil, fmt.Errorf("a bent note cannot be seen")
	}
	t, err := r.Note.On(q.Model, q.Layout, q.Capo)
	if err != nil {
		return nil, err
	}
	touch := q.Model.Setup.Touch[t]
	q.Model.Setup.Touch, q.Model.Setup.JudgeBy = []neck.Touch{touch}, touch.Name
	p, err := newPlayer(ctx, q)
	if err != nil {
		return nil, err
	}
	c, err := p.caseOf(r.Note.String)
	if err != nil {
		return nil, err
	}
	one, err := play.JudgeOne(ctx, c, r.Note.Fret)
	if errors.Is(err, play.ErrNoCrown) {
		return nil, fmt.Errorf("string %d at fret %d cannot be seen: the crown there is not known", r.Note.String, r.Note.Fret)
	}
	if err != nil {
		return nil, err
	}
	return p.film(ctx, c, one, r.Note.Fret)
}

// caseOf is the case of a string.
func (p *player) caseOf(number int) (play.Case, error) {
	for _, c := range p.cases {
		if c.Lane.String == number {
			return c, nil
		}
	}
	return play.Case{}, fmt.Errorf("string %d cannot be seen: %s", number, p.lanes[number-1].why)
}

// film follows the one note that was judged.
func (p *player) film(ctx context.Context, c play.Case, one play.Judged, fret int) (*PlayFilmAnswer, error) {
	i := 0
	for one.Stops[i].Fret != fret {
		i++
	}
	stop, note := one.Stops[i], one.Notes[i][0]
	if note.Verdict == play.Chokes {
		return nil, fmt.Errorf("string %d at fret %d chokes: at rest it already lies on fret %d, so there is no motion to see; raise the action or level that fret",
			c.Lane.String, fret, note.Margin.Nearest)
	}
	pluck, err := play.PluckOf(c.Touches[0], c.String.TensionN, stop.LengthMM)
	if err != nil {
		return nil, fmt.Errorf("string %d at fret %d: %w", c.Lane.String, fret, err)
	}
	toward := note.Contact != nil && note.Contact.Toward
	released, err := c.Release(one, i, pluck, toward)
	if err != nil {
		return nil, fmt.Errorf("string %d at fret %d: %w", c.Lane.String, fret, err)
	}
	s := film.Scene{Released: released, PluckMM: pluck.AtMM, WatchedS: play.WindowS}
	recording, err := film.Record(ctx, s)
	if err != nil {
		return nil, err
	}
	a := filmAnswer(s, recording)
	a.Neck, a.State, a.String, a.Fret, a.Touch = p.r.Model.Name, p.state(), c.Lane.String, fret, c.Touches[0].Name
	a.Pitch, a.Verdict, a.Release, a.TriangleMM = p.pitchOf(c.Lane.String), note.Verdict, releaseWord(toward), s.HeightMM
	return a, nil
}

// state is what the crowns are.
func (p *player) state() string {
	switch {
	case p.r.Planned:
		return "as planned"
	case !p.r.Read:
		return "perfect crowns"
	}
	return "as read"
}

// pitchOf is the pitch that a string is tuned to.
func (p *player) pitchOf(number int) string {
	if p.r.Set != nil {
		return p.r.Set[number-1].Pitch
	}
	return p.r.Model.Strings.Set[number-1].Pitch
}

// filmAnswer puts a recording into the answer.
func filmAnswer(s film.Scene, t *film.Recording) *PlayFilmAnswer {
	a := &PlayFilmAnswer{PluckMM: s.PluckMM, LengthMM: s.Bed.Span.LengthMM, PeriodMS: 1e3 * t.PeriodS, WindowMS: 1e3 * s.WatchedS,
		PlaceMM: t.PlaceMM, Crowns: []PlayFilmCrown{}, Contacts: []PlayFilmContact{}}
	for j, f := range s.Frets {
		a.Crowns = append(a.Crowns, PlayFilmCrown{Fret: f, PlaceMM: s.XMM[j], HeightMM: s.FloorMM[j]})
	}
	for _, c := range t.Contacts {
		a.Contacts = append(a.Contacts, PlayFilmContact{Number: c.Number, Fret: c.Fret, FromMS: 1e3 * float64(c.FromStep) * t.StepS,
			ToMS: 1e3 * float64(c.ToStep) * t.StepS, ImpulseMNS: 1e3 * c.ImpulseNS})
	}
	moments := func(in []film.Moment) (out []PlayFilmMoment) {
		for _, m := range in {
			n := PlayFilmMoment{TimeMS: 1e3 * m.TimeS, Why: m.Why, HeightMM: m.ZMM, On: []PlayFilmTouch{}}
			for _, on := range m.On {
				n.On = append(n.On, PlayFilmTouch{Fret: on.Fret, ForceN: on.ForceN})
			}
			out = append(out, n)
		}
		return out
	}
	a.Strip, a.Film = moments(t.Strip), moments(t.Film)
	return a
}
