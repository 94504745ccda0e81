package film

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/play"
)

// Scene is what is filmed: a string released from rest over the crowns beyond
// its stop.
type Scene struct {
	play.Released
	Note     play.Note // what is said of it
	Way      play.Way
	PluckMM  float64 // where it is plucked, from the stop
	WatchedS float64 // how long contacts are looked for
}

// SceneOf is the note of a case at a fret under its first touch, released the way
// that is worse for it. Errors: the crown at the fret is not known; the note
// chokes, since a string at rest on a fret does not swing; those of play.JudgeOne.
func SceneOf(ctx context.Context, c play.Case, fret int) (Scene, error) {
	number := c.Lane.String
	one, i, err := play.JudgeOne(ctx, c, fret)
	if errors.Is(err, play.ErrNoCrown) {
		return Scene{}, fmt.Errorf("string %d at fret %d cannot be seen: the crown there is not known", number, fret)
	}
	if err != nil {
		return Scene{}, err
	}
	s := Scene{Note: one.Notes[i][0], Way: play.Away, WatchedS: play.WindowS}
	if s.Note.Verdict == play.Chokes {
		return s, fmt.Errorf("string %d at fret %d chokes: at rest it lies on fret %d; raise the action or level that fret",
			number, fret, *s.Note.NearestFret)
	}
	if s.Note.Contact != nil {
		s.Way = s.Note.Contact.Release
	}
	pluck, err := play.PluckOf(c.Touches[0], c.String.TensionN, one.Stops[i].LengthMM)
	if err == nil {
		s.PluckMM = pluck.AtMM
		s.Released, err = c.Release(one, i, pluck, s.Way)
	}
	if err != nil {
		return s, fmt.Errorf("string %d at fret %d: %w", number, fret, err)
	}
	return s, nil
}

// Recording is one pluck followed. Heights are over the string's rest line from
// stop to saddle, places from the stop.
type Recording struct {
	PluckMM  float64   `json:"pluck_mm"`
	LengthMM float64   `json:"length_mm"`
	PeriodMS float64   `json:"period_ms"` // the free period 2L/c of the ideal string
	WindowMS float64   `json:"window_ms"` // how long contacts were looked for
	Crowns   []Crown   `json:"crowns"`
	Contacts []Contact `json:"contacts"` // those of one crown under 0.1 ms apart are one
	PlaceMM  []float64 `json:"place_mm"` // the crowns' own and the pluck's among them
	Strip    []Moment  `json:"strip"`    // few, each with its reason, in order
	Film     []Moment  `json:"-"`        // evenly through the film
	stepS    float64
	periodS  float64
}

// Crown is a crown beyond the stop.
type Crown struct {
	Fret     int     `json:"fret"`
	PlaceMM  float64 `json:"place_mm"`
	HeightMM float64 `json:"height_mm"` // negative: under the resting string
}

// Contact is one time that the string lies on one crown.
type Contact struct {
	Number     int     `json:"number"` // from 1, in the order they begin
	Fret       int     `json:"fret"`
	FromMS     float64 `json:"from_ms"`
	ToMS       float64 `json:"to_ms"` // the last step with a force
	ImpulseMNS float64 `json:"impulse_mns"`
	crown      int     // its index
	from, to   int     // steps
	impulseNS  float64
}

// Moment is the string at one step of the run.
type Moment struct {
	TimeMS   float64   `json:"time_ms"`
	Why      string    `json:"why"`       // the reason in words, for the catalogue to fill in
	HeightMM []float64 `json:"height_mm"` // at the recording's places
	On       []Touch   `json:"on"`        // the crowns it is lying on
	Reason   Reason    `json:"-"`
	step     int
}

// Touch is a crown under the string and the force it gives in that step.
type Touch struct {
	Fret   int     `json:"fret"`
	ForceN float64 `json:"force_n"`
	crown  int
}

// Sizes of a recording.
const (
	filmPeriods = 3   // how much is filmed, in free periods
	filmMoments = 150 // about as many of them
	places      = 48  // even places along the string, beside the crowns
	joinedS     = 1e-4
)

