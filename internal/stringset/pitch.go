package stringset

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// ConcertA is the pitch of A4 in Hz that ISO 16:1975 fixes.
const ConcertA = 440.0

// Pitch is a semitone of equal temperament, counted so that A4 is 69 and C4 60.
type Pitch int

// letters holds each letter at its distance above C in semitones.
const letters = "C D EF G A B"

var pitchForm = regexp.MustCompile(`^([A-Ga-g])([#b♯♭]{0,2})(-?[0-9]{1,2})$`)

// Lowest and Highest pitches that a string may have: C0 and C9.
const (
	Lowest  Pitch = 12
	Highest Pitch = 120
)

// ParsePitch reads a pitch name in scientific notation: a letter, sharps or
// flats, and an octave that changes at C. "E4", "F#3", "Bb2".
func ParsePitch(name string) (Pitch, error) {
	m := pitchForm.FindStringSubmatch(strings.TrimSpace(name))
	if m == nil {
		return 0, fmt.Errorf("%q is not a pitch; write a letter A to G, # or b, and an octave, like \"E4\" or \"Bb3\"", name)
	}
	octave, err := strconv.Atoi(m[3])
	if err != nil {
		return 0, fmt.Errorf("%q is not a pitch: %w", name, err)
	}
	p := Pitch(12*(octave+1) + strings.Index(letters, strings.ToUpper(m[1])))
	for _, sign := range m[2] {
		if sign == '#' || sign == '♯' {
			p++
		} else {
			p--
		}
	}
	if p < Lowest || p > Highest {
		return 0, fmt.Errorf("%q lies outside C0 to C9", name)
	}
	return p, nil
}

// Hz is the pitch's frequency in equal temperament, A4 sounding at a4 Hz.
// Source: ISO 16:1975 for 440 Hz.
func (p Pitch) Hz(a4 float64) float64 { return a4 * math.Exp2(float64(p-69)/12) }
