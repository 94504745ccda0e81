package listen

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// Request is a neck and the order it was played in.
type Request struct {
	Model    neck.Model
	Layout   *geometry.Layout
	Strings  []int // in the order played; nil: the last to the first
	From, To int   // each string's first and last fret; To below 0: the neck's last
	A4Hz     float64
}

// stop is one note wanted: a string, a fret and its pitch in equal temperament.
type stop struct {
	String, Fret int
	Hz           float64
}

// stops are the notes wanted in order. Errors: strings or frets that the neck has not.
func (r *Request) stops() ([]stop, error) {
	count, last := r.Layout.Strings(), r.Layout.LastFret()
	if len(r.Strings) == 0 {
		for n := count; n >= 1; n-- {
			r.Strings = append(r.Strings, n)
		}
	}
	if r.A4Hz == 0 {
		r.A4Hz = stringset.ConcertA
	}
	if r.To < 0 {
		r.To = last
	}
	switch {
	case !(r.A4Hz >= 200 && r.A4Hz <= 900):
		return nil, fmt.Errorf("A4 at %g Hz; it may be 200 to 900 Hz", r.A4Hz)
	case r.From < 0 || r.To > last || r.From > r.To:
		return nil, fmt.Errorf("frets %d to %d; this neck has 0 to %d", r.From, r.To, last)
	}
	var all []stop
	for i, n := range r.Strings {
		if n < 1 || n > count {
			return nil, fmt.Errorf("no string %d; this neck has 1 to %d", n, count)
		}
		if slices.Contains(r.Strings[:i], n) {
			return nil, fmt.Errorf("string %d is named twice", n)
		}
		p, err := stringset.ParsePitch(r.Model.Strings.Set[n-1].Pitch)
		if err != nil {
			return nil, fmt.Errorf("string %d: %w", n, err)
		}
		for f := r.From; f <= r.To; f++ {
			all = append(all, stop{n, f, p.Hz(r.A4Hz) * math.Exp2(float64(f)/float64(r.Model.Scale.Divisions))})
		}
	}
	return all, nil
}

// pitchesOf are the notes' pitches, each string moved by so many semitones.
func pitchesOf(all []stop, by map[int]int) []float64 {
	hz := make([]float64, len(all))
	for i, s := range all {
		hz[i] = s.Hz * math.Exp2(float64(by[s.String])/12)
	}
	return hz
}