// Record follows the pluck: all contacts within the time watched, the film of
// the first three free periods, and the strip of moments worth a look (see
// moments). Two forces of one crown less than 0.1 ms apart are one contact. The
// error is that of ctx. Cost: play's own run, and the bare modes twice through
// the film.
func Record(ctx context.Context, s Scene) (*Recording, error) {
	t := &Recording{PluckMM: s.PluckMM, LengthMM: s.Barrier.Span.LengthMM, WindowMS: 1e3 * s.WatchedS, Crowns: []Crown{}, Contacts: []Contact{},
		PlaceMM: placesOf(s), stepS: s.Barrier.StepS, periodS: s.Barrier.Span.PeriodS()}
	t.PeriodMS = 1e3 * t.periodS
	for j, f := range s.Frets {
		t.Crowns = append(t.Crowns, Crown{f, s.XMM[j], s.FloorMM[j]})
	}
	forces, _, err := s.Barrier.SimulateForces(ctx, s.StartMM, s.FloorMM, int(math.Round(s.WatchedS/t.stepS)))
	if err != nil {
		return nil, err
	}
	t.contacts(s, forces)
	if t.Strip, err = t.moments(ctx, s, forces); err != nil {
		return nil, err
	}
	want := map[int]*Moment{}
	last := t.lastStep()
	end := last
	for i := range t.Strip {
		want[t.Strip[i].step] = &t.Strip[i]
		end = max(end, t.Strip[i].step)
	}
	every := max(1, last/filmMoments)
	rows := shapes(s.Barrier, t.PlaceMM)
	return t, s.Barrier.Replay(ctx, s.StartMM, forces, end, func(step int, now, _ []float64, on []play.Force) {
		even := step <= last && step%every == 0
		if !even && want[step] == nil {
			return
		}
		m := Moment{step: step, TimeMS: 1e3 * (float64(step) * t.stepS), On: []Touch{}}
		for _, f := range on {
			m.On = append(m.On, Touch{Fret: s.Frets[f.Crown], ForceN: f.N, crown: f.Crown})
		}
		for _, row := range rows {
			m.HeightMM = append(m.HeightMM, floats.Dot(row, now))
		}
		if even {
			t.Film = append(t.Film, m)
		}
		if w := want[step]; w != nil {
			m.Reason = w.Reason
			*w = m
		}
	})
}

// lastStep is the film's last.
func (t *Recording) lastStep() int { return int(math.Ceil(filmPeriods * t.periodS / t.stepS)) }

// placesOf are even places along the string, the crowns' own and the pluck's.
func placesOf(s Scene) []float64 {
	out := append([]float64{s.PluckMM}, s.XMM...)
	for i := range places + 1 {
		out = append(out, s.Barrier.Span.LengthMM*float64(i)/places)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// shapes are the modes' shapes at places: row j holds sin(nπx_j/L).
func shapes(b *play.Barrier, x []float64) [][]float64 {
	rows := make([][]float64, len(x))
	for j := range x {
		rows[j] = make([]float64, len(b.Omega))
		for n := range rows[j] {
			rows[j][n] = math.Sin(float64(n+1) * math.Pi * x[j] / b.Span.LengthMM)
		}
	}
	return rows
}

// contacts gathers the forces into contacts.
func (t *Recording) contacts(s Scene, forces []play.Force) {
	open := make(map[int]int) // the latest contact of each crown
	apart := int(math.Round(joinedS / t.stepS))
	for _, f := range forces {
		i, ok := open[f.Crown]
		if !ok || f.Step-t.Contacts[i].to > apart {
			i = len(t.Contacts)
			open[f.Crown] = i
			t.Contacts = append(t.Contacts, Contact{Number: i + 1, Fret: s.Frets[f.Crown], FromMS: 1e3 * float64(f.Step) * t.stepS, crown: f.Crown, from: f.Step})
		}
		c := &t.Contacts[i]
		c.to, c.ToMS = f.Step, 1e3*float64(f.Step)*t.stepS
		c.impulseNS += f.N * t.stepS
		c.ImpulseMNS = 1e3 * c.impulseNS
	}
}
