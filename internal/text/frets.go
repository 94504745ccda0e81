package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/arrive"
	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// ReadingLooksWrong is why a crown is not determined whose only reading is gross.
const ReadingLooksWrong = "its reading looks wrong: read it again"

// When to stop reading, and what to read where no neck tried was called level.
const (
	FinerGauge   = "Use a finer gauge."
	LanesToo     = "Read every lane with a straightedge or a beam too: three frets at a time see no long wave."
	StopNotLevel = "stop if it is not level"
	StopDecided  = "stop if it is level or not level"
	StopReading  = "stop as soon as frets says level or not level. If it is in doubt, take the readings it names next"
)

// NothingToRead is said where no reading is named that would settle more.
func NothingToRead(verdict string) string {
	if straight.Verdict(verdict) == straight.Level {
		return "Nothing more to read."
	}
	return "No reading to add yet. Leave out --what-to-read to see what to do first."
}

// SitsDown is the advice for a high fret that sits down on the board.
const SitsDown = "you say it is seated, so file it"

// InTwenty is a chance as a maker says it: never certain where it is not.
func InTwenty(chance float64) string {
	switch n := int(math.Round(20 * chance)); {
	case chance == 1:
		return "over 19 in 20"
	case n == 0:
		return "almost none"
	default:
		return fmt.Sprintf("%d in 20", min(n, 19))
	}
}

// WhyNot says why nothing should be filed yet, and what to read; "" where something
// may.
func WhyNot(w findings.Wait) string {
	return waits(w) + helps(w)
}

// Hold is WhyNot beside lists that name what was set aside and what to read next.
func Hold(w findings.Wait) string {
	words := waits(w)
	if w.Why == findings.CrownAside {
		words = ""
	}
	if len(w.Next) == 0 {
		words += helps(w)
	}
	return strings.TrimSpace(words)
}

func waits(w findings.Wait) string {
	switch w.Why {
	case findings.CrownsOpen:
		if w.Crowns == 1 {
			return "1 crown is not determined. Read it before filing."
		}
		return fmt.Sprintf("%d crowns are not determined. Read them before filing.", w.Crowns)
	case findings.CrownAside:
		return fmt.Sprintf("Fret %d in lane %g has only readings that were set aside. Read it again before filing.", w.Fret, w.Lane)
	case findings.RodFirst:
		return "The rod can take this bow out. Set it and read again before filing."
	case findings.RestInDoubt:
		return "The other frets are in doubt. See to these, then read again."
	case findings.NeckInDoubt:
		return "Whether the neck is level is in doubt. Read more before filing."
	case findings.TooSeldom:
		if w.Leaves && w.InsteadMM == 0 {
			return fmt.Sprintf("Filed to %.3f mm, the next reading may stay in doubt: leaves show a gap only as a range.", w.ToMM)
		}
		words := fmt.Sprintf("Filed to %.3f mm, the chance that the next reading says level is %s.", w.ToMM, InTwenty(w.Chance))
		if w.InsteadMM > 0 {
			words += fmt.Sprintf(" Without --plan-to, at %.3f mm, it is %s.", w.InsteadMM, InTwenty(w.InsteadChance))
		}
		return words
	}
	return ""
}

// helps names what to read first.
func helps(w findings.Wait) string {
	switch {
	case w.Help == findings.OuterLanes:
		return " First read the outer lanes with a beam or a straightedge."
	case w.Help == findings.OneCrown:
		return fmt.Sprintf(" First read fret %d in lane %g again.", w.Fret, w.Lane)
	case w.Help == findings.ADial:
		return " Leaves are too coarse for that: first read every lane with a beam and a dial."
	case w.Help == findings.EveryLane:
		return " First read every lane again, as a new pass."
	case len(w.Next) == 0:
		return ""
	}
	x := w.Next[0]
	words := fmt.Sprintf(" Next: %s, %s", x.Method, laneList(x.Lanes))
	if len(x.Frets) > 0 {
		words += ", frets " + runs(x.Frets)
	}
	return words + "."
}

