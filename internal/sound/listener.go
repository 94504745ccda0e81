package sound

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Lengths of notes in s: of one note, of one among all, and their limits.
const (
	noteSeconds   = 3.0
	amongSeconds  = 0.4
	minSeconds    = 0.1
	maxSeconds    = 30.0
	maxAllSeconds = 1.5
)

// Heard is one note of a file. Its full scale is a force at the saddle or a speed
// at a pickup.
type Heard struct {
	TimeS       float64       `json:"time_s"` // where it begins
	SecondsS    float64       `json:"length_s"`
	String      int           `json:"string"`
	Pitch       string        `json:"pitch"` // of the open string
	Fret        int           `json:"fret"`
	State       play.State    `json:"state"`
	Verdict     play.Verdict  `json:"verdict"`
	Ticks       int           `json:"ticks,omitempty"` // before it, among all notes
	Release     play.Way      `json:"release,omitempty"`
	TriangleMM  float64       `json:"triangle_mm"`
	FullScaleN  num.Opt       `json:"full_scale_n,omitzero"`
	FullScaleMM num.Opt       `json:"full_scale_mm_per_s,omitzero"`
	PeakDB      num.Opt       `json:"peak_db"` // below full scale; missing for a silent note
	Contact     *play.Contact `json:"contact,omitempty"`
}

// Listener is a neck judged under the one touch that is heard.
type Listener struct {
	*play.Neck
	Place Place
	// Like, where given, is the neck that it is to be compared with: its notes are
	// released as that one's.
	Like    *Listener
	seconds float64
}

// Seconds is how long each note lasts, 0 being as usual. Errors: a length, or a
// pickup, that makes no sense.
func Seconds(asked, pickupMM float64, all bool) (float64, error) {
	most, usual := maxSeconds, noteSeconds
	if all {
		most, usual = maxAllSeconds, amongSeconds
	}
	if asked == 0 {
		asked = usual
	}
	if !(asked >= minSeconds && asked <= most) {
		return 0, fmt.Errorf("a note of %g s; it may last %g to %g s", asked, minSeconds, most)
	}
	if !(pickupMM >= 0) || math.IsInf(pickupMM, 0) {
		return 0, fmt.Errorf("a pickup %g mm from the saddle", pickupMM)
	}
	return asked, nil
}

// Listen judges a prepared neck of one touch: a note of one string, or with string
// number 0 all notes of all strings. The string must be one that can be judged.
// Errors: the place lies beyond a stop that is heard; those of play.Judge.
func Listen(ctx context.Context, n *play.Neck, number, fret int, p Place, seconds float64) (*Listener, error) {
	l := &Listener{Neck: n, Place: p, seconds: seconds}
	if number > 0 {
		k := n.CaseOf(number)
		n.Cases = n.Cases[k : k+1]
	}
	if err := l.checkPlace(fret, number == 0); err != nil {
		return nil, err
	}
	var err error
	if number == 0 {
		n.Judged, err = play.Judge(ctx, n.Cases)
		return l, err
	}
	one, _, err := play.JudgeOne(ctx, n.Cases[0], fret)
	if errors.Is(err, play.ErrNoCrown) {
		err = fmt.Errorf("string %d at fret %d cannot be heard: the crown there is not known", number, fret)
	}
	n.Judged = []play.Judged{one}
	return l, err
}

// checkPlace refuses a pickup that stands beyond a stop that is heard: the one at
// a fret, or any.
func (l *Listener) checkPlace(fret int, all bool) error {
	for _, c := range l.Cases {
		rest, err := c.Lane.Rest(c.Setup)
		if err != nil {
			return fmt.Errorf("string %d: %w", c.Lane.String, err)
		}
		for _, s := range c.Lane.Stops(c.Setup, rest) {
			if !all && s.Fret != fret {
				continue
			}
			if err := l.Place.On(s.LengthMM); err != nil {
				return fmt.Errorf("string %d at fret %d: %w", c.Lane.String, s.Fret, err)
			}
		}
	}
	return nil
}

// Note is the note at a fret of a listener to one string.
func (l *Listener) Note(ctx context.Context, fret int) ([]float64, Heard, error) {
	return l.hear(ctx, 0, l.Judged[0].StopAt(fret))
}

// way is how a note is released: the way that is worse for it, or for the same
// note of the neck it is compared with; away where nothing is met.
func (l *Listener) way(k, i int) play.Way {
	if l.Like != nil {
		if m := l.Like.CaseOf(l.Cases[k].Lane.String); m >= 0 {
			if j := l.Like.Judged[m].StopAt(l.Judged[k].Stops[i].Fret); j >= 0 {
				if x := l.Like.Judged[m].Notes[j][0].Contact; x != nil {
					return x.Release
				}
			}
		}
	}
	if x := l.Judged[k].Notes[i][0].Contact; x != nil {
		return x.Release
	}
	return play.Away
}

// hear is stop i of case k as a sound, 1 being full scale, and what is said of
// it. A note that chokes is silent: at rest the string lies on a fret.
func (l *Listener) hear(ctx context.Context, k, i int) ([]float64, Heard, error) {
	c, j := l.Cases[k], l.Judged[k]
	stop, note, number := j.Stops[i], j.Notes[i][0], c.Lane.String
	fail := func(err error) ([]float64, Heard, error) {
		return nil, Heard{}, fmt.Errorf("string %d at fret %d: %w", number, stop.Fret, err)
	}
	pluck, err := play.PluckOf(c.Touches[0], c.String.TensionN, stop.LengthMM)
	if err != nil {
		return fail(err)
	}
	h := Heard{SecondsS: l.seconds, String: number, Pitch: l.From(number).Pitch, Fret: stop.Fret, State: l.State(), Verdict: note.Verdict, Contact: note.Contact}
	full := l.Place.FullScale(c.Span(stop), pluck)
	if l.Place.FromSaddleMM == 0 {
		h.FullScaleN = num.Some(full)
	} else {
		h.FullScaleMM = num.Some(full)
	}
	if note.Verdict == play.Chokes {
		return make([]float64, int(math.Round(l.seconds*RateHz))), h, nil
	}
	h.Release = l.way(k, i)
	r, err := c.Release(j, i, pluck, h.Release)
	if err != nil {
		return fail(err)
	}
	h.TriangleMM = r.HeightMM
	heard, err := Note(ctx, r.Barrier, r.StartMM, r.FloorMM, l.Place, l.seconds)
	if err != nil {
		return nil, Heard{}, err
	}
	for n := range heard {
		heard[n] /= full
	}
	h.PeakDB = num.Some(20 * math.Log10(peak(heard)))
	return heard, h, nil
}

// peak is the loudest sample.
func peak(s []float64) float64 { return floats.Norm(s, math.Inf(1)) }

// TurnDown turns channels down that would clip, all alike, and says by how many
// dB: 0 where none would.
func TurnDown(channels ...[]float64) float64 {
	most := 0.0
	for _, s := range channels {
		most = max(most, peak(s))
	}
	if most <= 1 {
		return 0
	}
	for _, s := range channels {
		for i := range s {
			s[i] /= most
		}
	}
	return 20 * math.Log10(most)
}
