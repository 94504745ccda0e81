package text

import (
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/listen"
)

// mostChanges is how many notes are named that have changed.
const mostChanges = 12

// HeardHead heads what has changed since a play-through.
func HeardHead(number int64, on time.Time) string {
	return fmt.Sprintf("Since %s (heard %d)", on.Format(time.DateOnly), number)
}

// HeardChanges says what has changed between two play-throughs, in words.
func HeardChanges(c listen.Changes) []string {
	if c.Cents+c.Rings == 0 {
		return []string{"no note can be compared: for cents play the open strings both times, for ring let notes last two seconds"}
	}
	out, left := []string{}, 0
	for _, x := range c.Changed {
		if x.Fret >= 0 && len(out) >= mostChanges {
			left++
			continue
		}
		out = append(out, heardChange(x))
	}
	if left > 0 {
		out = append(out, fmt.Sprintf("and %s more", Count(left, "note")))
	}
	if len(out) == 0 {
		out = append(out, "no change is sure")
	}
	return append(out, fmt.Sprintf("compared: cents of %s, ring of %d. Said only if 95 %% sure overall", Count(c.Cents, "note"), c.Rings))
}

// heardChange says one change, with twice its standard uncertainty.
func heardChange(x listen.Change) string {
	low, high := x.By*math.Exp(-2*x.U), x.By*math.Exp(2*x.U)
	switch {
	case x.Of == listen.SaddleChange:
		return fmt.Sprintf("string %d: its saddle's move changed by %+.2f ± %.2f mm", x.String, x.By, 2*x.U)
	case x.Of == listen.CentsChange:
		return fmt.Sprintf("string %d fret %d: %+.1f cents over the open string, was %+.1f; change %+.1f ± %.1f", x.String, x.Fret, x.Now, x.Then, x.By, 2*x.U)
	case x.Fret < 0:
		return fmt.Sprintf("string %d rings %.2f times as long on all frets (%.2f to %.2f). Strings age: compare again with new ones", x.String, x.By, low, high)
	}
	return fmt.Sprintf("string %d fret %d rings %.2f times as long (%.2f to %.2f): %.2f s, was %.2f s", x.String, x.Fret, x.By, low, high, x.Now, x.Then)
}

// HeardLine is a play-through in the book, in a line.
func HeardLine(f book.HeardFigures, sound bool) string {
	out := fmt.Sprintf("%d of %d notes", f.Heard, f.Expected)
	if c, ok := f.Cents.Get(); ok {
		out += fmt.Sprintf(", %.1f cents rms left by the best saddle", c)
	}
	out += fmt.Sprintf(", ring of %d", f.Rings)
	if sound {
		out += ", recording kept"
	}
	return out
}

// HeardIsKept says how a play-through is kept.
func HeardIsKept(number int64, serial string, isNew bool) string {
	if !isNew {
		return fmt.Sprintf("in the book already as heard %d of %s", number, serial)
	}
	return fmt.Sprintf("saved as heard %d of %s", number, serial)
}
