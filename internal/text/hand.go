package text

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/findings"
	"ringtrue/internal/hand"
)

// MoveStrokes says about how many strokes a move takes, where the book knows the hand;
// "" elsewhere.
func MoveStrokes(m findings.Move) string {
	n, known := m.Strokes.Get()
	if !known || len(m.StrokesRange) != 2 {
		return ""
	}
	what := "double strokes"
	if m.Tool == findings.File {
		what = "strokes"
	}
	return fmt.Sprintf("By your record about %s %s (%s to %s, 9 times in 10).", roundCount(n), what, roundCount(m.StrokesRange[0]), roundCount(m.StrokesRange[1]))
}

// roundCount gives a number of strokes with two digits that count.
func roundCount(n float64) string {
	step := 1.0
	for n/step >= 100 {
		step *= 10
	}
	return fmt.Sprintf("%.0f", math.Round(n/step)*step)
}

// FlatsEnd says how deep a hand's flats end: uPct is the standard uncertainty of
// deeperPct.
func FlatsEnd(deeperPct, uPct float64, flats int, corrected bool) string {
	way, sign := "deep", 1.0
	if deeperPct < 0 {
		way, sign = "short", -1
	}
	words := fmt.Sprintf("Flats end %.0f %% %s (%.0f to %.0f %%, %s; %s)", sign*deeperPct, way, sign*deeperPct-2*uPct, sign*deeperPct+2*uPct,
		NineteenInTwenty, Count(flats, "flat"))
	if corrected {
		return words + ": plans allow for it."
	}
	return words + ": maybe chance."
}

// FlatsSpread says how far the widths that a hand stops at scatter.
func FlatsSpread(mm float64) string {
	return fmt.Sprintf("You stop within %.2f mm of a width, %s. Plans count on that.", mm, TwoInThree)
}

// PerStroke says what a stroke takes off.
func PerStroke(k hand.Key, mm3, low, high float64, necks int) string {
	strokes := "double strokes"
	if k.Tool == hand.File {
		strokes = "strokes"
	}
	return fmt.Sprintf("%s: 100 %s take %s mm³ (%s to %s mm³), %s", toolWords(k), strokes, twoDigits(100*mm3), twoDigits(100*low), twoDigits(100*high), Count(necks, "neck"))
}

// twoDigits writes a number with two digits that count, and no power of ten.
func twoDigits(v float64) string {
	decimals := 0
	for v > 0 && decimals < 4 && v*math.Pow10(decimals) < 9.95 {
		decimals++
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// StrokesAlone says how good a depth is that is filed by counting alone.
func StrokesAlone(factor float64) string {
	return fmt.Sprintf("Ranges: 9 times in 10. By strokes alone a depth is good to × or ÷ %.1f.", factor)
}

func entriesOf(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

func toolWords(k hand.Key) string {
	words := []string{strings.ToUpper(k.Tool[:1]) + k.Tool[1:]}
	for _, w := range []string{k.Paper, k.Wire} {
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// WornPaper says that paper takes less the longer it is used.
func WornPaper(pctAfter10M float64) string {
	return fmt.Sprintf("After 10 m on one sheet a stroke takes %.0f %% less. Change the paper sooner.", -pctAfter10M)
}

// HandHead heads what the book knows of how somebody files.
func HandHead(who string) string {
	if who == "" {
		return "Filing, from the book"
	}
	return "Filing by " + who + ", from the book"
}

// HandNext says what to do with what is known of a hand.
func HandNext(k hand.Known) string {
	entries := 0
	for _, l := range k.Removals {
		entries += l.Spots
	}
	switch {
	case k.Several():
		return "The strokes are by several people: choose one with --by."
	case entries == 0:
		return `Write down what you do: book add … --strokes "file 7: 40; beam 10-22: 120".`
	case k.Eye.Spots == 0:
		return `Add the flat at which you stopped: --strokes "file 7: 40, flat 0.45 mm".`
	case k.Jobs == 0:
		return "Add what a job took, such as --tag minutes=95, and quotes go by your own times."
	}
	return "Count strokes to come near, about two thirds. Stop by the flat."
}

// Untold says how many entries nothing can be said of.
func Untold(n int) string {
	return fmt.Sprintf("%s left out: name two frets that kept their ink, such as ink 5 19.", entriesOf(n))
}

// shownRecords is how many records a line names.
const shownRecords = 5

// UnreadRecords says which records do not count.
func UnreadRecords(records []int64) string {
	var parts []string
	for i, n := range records {
		if i == shownRecords {
			parts = append(parts, "…")
			break
		}
		parts = append(parts, fmt.Sprint(n))
	}
	return "Strokes can't be read in record " + strings.Join(parts, ", ") + "."
}

// TimesFrom says where times come from.
func TimesFrom(jobs int) string {
	if jobs == 0 {
		return "usual times, or your files' own"
	}
	return "by " + Count(jobs, "job") + " of your book"
}

// TimeTotal says what a job takes, and what to quote.
func TimeTotal(minutes, quote float64) string {
	return fmt.Sprintf("about %.0f min. Quote %.0f: 8 times in 10 it takes no longer.", minutes, quote)
}

// TimeStep names a step of a job.
func TimeStep(step, what string, count float64) string {
	n := int(math.Round(count))
	switch step {
	case "press":
		return "press and glue " + Count(n, "fret")
	case "replace":
		return "replace " + Count(n, "fret")
	case "ink":
		return "mask and ink"
	case "crown", "polish":
		return step + " " + Count(n, "fret")
	case "set up a pass":
		return "set the gauge up, " + Count(n, "pass")
	case "read":
		return "read again, " + Count(n, "reading")
	case findings.Beam:
		return "beam over frets " + what
	case findings.File:
		switch {
		case what == "":
			return "file " + Count(n, "fret")
		case n > 1:
			return what + " " + Count(n, "fret")
		}
		return "file fret " + what
	}
	return step + " " + what
}

// TakenByStrokes says what one entry took off.
func TakenByStrokes(tool string, strokes, crowns int, depthMM, uMM, flatMM, flatSaysMM float64) string {
	words := fmt.Sprintf("%s, %d strokes on %s: %.3f mm off on average (± %.3f mm)", tool, strokes, Count(crowns, "crown"), depthMM, uMM)
	if flatMM > 0 {
		words += fmt.Sprintf("; a flat of %.2f mm means %.3f mm", flatMM, flatSaysMM)
	}
	return words
}

// AllMoves names all moves together.
func AllMoves(n int) string { return Count(n, "move") }

// More says that a list goes on.
func More(n int) string { return fmt.Sprintf("and %d more; see --json", n) }

// NoStrokesBy says that the book does not know a hand.
func NoStrokesBy(by string, hands []string) string {
	words := "The book has no strokes by " + by + ", so usual strokes and flats are used."
	if named := strings.Join(hands, ", "); named != "" {
		words += " It has those of " + named + "."
	}
	return words
}

// SeveralHands asks whose hand it is.
func SeveralHands(hands []string) string {
	return "The book has strokes by " + strings.Join(hands, ", ") + ": add --by NAME, who files."
}

// NoTime says why no time is given.
const NoTime = "Time: there is nothing to do now that takes time."
