package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// changeWords are what a sheet of changes says in place of a sheet of heights.
type changeWords struct {
	sentences []string
	foot      foot
}

// minFullMM keeps the colour scale of an unchanged neck from showing noise in
// full colour.
const minFullMM = 0.03

// Compare draws what changed on a neck between two stages: the neck from above
// with a mark for each crown, and its change in colour, form, sign and number. An
// error says that there is nothing to draw.
func Compare(a *answer.BookCompareAnswer, l *geometry.Layout, paper Paper, units Units) (*draw.Page, error) {
	s := answer.FretsAnswer{Neck: a.Serial, Verdict: a.Verdict, ZoneLimitMM: minFullMM, Undetermined: a.Open, Warnings: a.Warnings}
	if a.Model != "" {
		s.Neck += ", " + a.Model
	}
	for _, c := range a.Crowns {
		s.Crowns = append(s.Crowns, answer.CrownAnswer{Fret: c.Fret, Lane: c.Lane, OffMM: c.MM, Verdict: string(c.Verdict)})
	}
	for _, f := range a.Frets {
		s.Frets = append(s.Frets, answer.FretFinding{Fret: f.Fret, Finding: f.Finding, Advice: f.Advice})
	}
	words := &changeWords{changeSentences(a, unitOf(units)), foot{notes: []string{text.ChangesJudged(a.CriticalValue)}}}
	if a.Verdict == string(wear.Worn) {
		words.foot.next = text.NextWorn
	}
	return fretsPage(&s, l, paper, units, words)
}

// changeSentences say what was compared, and what follows.
func changeSentences(a *answer.BookCompareAnswer, u heightUnit) []string {
	count, most := map[string]int{}, 0.0
	for _, c := range a.Crowns {
		count[string(c.Verdict)]++
		most = math.Max(most, c.UMM)
	}
	var parts []string
	for _, v := range []wear.Verdict{wear.Worn, wear.Moved, wear.Raised, wear.InDoubt, wear.Unchanged} {
		if n := count[string(v)]; n > 0 {
			parts = append(parts, strconv.Itoa(n)+" "+string(v))
		}
	}
	stage := func(s answer.ComparedStage) string { return s.Stage + ", " + s.Date.Format(time.DateOnly) }
	all := []string{
		"from " + stage(a.From) + " to " + stage(a.To),
		fmt.Sprintf("of %s: %s; u %s %s at most", text.Count(len(a.Crowns), "crown"), strings.Join(parts, ", "), u.plain(most), u.short),
	}
	if a.Summary != "" {
		all = append(all, a.Summary)
	}
	if b := a.Bow; b != nil {
		all = append(all, fmt.Sprintf("relief %s ± %.3f mm, %s; taken out", strings.Replace(fmt.Sprintf("%+.3f", b.MM), "-", "−", 1), b.UMM, text.TwoInThree))
	}
	if y := a.LeastCrown; y != nil {
		all = append(all, fmt.Sprintf("minimum crown of %.2f mm reached: %s", y.LeastMM, text.Reached(y.SoonestYear, y.LatestYear, y.BelowAlready)))
	}
	return all
}
