package text

import (
	"fmt"
	"ringtrue/internal/neck"
	"ringtrue/internal/study"
)

// StudyMeans is what the actions of a study are.
const StudyMeans = "clear: no string touches any fret at any stop, by the stiff string's own reach, as lowest_clear_action_mm. The nut is as in the neck file; the action is over the measured fret's own crown, which errs too"

// StudyModel says how the necks of a study are drawn.
func StudyModel(e study.Errors) string {
	return fmt.Sprintf("each fret errs by itself, with normally distributed errors of the whole fret, its tilt, its arch and each single crown, as %g : %g : %g : %g (chosen, not measured). "+
		"A neck's errors are scaled so that its least level lane has just the zone, the others no more. A slow wave along the neck would cost less on average", e.Fret, e.Tilt, e.Arch, e.Crown)
}

// StudyBuys says what levelness buys, from so many necks drawn for each zone.
func StudyBuys(r study.Report, necks int) string {
	b := r.Buys
	switch {
	case b == nil && len(r.Zones) == 1 && r.Zones[0].ZoneMM == 0:
		return "A zone of 0 is the perfect neck; there is nothing to compare."
	case b == nil:
		return "Too many of the necks clear at no action: look at the nut gap."
	}
	than := fmt.Sprintf("at one of %g mm", b.FromZoneMM)
	if b.FromZoneMM == 0 {
		than = "over perfect crowns"
	}
	return fmt.Sprintf("For %.0f of 100 necks to ring clear, the string that needs most must be %.3f ± %.3f mm higher at a zone of %g mm than %s. "+
		"A third of a sheet of paper (%.3f mm) of levelness buys %.3f ± %.3f mm of action (±: %s, from drawing %d necks).",
		b.SharePct, b.RaiseMM, b.URaiseMM, b.ToZoneMM, than, b.PaperMM, b.PaperBuysMM, b.UPaperBuysMM, TwoInThree, necks)
}

// StudyDrawn says which necks are drawn, and how they are plucked.
func StudyDrawn(necks int, seed uint64, judgeBy string, t neck.Touch) string {
	return fmt.Sprintf("%d necks drawn for each zone, seed %d, each with a worst lane of just that zone; %s (%s).", necks, seed, judgeBy, Touch(t))
}

// StudyTable says what the figures of a study's table are.
func StudyTable(actionFret int) string {
	return fmt.Sprintf("Lowest action over fret %d, mm, at which the stiff string meets no fret at any stop (clear, as in play; a graze counts as contact). "+
		"Last column: what the string that needs most must rise above perfect crowns.", actionFret)
}

// StudyGoodTo says how well the figures are known.
func StudyGoodTo(mm float64) string {
	return fmt.Sprintf("Each figure is good to ± %.3f mm or better (%s, from the number of necks).", mm, NineteenInTwenty)
}

// TooLowForPerfect says which strings touch as they are set up even over perfect
// crowns.
func TooLowForPerfect(strings []int) string {
	touch := "touches"
	if len(strings) > 1 {
		touch = "touch"
	}
	return fmt.Sprintf("At setup.action no neck rings clear: %s %s even over perfect crowns.", stringsNamed(strings), touch)
}
