package text

import (
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/num"
	"ringtrue/internal/wear"
)

// Warnings of a comparison that name no stage.
const (
	SameDate      = "both stages have the same date, so there is no rate or year to give"
	StateNotNoted = "the state of one stage (slack, rod set or strung) is not noted; it is taken to be the other's"
)

// NotAtBoth is why a crown was not compared.
const NotAtBoth = "not determined at both stages"

// NoDate warns that a stage is dated by the day it was added.
func NoDate(stage, added string) string {
	return fmt.Sprintf("the readings of %s have no date, so there is no rate and no year. The day they were added, %s, is shown. Add a date column to the readings", stage, added)
}

// TakenEarlier warns that a stage without a date is taken for the earlier.
func TakenEarlier(stage string) string {
	return stage + " is taken to be earlier, as its record is"
}

// Backwards warns that the second stage was read before the first.
func Backwards(from, to string) string {
	return fmt.Sprintf("%s was read before %s, so nothing is called worn. Name the earlier stage first to see wear", to, from)
}

// TwoStates warns that the stages were read in two states.
func TwoStates(from, fromState, to, toState string) string {
	return fmt.Sprintf("%s was read %s, %s %s. Strings and rod bend a neck, so nothing is called worn. Read both in one state", from, fromState, to, toState)
}

// HeightsAssumed warns that crowns' heights were not read.
func HeightsAssumed(stage string) string {
	return fmt.Sprintf("crown heights were not read at %s, so wire.crown_height less the wear is used. That leaves out what a file took before. For a safe year read the heights (method height)", stage)
}

// CanMiss warns of readings too rough to show wear, and what a beam would show.
func CanMiss(seesMM, beamMM float64) string {
	return fmt.Sprintf("these readings can miss wear of up to %.2f mm if several neighbouring crowns wear alike. Two passes of a beam along every lane at each stage would show %.2f mm", seesMM, beamMM)
}

// FirstTooRough and SecondTooRough name the stage that is to blame.
func FirstTooRough(from, to string) string {
	return fmt.Sprintf("%s was read too roughly, and that can't be changed now. Compare later stages with %s", from, to)
}

// SecondTooRough is FirstTooRough of the second stage.
func SecondTooRough(to string) string {
	return fmt.Sprintf("%s was read too roughly: read it again", to)
}

// WearReason is a reason for a verdict that the numbers alone do not give.
func WearReason(r wear.Reason) string {
	switch r {
	case wear.LowAlone:
		return "one low reading and no worn crown beside it: a groove or a misreading. Read it again"
	case wear.LowOnce:
		return "one low reading its fret does not share: a groove or a misreading. Read it again before filing"
	case wear.OtherState:
		return "lower, but read in another state"
	case wear.ReadEarlier:
		return "lower, but read earlier"
	case wear.FirstMisread:
		return "the first stage's reading disagrees with the rest of the neck: probably a misreading"
	case wear.HighOnce:
		return "one high reading its fret does not share. Read it again"
	}
	return ""
}

// FretMoved says how a fret moved.
func FretMoved(f wear.Fret) string {
	switch f.Motion() {
	case wear.SankTilted:
		return "sank, its " + lowerEnd(f.Ends) + " end more"
	case wear.Sank:
		return "sank equally in every lane"
	case wear.Rose:
		return "rose as a whole"
	case wear.TrebleRose:
		return "treble end rose"
	default:
		return "bass end rose"
	}
}

// FretWorn says under which lanes a fret is worn, or whether it leaned.
func FretWorn(f wear.Fret, lanes []float64, leaned bool) string {
	words := "worn under " + lanesNamed(lanes)
	if leaned {
		words += ", or its " + lowerEnd(f.Ends) + " end went down"
	}
	return words
}

// FretChanged is the advice on a fret that moved or is worn; inRun: it moved with
// its neighbours. soon: too soon for wear alone.
func FretChanged(f wear.Fret, inRun, leaned, soon bool) string {
	const worn = "level while enough crown is left, otherwise replace"
	switch {
	case leaned:
		return "if that end was pressed or filed in between, that explains it. If not, " + worn
	case f.Verdict != wear.Moved && soon:
		return "if it was pressed or filed in between, that explains it. If not, " + worn
	case f.Verdict != wear.Moved:
		return worn
	case inRun:
		return "moves with its neighbours: check the board and the joint before any fret"
	case f.Up():
		return "if it was replaced or refitted in between, that explains it. If not, press and glue again, let it set, then read again before filing"
	}
	return "if it was filed or pressed in between, that explains it. If not, glue or board let go, or all strings wore it: read between strings"
}

