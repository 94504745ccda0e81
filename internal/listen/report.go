package listen

import (
	"context"
	"slices"

	"ringtrue/internal/heard"
	"ringtrue/internal/num"
	"ringtrue/internal/recording"
)

// Note is one note heard.
type Note struct {
	String int     `json:"string"`
	Fret   int     `json:"fret"`
	AtS    float64 `json:"at_s"`
	Cents  float64 `json:"cents"` // off equal temperament
	heard.Note
	DiesEarly  bool    `json:"dies_early"`
	RingShare  num.Opt `json:"ring_share"` // of its neighbours' median
	LengthMM   float64 `json:"length_mm"`  // of the sounding string
	soundedFor float64
}

// Missing is a note wanted that was not heard.
type Missing struct {
	String int `json:"string"`
	Fret   int `json:"fret"`
}

// Unnamed is a sound that is none of the notes wanted.
type Unnamed struct {
	AtS float64 `json:"at_s"`
}

// Report is what a recording tells of a neck.
type Report struct {
	Neck     string           `json:"neck"`
	A4Hz     float64          `json:"a4_hz"`
	LengthS  float64          `json:"length_s"`
	SampleHz float64          `json:"sample_hz"`
	Fits     bool             `json:"fits"`                    // the sounds are this neck's notes in this order
	Reversed bool             `json:"fits_reversed,omitempty"` // or in that of the strings reversed
	Expected int              `json:"expected"`
	Heard    int              `json:"heard"` // of these
	Notes    []Note           `json:"notes"`
	Missing  []Missing        `json:"missing"`
	Unnamed  []Unnamed        `json:"unnamed"`
	Strings  []String         `json:"strings"` // in the order played
	Flaws    []recording.Flaw `json:"flaws"`
	order    []int            // of strings, that it may fit
}

// Order is the order of strings that the sounds do fit, where they fit it reversed.
func (out *Report) Order() []int { return out.order }

// When sounds are taken for this neck's notes in order.
const (
	namedShare = 0.6 // of the sounds with a pitch
	spanShare  = 0.4 // of the notes from the first named to the last
	fewNotes   = 3   // fewer than these name nothing
)

// Of listens to a neck. Errors: a request that this neck cannot meet, and that of ctx.
func Of(ctx context.Context, r Request, s recording.Sound, flaws []recording.Flaw, tell func(done, of int)) (*Report, error) {
	all, err := r.stops()
	if err != nil {
		return nil, err
	}
	out := &Report{Neck: r.Model.Name, A4Hz: r.A4Hz, LengthS: s.Seconds(), SampleHz: s.RateHz, Expected: len(all), Notes: []Note{}, Missing: []Missing{},
		Unnamed: []Unnamed{}, Strings: []String{}, Flaws: append([]recording.Flaw{}, flaws...)}
	sounds, err := heard.Sounds(ctx, s.Samples, s.RateHz, lowest(all))
	if err != nil {
		return nil, err
	}
	pitches := heard.Pitches(sounds)
	by := tunings(all, r.Strings, pitches)
	names := heard.Name(pitches, pitchesOf(all, by), false)
	out.turned(r, pitches, heard.Cost(pitches, pitchesOf(all, by)))
	if out.Fits = !out.Reversed && fits(pitches, names); out.Fits {
		for i, name := range names {
			sounds[i].Name = name
		}
		if err := heard.Measure(ctx, s.Samples, s.RateHz, sounds, tell); err != nil {
			return nil, err
		}
	}
	out.gather(all, sounds, s.RateHz)
	if !out.Fits {
		return out, nil
	}
	diesEarly(out.Notes)
	return out, out.strings(r, by)
}

// turned finds out whether the sounds fit the strings' order reversed much better than at
// a cost.
func (out *Report) turned(r Request, pitches []float64, cost float64) {
	r.Strings = slices.Clone(r.Strings)
	slices.Reverse(r.Strings)
	all, err := r.stops()
	if err != nil || len(r.Strings) < 2 {
		return
	}
	wanted := pitchesOf(all, nil)
	if heard.Cost(pitches, wanted) < cost-2*clearlyBetter && fits(pitches, heard.Name(pitches, wanted, false)) {
		out.Reversed, out.order = true, r.Strings
	}
}

// fits says whether enough of the sounds have a name, and not here and there by chance.
func fits(pitches []float64, names []int) bool {
	pitched, named, first, last := 0, 0, -1, -1
	for i, name := range names {
		if pitches[i] > 0 {
			pitched++
		}
		if name >= 0 {
			if named++; first < 0 {
				first = name
			}
			last = name
		}
	}
	return named >= fewNotes && float64(named) >= namedShare*float64(pitched) && float64(named) >= spanShare*float64(last-first+1)
}

// gather sorts sounds into notes, missing ones and those without a name.
func (out *Report) gather(all []stop, sounds []heard.Sounding, rateHz float64) {
	got := make([]bool, len(all))
	for _, s := range sounds {
		at := float64(s.From) / rateHz
		if s.Name < 0 {
			out.Unnamed = append(out.Unnamed, Unnamed{at})
			continue
		}
		w := all[s.Name]
		if !got[s.Name] {
			out.Heard++
		}
		got[s.Name] = true
		out.Notes = append(out.Notes, Note{String: w.String, Fret: w.Fret, AtS: at, Cents: cents(s.Note.Hz, w.Hz), Note: s.Note,
			soundedFor: float64(s.To-s.From) / rateHz})
	}
	for i, w := range all {
		if !got[i] {
			out.Missing = append(out.Missing, Missing{w.String, w.Fret})
		}
	}
}
