package reading

import "strings"

// Definition says what one column of the readings file, or one method, means.
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
	var names []string
	for _, m := range Methods() {
		names = append(names, string(m))
	}
	return [columns]columnText{
		colMethod:      {"every row", "how the reading was taken: " + strings.Join(names, ", ")},
		colLane:        {"all but probe, arch, sticks", "the straight path under a string: 1 is the treble string, 1.5 lies between strings 1 and 2"},
		colFret:        {"all but probe", "the fret read; three for bridge and rocker, 6-7-8; two for sticks, 1-12"},
		colReading:     {"all but probe", "the value; a rocker may also say rocks or still"},
		colUnit:        {"every row", "mm or in, of every length in the row"},
		colPass:        {"", "readings of one method in one lane with the same pass share one set-up of the gauge; a probe's pass is one frame for the whole neck"},
		colU:           {"", "the reading's standard uncertainty; left out: 0.005 mm, and 0.003 mm with no_go, for how surely you feel that a leaf enters"},
		colNoGo:        {"", "of edge and rocker: the thinnest leaf that no longer enters; the gap lies between reading and it. Without it a gap of 0 counts as 0 under two crowns of a pass at most; more of them lie between 0 and the thinnest leaf"},
		colSpan:        {"arch, sticks", "between the feet of an arch; over which sticks are seen"},
		colX:           {"probe", "of the touch, along the neck from the nut"},
		colY:           {"probe", "of the touch, across the neck, treble side positive"},
		colZ:           {"probe", "of the touch, up from the board"},
		colTurned:      {"", "yes where beam or edge lay end for end: two such passes tell its own shape from the neck's"},
		colState:       {"", "slack, rod set or strung; one a pass"},
		colBy:          {"", "who read; one a pass"},
		colGauge:       {"", "which gauge; one a pass"},
		colDate:        {"", "when, as 2026-03-14; one a pass"},
		colTemperature: {"", "of the shop, 21 C or 70 F; one a pass"},
		colHumidity:    {"", "of the shop's air in per cent; one a pass"},
	}
}

// About says how each method reads, in the order of Methods.
func About() []Definition {
	texts := map[Method]string{
		Beam:   "an indicator riding a straight beam along a lane: the crown above a line that nobody knows; each pass has its own offset and tilt",
		Bridge: "two feet on the outer frets, a plunger on the middle one: middle crown above the line of the outer two",
		Rocker: "a short straight edge held down on the first two of three crowns: the feeler gap over the third, or rocks, still",
		Edge:   "a long straight edge on whatever crowns hold it up: the feeler gap over each crown, 0 where it touches",
		Probe:  "a machine's touch near a crown, in a frame of its own; three or more touches across a crown give its top",
		Arch:   "a depth gauge on two feet across the board: the height of the board, or of a fret's crowns, between them",
		Sticks: "two straight sticks across two frets: how far the second's treble end stands above its bass end, seen against the first",
		Height: "the crown's height above the board",
	}
	var all []Definition
	for _, m := range Methods() {
		all = append(all, Definition{Name: string(m), Meaning: texts[m]})
	}
	return all
}
