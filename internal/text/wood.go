package text

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/neck"
	"ringtrue/internal/wood"
)

// WoodNotes are what an outlook's figures leave out or stretch.
func WoodNotes(m neck.Model, c wood.Case, o wood.Outlook) []string {
	notes := []string{}
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if o.BeyondCoefficients(c) {
		add("coefficients are valid from 6 to 14 %% moisture. Beyond that, widths use total shrinkage")
	}
	if !o.Bows {
		add("%s", noBow(m, c))
	}
	if w := c.Board; len(w.Others) > 0 {
		add("%q may mean several woods or sources. The ranges cover them all", w.Asked)
	}
	if c.Board.Species.FromMemory != "" {
		add("not read in the source, for %s: %s", c.Board.Species.Name, c.Board.Species.FromMemory)
	}
	if o.Proud.High == 0 {
		add("the board doesn't shrink in that air: fret ends stay flush")
	}
	return notes
}

// noBow says why there is no bow of board against neck.
func noBow(m neck.Model, c wood.Case) string {
	const bow = "bow of the board"
	switch {
	case m.Body.Wood == "" || m.Body.Thickness[0] <= 0:
		return leftOut(bow, m.Body)
	case c.NeckMM <= 0:
		return fmt.Sprintf("no %s given: neck.thickness includes the board, but is not above the board's %g mm", bow, c.ThicknessMM)
	}
	return fmt.Sprintf("no %s given: no stiffness is published for one of the woods", bow)
}

// leftOut says which keys of [neck] something needs that the file does not give.
func leftOut(what string, b neck.Body) string {
	var needs, write []string
	if b.Wood == "" {
		needs, write = append(needs, "wood"), append(write, `wood = "maple"`)
	}
	if b.Thickness[0] <= 0 {
		needs = append(needs, "thickness at fret 1 and at the joint, board included")
		write = append(write, `thickness = ["21 mm", "24 mm"]`)
	}
	return fmt.Sprintf("no %s given: that needs the neck's %s. In [neck] write, for example, %s", what, strings.Join(needs, " and "), strings.Join(write, " and "))
}

// WoodBow explains the bows of the seasons.
const WoodBow = "bow ±: hollow or humped by at most this"

// The options of `wood` that an answer may rest on without being given.
const (
	WoodTemperature = "--at"
	WoodHumidity    = "--humidity"
	WoodDriest      = "--driest"
	WoodDampest     = "--dampest"
)

// WoodAssumed names what readiness rests on that nobody gave, from the keys and
// options left to their defaults; "" where all was given.
func WoodAssumed(assumed []string) string {
	return named("assumed: ", assumed, [][2]string{{"board.wood", "wood"}, {"board.moisture", "moisture"}, {WoodTemperature, "temperature"}, {WoodHumidity, "humidity"}})
}

// WoodSeasonsAssumed names what the seasons rest on that nobody gave.
func WoodSeasonsAssumed(assumed []string, sawn string) string {
	return named("assumed: ", assumed, [][2]string{{"board.sawn", sawn}, {"board.thickness", "thickness"}, {WoodDriest, "the driest season"}, {WoodDampest, "the dampest season"}})
}

// WoodMeasure names the keys and options to give in place of what was assumed.
func WoodMeasure(assumed []string) string {
	return named("to be sure, measure and add: ", assumed, [][2]string{{"board.wood", "board.wood"}, {"board.moisture", "board.moisture"},
		{WoodTemperature, WoodTemperature}, {WoodHumidity, WoodHumidity}})
}

// MeasureMoisture is what comes before slotting a board whose moisture was assumed.
const MeasureMoisture = "measure the board, put board.moisture in the neck file, then"

// named lists the names of the codes that occur; "" where none does.
func named(lead string, codes []string, names [][2]string) string {
	var all []string
	for _, n := range names {
		if slices.Contains(codes, n[0]) {
			all = append(all, n[1])
		}
	}
	if len(all) == 0 {
		return ""
	}
	return lead + strings.Join(all, ", ")
}

// WoodListed points to the rules on trade of a wood.
const WoodListed = "a trade treaty lists this wood or part of it: --all quotes the rule"

// WoodReady says in a word whether a board may be slotted.
func WoodReady(ready bool) string {
	if ready {
		return "READY"
	}
	return "NOT READY"
}

// FretEnds says how the fret ends are filed for the seasons: what to do now, the
// other way to do it, what a finger feels, and whether the moisture that it rests
// on was measured.
func FretEnds(m neck.Model, e wood.Ends, air wood.Air) []string {
	words := fileEnds(e, air)
	if slices.Contains(m.Assumed, "board.moisture") {
		words = append(words, fmt.Sprintf("measure the board before you file: its moisture, %g %%, is assumed", m.Board.MoisturePct))
	}
	return words
}

func fileEnds(e wood.Ends, air wood.Air) []string {
	if e.File == wood.Flush {
		return []string{fmt.Sprintf("file the fret ends flush now: in the driest season they are at most %.2f mm proud. A finger feels a square end from %g mm (estimate)", e.Under.High, wood.FeltMM)}
	}
	by := fmt.Sprintf("%.2f", e.Under.Likely)
	if lo, hi := fmt.Sprintf("%.2f", e.Under.Low), fmt.Sprintf("%.2f", e.Under.High); lo != hi {
		by = fmt.Sprintf("%s mm (%s to %s mm as wood varies)", by, lo, hi)
	} else {
		by += " mm"
	}
	return []string{
		fmt.Sprintf("file the fret ends about %s under flush now, %.2f mm at fret 1. Or file them flush with the board at %.1f %% moisture (%.0f %% humidity)", by, e.FirstMM, e.DriestPct, air.DriestPct),
		fmt.Sprintf("filed flush now, they are %.2f mm proud in the driest season; filed flush in the dampest, %.2f mm. A finger feels a square end from %g to %g mm (estimate)",
			e.Under.Likely, e.DrySwing.Likely, wood.FeltMM, wood.SurelyFeltMM),
	}
}