// lowerEnd names the end that went down farther.
func lowerEnd(e wear.Ends) string {
	if e.TrebleMM < e.BassMM {
		return "treble"
	}
	return "bass"
}

// lanesNamed names lanes: strings where they lie under one.
func lanesNamed(lanes []float64) string {
	if slices.ContainsFunc(lanes, func(l float64) bool { return l != math.Trunc(l) }) {
		return listed("lane", lanes)
	}
	return listed("string", lanes)
}

// Compared is what an unchanged neck, or one in doubt, comes to; else empty. inDoubt:
// all readings together say that it changed; seesMM is what they would show, where no
// leaves were used.
func Compared(v wear.Verdict, inDoubt, leaves bool, seesMM float64) string {
	switch {
	case v == wear.Unchanged && leaves:
		return "no change beyond the readings' noise; feelers can hide wear that a dial would show"
	case v == wear.Unchanged:
		return fmt.Sprintf("no change beyond the readings' noise; %.3f mm would have shown, nine times in ten", seesMM)
	case v == wear.InDoubt && inDoubt:
		return "changed by more than the readings' noise, but no single crown is sure; read the second stage again"
	}
	return ""
}

// farYear is where a forecast stops being told by the year.
const farYear = 2200

// Reached says a range of years in words.
func Reached(soonest, latest num.Opt, already bool) string {
	year := func(y float64) string {
		if y >= farYear {
			return fmt.Sprintf("after %d", farYear)
		}
		return fmt.Sprintf("%.0f", math.Floor(y))
	}
	switch {
	case already:
		return "already"
	case !soonest.Known():
		return "not enough readings"
	case !latest.Known():
		return year(soonest.Or(0)) + " or later"
	case year(soonest.Or(0)) == year(latest.Or(0)):
		return year(soonest.Or(0))
	}
	return year(soonest.Or(0)) + " to " + year(latest.Or(0))
}

// BowChanged says how the neck's relief changed between two stages.
func BowChanged(b wear.Bow) string {
	way := "hollower"
	if b.MM < 0 {
		way = "flatter (or humped)"
	}
	turn := ""
	if math.Abs(b.TrebleMM-b.BassMM) > 1e-9 {
		turn = fmt.Sprintf(", %+.3f mm on the treble side, %+.3f mm on the bass side", b.TrebleMM, b.BassMM)
	}
	return fmt.Sprintf("the neck became %s by %.3f ± %.3f mm, %s%s. That is the rod or the season, and is taken out below", way, math.Abs(b.MM), b.UMM, TwoInThree, turn)
}

// TimeBetween is the time between two stages, in days where it is less than a year.
func TimeBetween(years float64) string {
	switch days := math.Round(years * wear.DaysPerYear); {
	case years >= 1:
		return fmt.Sprintf("%.1f years between them", years)
	case days == 1:
		return "1 day between them"
	default:
		return fmt.Sprintf("%.0f days between them", days)
	}
}

// JudgedTogether says how sure the verdicts of a comparison are.
func JudgedTogether(crowns int, critical float64, confidence string) string {
	return fmt.Sprintf("All %d crowns are judged together: on an unchanged neck every change stays within %.1f times its uncertainty, with %s confidence", crowns, critical, confidence)
}

// LeastReached says when the first crown is worn down.
func LeastReached(l wear.LeastCrownYear) string {
	return fmt.Sprintf("If it is played as before, the minimum crown, %.2f mm, is reached: %s (probably first at fret %d, lane %g). Soonest if wear goes with time, latest if with the square root of time",
		l.LeastMM, Reached(l.SoonestYear, l.LatestYear, l.BelowAlready), l.Fret, l.Lane)
}

// LeastReachedShort is the same without how it is worked out.
func LeastReachedShort(l wear.LeastCrownYear) string {
	return fmt.Sprintf("minimum crown, %.2f mm, is reached: %s (first at fret %d, lane %g)",
		l.LeastMM, Reached(l.SoonestYear, l.LatestYear, l.BelowAlready), l.Fret, l.Lane)
}

// FretsAre names frets with what is said of each of them.
func FretsAre(frets []int, finding string) string {
	if len(frets) == 1 {
		return fmt.Sprintf("fret %d %s", frets[0], finding)
	}
	return "frets " + runs(frets) + " " + finding
}

// NoFretChanged is said where no fret did; WornCrowns heads the worn crowns, and
// WornOrFiled says what else counts; ChangeMarks explains the marks of changes.
const (
	NoFretChanged = "No fret surely changed."
	WornCrowns    = "Worn crowns"
	WornOrFiled   = "What a file took between the stages counts as wear too."
	ChangeMarks   = "w worn, m moved with its fret, r raised, ? in doubt"
)
