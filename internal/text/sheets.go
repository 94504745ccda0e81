package text

import (
	"fmt"
	"time"

	"ringtrue/internal/findings"
)

// What sheets are, after whose they are.
const (
	SheetFrets   = ": frets"
	SheetChanges = ": what changed"
	SheetNotes   = ": notes"
	SheetLow     = ": what levelness buys"
	SheetTune    = ": in tune"
	SheetPluck   = ": one pluck"
	SheetCharts  = ": control charts"
	SheetPattern = ": what they share"
	SheetMoves   = ": to file"
)

// What to do next, at the foot of a sheet.
const (
	NextCrown   = "Next: crown, polish, read all again."
	NextMend    = "Next: see to what is named above, then read all again."
	NextSetUp   = "Next: string it and set it up."
	NextLevel   = "Next: see to the frets, level, then look at the notes again."
	NextRod     = "Next: look at the rod again after a day at pitch."
	NextAsk     = "Next: ask what changed in the shop then: wire, glue, press, people, wood, gauge."
	NextMeasure = "Next: string up, measure again, and make the sheet again."
	NextWorn    = "Next: level the worn frets while enough crown is left; if not, replace them."
)

// ToFile says what a sheet's work takes off, and how sure the next reading is to say level.
func ToFile(crowns int, f findings.Filing) string {
	words := fmt.Sprintf("%s: %s, %.3f mm in all, at most %.3f mm", TakeOff(f), Count(crowns, "crown"), f.TotalRemoveMM, f.MaxRemoveMM)
	if f.PlannedToMM > 0 {
		words += fmt.Sprintf("; planned to %.3f mm, chance of level %s", f.PlannedToMM, InTwenty(f.Arrives))
	}
	return words
}

// TakeOff heads what comes off crown by crown: where there are moves, who does both
// files twice.
func TakeOff(f findings.Filing) string {
	if len(f.Moves) > 0 {
		return "take off in place of the moves"
	}
	return "take off"
}

// What a sheet says where nothing is taken off, or not yet.
const (
	FileNothingYet   = "file nothing yet"
	NothingToTakeOff = "nothing to take off"
)

// ChangesJudged says how changes are judged: by so many standard uncertainties.
func ChangesJudged(critical float64) string {
	return fmt.Sprintf("All crowns are judged together: on an unchanged neck the largest error stays within %.1f standard uncertainties. What a file took between the two stages counts as wear too.", critical)
}

// What the sheets of notes, of the neck in tune and of the wood say under their charts.
const (
	WorstNotes = "Worst notes: what is left of the gap"
	GapLeft    = "gap less reach (below 0 the string strikes; over 0.4 mm not shown), mm"
	TuneCurves = "At a curve's right end: its string, 1 on the treble side. Each chart has its own scale."
	NextSaddle = "Next: set saddle and nut, then tune by ear or tuner."
	NextSlot   = "Next: slot the board, then read it bare."
	NextWait   = "Next: let the board settle, measure again, then slot it."
	WoodRange  = "Drying rates vary thirtyfold and weather is irregular. Read these as a range and trust a moisture meter."
)

// LeftOver says what the numbers of a map of notes are.
func LeftOver(inches bool) string {
	if inches {
		return "numbers: thousandths of an inch left between string and nearest crown"
	}
	return "numbers: hundredths of a mm left between string and nearest crown"
}

// Steady is the verdict on a process.
func Steady(steady bool) string {
	if steady {
		return "steady"
	}
	return "not steady"
}

// ReadOn says on which day something was read.
func ReadOn(t time.Time) string { return "read " + t.Format(time.DateOnly) }
