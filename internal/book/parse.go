package book

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// Parsed is what a record's two files hold.
type Parsed struct {
	Model    neck.Model
	Layout   *geometry.Layout
	Readings []reading.Reading
}

// Parse reads a record's two files. Faults are the files' own, as a
// fileerr.List, or an error that names the neck file.
func (f Files) Parse() (Parsed, error) { return f.parse(false) }

// parse is Parse; new files are judged more strictly than those that are in a
// book already.
func (f Files) parse(fresh bool) (p Parsed, err error) {
	if p.Model, err = neck.Parse(f.Neck.Name, f.Neck.Bytes); err != nil {
		return p, err
	}
	if p.Layout, err = geometry.New(p.Model); err != nil {
		return p, fmt.Errorf("%s: %w", f.Neck.Name, err)
	}
	set, err := reading.Parse(f.Readings.Name, bytes.NewReader(f.Readings.Bytes), reading.Bounds{
		FirstFret: p.Layout.FirstFret(), LastFret: p.Layout.LastFret(), Strings: p.Layout.Strings(), New: fresh,
	})
	p.Readings = set.Readings
	return p, err
}

// StatesOf gathers the states of readings, slack, rod set, strung, each once, sorted
// and joined by " + ".
func StatesOf(readings []reading.Reading) string {
	var states []string
	for _, r := range readings {
		if r.State != "" && !slices.Contains(states, r.State) {
			states = append(states, r.State)
		}
	}
	slices.Sort(states)
	return strings.Join(states, " + ")
}

// TakenOn is the latest date of the readings (reading.Day). What is none, such as
// 3/4/2026, is no date here; the file keeps it. In UTC, to the microsecond; zero
// where there is none.
func TakenOn(readings []reading.Reading) (latest time.Time) {
	for _, r := range readings {
		if t, ok := reading.Day(r.Date); ok && t.After(latest) {
			latest = t.UTC().Truncate(time.Microsecond)
		}
	}
	return latest
}

// maxShiftMM is how far the same fret may lie from itself in two neck files.
const maxShiftMM = 0.5

// SameNeck refuses stages whose neck files lay the frets out otherwise, with
// ErrUnlike.
func SameNeck(a, b *Stage) error {
	say := func(what string, x, y any) error {
		return fmt.Errorf("%w: %s (record %d) has %v %s, %s (record %d) %v", ErrUnlike, a.Stage, a.Number, x, what, b.Stage, b.Number, y)
	}
	last, lanes := a.Layout.LastFret(), a.Layout.Strings()
	switch {
	case last != b.Layout.LastFret():
		return say("frets", last, b.Layout.LastFret())
	case lanes != b.Layout.Strings():
		return say("strings", lanes, b.Layout.Strings())
	}
	for _, lane := range []float64{1, float64(lanes)} {
		if x, y := a.Layout.LaneX(last, lane), b.Layout.LaneX(last, lane); math.Abs(x-y) > maxShiftMM {
			return say(fmt.Sprintf("mm from the nut to fret %d", last), math.Round(x*10)/10, math.Round(y*10)/10)
		}
	}
	return nil
}
