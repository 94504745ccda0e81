package text

import (
	"fmt"

	"ringtrue/internal/wood"
)

// WoodNotes are what an outlook's figures leave out or stretch.
func WoodNotes(c wood.Case, o wood.Outlook) []string {
	notes := []string{}
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if o.BeyondCoefficients(c) {
		add("coefficients hold from 6 to 14 %% moisture; beyond, widths go by total shrinkage")
	}
	if !o.Bows {
		add("%s", leftOut("the bow of board against neck"))
	}
	if w := c.Board; len(w.Others) > 0 {
		add("%q may mean several woods or sources; the ranges hold them all", w.Asked)
	}
	if c.Board.Species.FromMemory != "" {
		add("of %s these were not read in the source: %s", c.Board.Species.Name, c.Board.Species.FromMemory)
	}
	if o.Proud.High == 0 {
		add("the board does not shrink in that air: fret ends stay flush")
	}
	return notes
}

// leftOut says that something wants more of the neck than its file tells.
func leftOut(what string) string {
	return what + ` is left out, all else holds: it wants the neck's own wood and thickness (at fret 1 and at the joint, board included); in the neck file's table [neck] write, as an example, wood = "maple" and thickness = ["21 mm", "24 mm"]`
}

// WoodReady says in a word whether a board may be slotted.
func WoodReady(ready bool) string {
	if ready {
		return "READY"
	}
	return "NOT READY"
}