// Planned says which zone is planned to and why, and what that costs beside the
// limit itself.
func Planned(f findings.Filing, limitMM float64) string {
	words := fmt.Sprintf("planned to %.3f mm so that the next reading says level (chance %s)", f.PlannedToMM, InTwenty(f.Arrives))
	if f.Arrives < arrive.Confidence {
		words = fmt.Sprintf("planned to %.3f mm; the chance that the next reading says level is %s", f.PlannedToMM, InTwenty(f.Arrives))
	}
	if f.ToLimit == nil || f.PlannedToMM >= limitMM {
		return words
	}
	return words + fmt.Sprintf(". Filing to the limit takes off %.3f mm in all, but then that chance is %s", f.ToLimit.TotalRemoveMM, InTwenty(f.ToLimit.Arrives))
}

// SeeTo names the frets to see to before any file.
func SeeTo(frets []int) string {
	words := "see to fret"
	if len(frets) > 1 {
		words += "s"
	}
	return words + " " + strings.ReplaceAll(strings.Trim(fmt.Sprint(frets), "[]"), " ", ", ") + " before filing"
}

// FilingWarnings say what is to be minded in filing: leastMM is the least crown.
func FilingWarnings(w findings.Work, leastMM float64) []string {
	out := []string{}
	if w.Unfair != nil {
		out = append(out, Unfair(w.Unfair))
	}
	if why := NoMoves(w.Lack); why != "" {
		out = append(out, why)
	}
	if w.FaceMM > 0 {
		out = append(out, BeamFace(w.FaceMM))
	}
	for _, c := range w.TooLow {
		out = append(out, TooLow(c, leastMM))
	}
	switch c := w.Instead; {
	case len(w.TooLow) == 0:
		return out
	case c == nil:
		return append(out, "replacing three frets is not enough: replace them all")
	default:
		return append(out, fmt.Sprintf("replace fret %s instead: that leaves at least %.2f mm of crown", runs(c.Refit), c.LeastCrownMM))
	}
}

// TooLow says that a crown would end under the least, mm.
func TooLow(c level.Removal, leastMM float64) string {
	return fmt.Sprintf("fret %d, lane %g: %.2f mm of crown would be left, less than level.least_crown, %.2f mm", c.Fret, c.Lane, c.LeftMM, leastMM)
}

// Unfair says on which frets no smooth plan keeps the zone, and what to do.
func Unfair(err *level.UnfairError) string {
	return err.Error() + "; refit them, or file them crown by crown"
}

// NoGoTaken says what gaps of 0 were taken for; leafMM is the thinnest leaf felt.
func NoGoTaken(leafMM float64) string {
	return fmt.Sprintf("gaps of 0 without no_go count as 0 to %g mm. Write the leaf that didn't enter as no_go", leafMM)
}

// OffItsPass says how far a reading stands off its pass, mm.
func OffItsPass(offMM float64) string {
	return fmt.Sprintf("is %+.3f mm off the rest of its pass. Read it again: if it repeats, it is real", offMM)
}

// Contradicts says that a reading and those of other frets cannot all be right.
func Contradicts(others [][]int) string {
	var names []string
	for _, frets := range others {
		names = append(names, "fret "+strings.ReplaceAll(strings.Trim(fmt.Sprint(frets), "[]"), " ", "-"))
	}
	return fmt.Sprintf("it and %s contradict each other, with too few readings after them to say which is wrong. Read them again", strings.Join(names, ", "))
}

// FewLevel says that a shop's necks are seldom level as they come: share of them
// to limitMM; fretMM is the scatter that is assumed instead.
func FewLevel(share, limitMM, fretMM float64) string {
	return fmt.Sprintf("%.0f in 100 such necks are level to %.3f mm: the figures are for necks filed level, frets within %.1f µm", 100*share, limitMM, 1e3*fretMM)
}

