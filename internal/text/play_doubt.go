package text

import (
	"fmt"
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// PlayDoubtHead opens the list of notes in doubt.
const PlayDoubtHead = "In doubt (chance that the note is clear)"

// PlayDoubt lists the notes that readings leave in doubt, a line a string, and what
// would settle them.
func PlayDoubt(r *play.Report) (lines [][2]string) {
	notes, of := r.Doubtful()
	for i, n := range notes {
		words := fmt.Sprintf("fret %d %s", n.Fret, percent(n.ChanceClear))
		if i > 0 && of[i] == of[i-1] {
			lines[len(lines)-1][1] += ", " + words
			continue
		}
		lines = append(lines, [2]string{fmt.Sprintf("string %d", of[i]), words})
	}
	return lines
}

// PlaySettle says how sure it is that every note is clear, and what to do where that
// is in doubt; "" where it is not.
func PlaySettle(r *play.Report) string {
	n, all := r.Count(r.JudgeBy)
	again := "Another pass of readings settles more."
	switch {
	case n[play.Clear] == all && !r.Sure() || r.InDoubt() > 0 && r.ChanceAllClear.Or(0) > 0:
		every := "every note is"
		if r.Left.Any() {
			every = "every note judged is"
		}
		return fmt.Sprintf("Chance that %s clear: %s. %s", every, percent(r.ChanceAllClear), again)
	case r.InDoubt() > 0:
		return again
	}
	return ""
}

// percent is a chance in whole per cent; one that is not sure is never 0 or 100.
func percent(chance num.Opt) string {
	p, known := chance.Get()
	switch {
	case !known:
		return ""
	case p > 0.99 && p < 1:
		return "over 99 %"
	case p > 0 && p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// AboutMM is an uncertainty behind its number; "" where there is none.
func AboutMM(mm num.Opt, digits int) string {
	u, known := mm.Get()
	if !known {
		return ""
	}
	step := math.Pow10(digits)
	return fmt.Sprintf(" ± %.*f", digits, num.RoundUp(u, step))
}
