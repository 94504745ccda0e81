package text

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/straight"
	"ringtrue/internal/wear"
)

// Headings of the owner's letter.
const (
	LetterLeft  = "How it left the shop"
	LetterRead  = "How it is"
	LetterNow   = "How it is now"
	LetterWears = "What wears"
	LetterWork  = "When it will need work"
)

// What the letter says whatever the neck is.
const (
	LetterPaper = "A sheet of paper is about 0.1 mm thick."
	LetterSign  = "From the bench, by"
	LetterKey   = "The neck from above, nut left, treble side up."
)

// LetterTitle heads the letter.
func LetterTitle(model, serial string) string {
	if model == "" {
		return "Your neck " + serial
	}
	return fmt.Sprintf("Your %s, %s", model, serial)
}

// LetterState says how level a neck was on a day, in an owner's words. years: since it
// left; 0 where that is what is told.
func LetterState(on time.Time, years float64, verdict string, zoneMM, limitMM float64) string {
	when := on.Format("2 January 2006")
	if years > 0 {
		when += fmt.Sprintf(", %.1f years later", years)
	}
	far := fmt.Sprintf("Under the worst string the fret tops are straight to within %.3f mm; %.3f mm or less is level.", zoneMM, limitMM)
	if math.IsNaN(zoneMM) {
		return when + ": not read well enough to say."
	}
	switch straight.Verdict(verdict) {
	case straight.Level:
		return when + ": level. " + far
	case straight.NotLevel:
		return when + ": not level. " + far
	}
	return when + ": the readings are not enough to say whether it is level. " + far
}

// LetterBow says that a neck bends otherwise than it did.
func LetterBow(b wear.Bow) string {
	way := "deeper"
	if b.MM < 0 {
		way = "shallower"
	}
	return fmt.Sprintf("The neck's hollow is %.2f mm %s than it was, from the season or the rod. That is set at the rod, not filed.", math.Abs(b.MM), way)
}

// LetterWorn says which frets the strings have worn, and the deepest groove.
func LetterWorn(frets []int, lanes []float64, deepest wear.WornCrown) string {
	const sure = 1.96 // 95 % confidence, either way
	words := fmt.Sprintf("The strings have worn fret %d, under %s.", frets[0], lanesNamed(lanes))
	if len(frets) > 1 {
		words = fmt.Sprintf("The strings have worn frets %s, under %s.", runs(frets), lanesNamed(lanes))
	}
	return words + fmt.Sprintf(" The deepest groove is between %.3f and %.3f mm deep, on fret %d under %s.",
		max(0, deepest.DepthMM-sure*deepest.UMM), deepest.DepthMM+sure*deepest.UMM, deepest.Fret, lanesNamed([]float64{deepest.Lane}))
}

// LetterMoved says what frets did that moved.
func LetterMoved(frets []int, finding string) string {
	words := FretsAre(frets, finding)
	return strings.ToUpper(words[:1]) + words[1:] + ": not worn, it moved in the wood."
}

// LetterUnworn says that no wear was found, and what would have been, where no leaves
// were used; certain: the rest is sure to be unchanged.
func LetterUnworn(certain, leaves bool, seesMM float64) string {
	switch {
	case certain && leaves:
		return "Nothing that shows. Feelers can hide wear that a dial would show."
	case certain:
		return fmt.Sprintf("Nothing that shows. Wear of %.2f mm would have shown, nine times in ten.", seesMM)
	}
	return "The readings are not enough to say whether anything wore."
}

// Why a letter says nothing of wear.
const (
	LetterOneVisit  = "Wear shows when the neck is read again, in a year or so, and compared with today."
	LetterTwoStates = "It was read under other string tension than before, so wear and bending look the same."
	LetterNoDate    = "No year can be given: the readings have no dates, or not far enough apart."
	LetterNoWear    = "No year can be given while no wear shows. Read it again in a year or two."
	LetterAsPlayed  = "This assumes that it is played as before. The range is wide because a groove deepens more slowly the wider it gets."
)

// LetterWants lists what a neck wants now; empty where it wants nothing.
func LetterWants(rod, press, level bool) string {
	var all []string
	if rod {
		all = append(all, "setting the rod")
	}
	if press {
		all = append(all, "seating frets")
	}
	if level {
		all = append(all, "levelling")
	}
	if len(all) == 0 {
		return ""
	}
	return "Now: " + strings.Join(all, ", ") + "."
}

// LetterDue says when the frets will want levelling.
func LetterDue(d wear.Due) string {
	return fmt.Sprintf("Levelling: %s, when a groove is %.3f mm deep.", Reached(d.SoonestYear, d.LatestYear, d.Already), d.LimitMM)
}

// LetterNewFrets says when the frets will be worn out.
func LetterNewFrets(l wear.LeastCrownYear, measured bool) string {
	words := fmt.Sprintf("New frets: %s, when the lowest fret is worn down to %.2f mm.", Reached(l.SoonestYear, l.LatestYear, l.BelowAlready), l.LeastMM)
	if !measured {
		words += " Their height was not measured: taken as new, less the wear."
	}
	return words
}

// LetterBring says when to bring the neck in.
func LetterBring(year float64, known bool) string {
	if known && year < farYear {
		return fmt.Sprintf("Bring it in when a note buzzes or a string catches, and by %.0f in any case.", math.Floor(year))
	}
	return "Bring it in when a note buzzes or a string catches."
}

// LetterMarks says what the picture's marks are: of changes, or of one reading.
func LetterMarks(changes bool) string {
	if changes {
		return LetterKey + " Ring: worn, the larger the deeper. Square: moved. Dot: unchanged. Broken: not sure."
	}
	return LetterKey + " Full: high. Ring: low. Dot: level. Broken: not sure. The larger, the farther off."
}

// LetterAbout says for a picture what it shows.
func LetterAbout(title string, said [][]string) string {
	return title + ": " + strings.Join(slices.Concat(said...), " ")
}
