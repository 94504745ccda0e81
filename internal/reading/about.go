package reading

import "strings"

// Definition says what one column of the readings file means.
type Definition struct {
	Name    string
	Needed  string // columns: by which rows; empty where a maker may leave it out
	Meaning string
}

// Columns is the readings file's definition: every column, in the order in
// which Write writes them.
func Columns() []Definition {
	texts := columnTexts()
	all := make([]Definition, columns)
	for c := range columns {
		all[c] = Definition{Name: c.name(), Needed: texts[c].needed, Meaning: texts[c].meaning}
	}
	return all
}

type columnText struct{ needed, meaning string }

func columnTexts() [columns]columnText {
	touched := func(s Spec) bool { return s.SetUp == Frame }
	touches, spans := Named(", ", touched), Named(", ", func(s Spec) bool { return s.Span != "" })
	var spanned []string
	for _, s := range specs {
		if s.Span != "" {
			spanned = append(spanned, s.Span)
		}
	}
	return [columns]columnText{
		colMethod:      {"every row", "how the reading was taken: " + Join(Methods(), ", ")},
		colLane:        {"all but " + Named(", ", func(s Spec) bool { return touched(s) || s.Across }), "the straight path under a string: 1 is the treble string, 1.5 lies between strings 1 and 2"},
		colFret:        {"all but " + touches, "the fret read, or three for " + fretted(3) + ", as 6-7-8, or two for " + fretted(2) + ", as 1-12"},
		colReading:     {"all but " + touches, "the value; a " + rocking(" or a ") + " may also say rocks or still"},
		colUnit:        {"every row", "mm or in, of every length in the row"},
		colPass:        {"", "readings of one method in one lane with the same pass share one set-up of the gauge; a probe's pass is one frame for the whole neck"},
		colU:           {"", "the reading's standard uncertainty; left out: 0.005 mm, and 0.003 mm with no_go, for how surely you feel that a leaf enters"},
		colNoGo:        {"", "of " + Named(" and ", func(s Spec) bool { return s.Gap }) + ": the thinnest leaf that no longer enters; the gap lies between reading and it. Without it a gap of 0 counts as 0 under two crowns of a pass at most; more of them lie between 0 and the thinnest leaf"},
		colSpan:        {spans, strings.Join(spanned, "; ")},
		colX:           {touches, "of the touch, along the neck from the nut"},
		colY:           {touches, "of the touch, across the neck, treble side positive"},
		colZ:           {touches, "of the touch, up from the board"},
		colTurned:      {"", "yes where " + Named(" or ", func(s Spec) bool { return s.Turned }) + " lay end for end: two such passes tell its own shape from the neck's"},
		colState:       {"", "slack, rod set or strung; one per pass"},
		colBy:          {"", "who read; one per pass"},
		colGauge:       {"", "which gauge; one per pass"},
		colDate:        {"", "when, as 2026-03-14; one per pass"},
		colTemperature: {"", "of the shop, 21 C or 70 F; one per pass"},
		colHumidity:    {"", "of the shop's air in per cent; one per pass"},
	}
}

// fretted names the methods whose rows name so many frets.
func fretted(n int) string { return Named(" and ", func(s Spec) bool { return s.Frets == n }) }

// rocking names the methods that may say rocks or still.
func rocking(or string) string { return Named(or, func(s Spec) bool { return s.Rocks }) }