// runs writes ascending fret numbers short: "7, 9-12"; two neighbours are a run.
func runs(frets []int) string {
	var parts []string
	for i := 0; i < len(frets); i++ {
		from := i
		for i+1 < len(frets) && frets[i+1] == frets[i]+1 {
			i++
		}
		if i == from {
			parts = append(parts, fmt.Sprint(frets[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", frets[from], frets[i]))
		}
	}
	return strings.Join(parts, ", ")
}

// WorstLane says how straight the least level lane is, beside the limit, mm: to
// within a range where it was read with leaves.
func WorstLane(lane, zoneMM, uMM float64, rangeMM []float64, limitMM float64) string {
	if len(rangeMM) == 2 {
		return fmt.Sprintf("worst lane %g: zone %.3f to %.3f mm; the limit is %.3f mm", lane, rangeMM[0], rangeMM[1], limitMM)
	}
	return fmt.Sprintf("worst lane %g: within %.3f ± %.3f mm, %s; the limit is %.3f mm", lane, zoneMM, uMM, TwoInThree, limitMM)
}

// WholeAmount is a finding of the neck as a whole with its size, mm.
func WholeAmount(finding string, mm, uMM float64) string {
	if strings.HasSuffix(finding, fmt.Sprintf(" %.3f mm", math.Abs(mm))) { // said already
		return fmt.Sprintf("%s (± %.3f mm, %s)", finding, uMM, TwoInThree)
	}
	return fmt.Sprintf("%s (%+.3f ± %.3f mm, %s)", finding, mm, uMM, TwoInThree)
}

// ShortAdvice is a finding with its advice's first clause.
func ShortAdvice(finding, advice string) string {
	for _, end := range []string{". ", ": ", "; "} {
		advice, _, _ = strings.Cut(advice, end)
	}
	return finding + ": " + advice
}

// LookAtFrets names frets that a short listing has no room to say more of.
func LookAtFrets(frets string) string {
	word := "fret "
	if strings.ContainsAny(frets, ",-") {
		word = "frets "
	}
	return "Look at " + word + frets + " (--all says what to do)"
}

// ReadAgain says which reading was set aside, and what was expected, mm.
func ReadAgain(place, method string, line int, isMM, expectedMM float64) string {
	if reading.Method(method) == reading.Rocker && isMM == 0 { // it may say so in a word
		if expectedMM < 0 {
			return fmt.Sprintf("%s (%s, line %d): rocks, expected still", place, method, line)
		}
		return fmt.Sprintf("%s (%s, line %d): still or no gap, expected a gap of %.3f mm", place, method, line, expectedMM)
	}
	return fmt.Sprintf("%s (%s, line %d): %.3f mm, expected %.3f mm", place, method, line, isMM, expectedMM)
}

// SeatedInstead says what to do with frets that sit down already.
func SeatedInstead(frets string) string { return "if no gap shows, add --seated " + frets }

// FilingSum says in short what filing takes and leaves.
func FilingSum(f findings.Filing) string {
	return fmt.Sprintf("at most %.3f mm off, %.2f mm crown left, %.0f min; chance of level %s", f.MaxRemoveMM, f.LeastCrownMM, f.Minutes.OrNaN(), InTwenty(f.Arrives))
}

// TakenUnplanned says what came off a crown that was to stay.
func TakenUnplanned(c level.Mistake) string {
	return fmt.Sprintf("fret %d, lane %g: %.3f ± %.3f mm taken off (%s), nothing planned", c.Fret, c.Lane, c.TakenMM, c.UMM, TwoInThree)
}

// TakenOtherwise says what came off a crown beside what was to come off.
func TakenOtherwise(c level.Deed) string {
	return fmt.Sprintf("fret %d, lane %g: planned %.3f mm, taken off %.3f ± %.3f mm (%s)", c.Fret, c.Lane, c.PlannedMM, c.TakenMM, c.UMM, TwoInThree)
}
