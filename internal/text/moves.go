package text

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/findings"
)

// Move says what a hand does in one move.
func Move(m findings.Move) string {
	if m.Tool == findings.File {
		first, last := m.Until[0], m.Until[len(m.Until)-1]
		if len(m.Until) == 1 {
			return fmt.Sprintf("File fret %d alone in lane %g, to a flat %.2f mm wide", m.FromFret, first.Lane, first.FlatMM)
		}
		if first.FlatMM == last.FlatMM {
			return fmt.Sprintf("File fret %d alone, lanes %g to %g, to a flat %.2f mm wide all along", m.FromFret, first.Lane, last.Lane, first.FlatMM)
		}
		return fmt.Sprintf("File fret %d alone, lanes %g to %g, to a flat %.2f mm wide at lane %g and %.2f mm at lane %g, evenly in between",
			m.FromFret, first.Lane, last.Lane, first.FlatMM, first.Lane, last.FlatMM, last.Lane)
	}
	beam := "Beam"
	if m.LengthMM > 0 {
		beam = fmt.Sprintf("Beam of %.4g mm", m.LengthMM)
	}
	return fmt.Sprintf("%s over frets %d-%d, %s; press over fret %d at first", beam, m.FromFret, m.ToFret, lanesShort(m.Lanes), m.PressAtFret)
}

// MoveEnds says when a beam's run is done, and what must stay as it is; "" of other
// tools, which say it themselves.
func MoveEnds(m findings.Move) string {
	if m.Tool == findings.File {
		return ""
	}
	var frets []int
	for _, u := range m.Until {
		frets = append(frets, u.Fret)
	}
	slices.Sort(frets)
	var tells []string
	for _, f := range slices.Compact(frets) {
		tells = append(tells, tell(m.Until, f))
	}
	words := "Lane by lane, until these flats show: " + strings.Join(tells, "; ") + "."
	switch len(m.KeepInk) {
	case 0:
	case 1:
		words += fmt.Sprintf(" Fret %d keeps its ink.", m.KeepInk[0])
	default:
		words += fmt.Sprintf(" Frets %s keep their ink.", runs(m.KeepInk))
	}
	if len(m.Rests) == 2 {
		words += fmt.Sprintf(" Rest the neck at frets %d and %d, or on one long support.", m.Rests[0], m.Rests[1])
	}
	return words
}

// tell gives the flats of one fret, lanes of one width together.
func tell(until []findings.MoveFlat, fret int) string {
	var widths []string
	lanes := map[string][]float64{}
	for _, u := range until {
		if u.Fret != fret {
			continue
		}
		w := fmt.Sprintf("%.2f mm", u.FlatMM)
		if lanes[w] == nil {
			widths = append(widths, w)
		}
		lanes[w] = append(lanes[w], u.Lane)
	}
	for i, w := range widths {
		widths[i] = w + " in " + lanesShort(lanes[w])
	}
	return fmt.Sprintf("fret %d %s", fret, strings.Join(widths, ", "))
}

// lanesShort names lanes that follow each other by the first and the last.
func lanesShort(lanes []float64) string {
	if n := len(lanes); n > 2 && lanes[n-1]-lanes[0] == float64(n-1) {
		return fmt.Sprintf("lanes %g-%g", lanes[0], lanes[n-1])
	}
	return laneList(lanes)
}

// BeamCare is how a beam is rubbed.
const BeamCare = "Ink the crowns first. Look every three double strokes, and move the hands towards the flat that lags. Rest the neck under the place you work on, and turn the beam end for end each pass."

// What stands on a card of moves.

// MovesAbout says what the card shows.
func MovesAbout(neck string) string {
	return "How to level " + neck + ", move by move, with the flats that end each move at true size."
}

// FlatPlace names the crown that shows a flat, in two lines.
func FlatPlace(u findings.MoveFlat) [2]string {
	return [2]string{fmt.Sprintf("fret %d", u.Fret), fmt.Sprintf("lane %g", u.Lane)}
}

// FlatWidth is a flat's width.
func FlatWidth(mm float64) string { return fmt.Sprintf("%.2f mm", mm) }

// MovesBar says how long the bar is that checks the print.
func MovesBar(length string) string { return "Printed at full size, this bar is " + length }

// MovesFlats explains the flats on the card.
func MovesFlats(inches bool) string {
	below := "widths in steps of 0.05 mm, numbered in mm"
	if inches {
		below = "widths in steps of 2 thou, numbered in thou"
	}
	return "Black strips are flats at true size on the wire. Hold the card beside the crown. Below: " + below + "."
}

// CardOf says above a card what it is for.
func CardOf(f findings.Filing, limitMM float64) string {
	return Planned(f, limitMM) + "."
}

// Headings of a card, and its step after any press.
const (
	CardFirst   = "First"
	CardThen    = "Then file"
	CardNothing = "File nothing yet"
	CardReadAll = "When it has set, read all again. Where the new card differs, go by the new one."
)

// CardFret is a fret to press, seat or replace, as a card's step: why and how in brief.
func CardFret(fret int, brief string) string { return fmt.Sprintf("Fret %d, %s.", fret, brief) }

// CardReadAgain is a reading that was set aside, as a card's step.
func CardReadAgain(fret int, lane, isMM, expectedMM float64) string {
	return fmt.Sprintf("Read fret %d, lane %g again: %.3f mm was read, %.3f mm expected.", fret, lane, isMM, expectedMM)
}

// CardOpen are crowns that no reading determines, as a card's step.
func CardOpen(crowns int) string {
	return "Read what is missing: " + Count(crowns, "crown") + " not determined."
}
