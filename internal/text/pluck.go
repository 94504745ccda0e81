package text

import (
	"fmt"
	"ringtrue/internal/film"
	"ringtrue/internal/play"
	"ringtrue/internal/sound"
	"ringtrue/internal/unit"
)

// FilmReason says what makes a moment of a pluck worth a look.
func FilmReason(r film.Reason) string {
	switch r.Kind {
	case film.Release:
		return "released"
	case film.FirstContact:
		return fmt.Sprintf("first contact, on fret %d", r.Fret)
	case film.LowestOver:
		return fmt.Sprintf("lowest over fret %d, period %d", r.Fret, r.Period)
	case film.LowestWhere:
		return fmt.Sprintf("lowest where plucked, period %d", r.Period)
	case film.HighestWhere:
		return fmt.Sprintf("highest where plucked, period %d", r.Period)
	}
	return ""
}

// Way says which way a string is released.
func Way(w play.Way) string {
	if w == play.Towards {
		return "towards"
	}
	return "away from"
}

// Heard says what a note that is heard meets.
func Heard(n sound.Heard) string {
	switch {
	case n.Verdict == play.Chokes:
		return "chokes, and is silent: at rest the string lies on a fret beyond"
	case n.Contact != nil:
		return fmt.Sprintf("%s on fret %s, first after %.1f ms; released %s the board", n.Verdict, unit.Spans(n.Contact.Frets), n.Contact.FirstMS, Way(n.Release))
	}
	return string(n.Verdict)
}

// WhereHeard says where the notes of a whole neck come from.
const WhereHeard = "Clear notes come from the middle. The others come from the right, after ticks: one where it grazes, two where it buzzes, three where it chokes and is silent."

// FullScale says how loud is how much in a file of one note, before or after, or
// of all.
func FullScale(n sound.Heard, all bool) string {
	lead := "Full scale is four times each note's own touch, whatever the crowns: all notes are about equally loud, and you can compare files before and after."
	if !all {
		full := fmt.Sprintf("%.2g m/s at the pickup", n.FullScaleMM.OrNaN()/1000)
		if newtons, known := n.FullScaleN.Get(); known {
			full = fmt.Sprintf("%.2g N on the saddle", newtons)
		}
		lead = "Full scale is " + full + ", four times the touch, whatever the crowns: you can compare this note before and after by ear."
	}
	return lead + " No body, room or amplifier is added, and the pluck is a sharp corner: brighter than a finger."
}

// TurnedDown warns that a file is turned down.
func TurnedDown(dB float64) string {
	return fmt.Sprintf("its contacts are louder than that, so the whole file is turned down by %.1f dB. Turn the other down as much before you compare", dB)
}
