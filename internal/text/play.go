package text

import (
	"fmt"
	"strings"

	"ringtrue/internal/neck"
	"ringtrue/internal/play"
)

// PlayHead is the answer on a neck's notes in a few words, from how many there
// are of each verdict and in all.
func PlayHead(n map[play.Verdict]int, all int) string {
	switch {
	case all == 0:
		return "NOTHING COULD BE JUDGED"
	case n[play.Buzzes]+n[play.Chokes] > 0:
		return "NOTES BUZZ"
	case n[play.Grazes] > 0:
		return "SOME NOTES GRAZE"
	}
	return "EVERY NOTE IS CLEAR"
}

// Tally puts how many notes there are of each verdict into words.
func Tally(n map[play.Verdict]int) string {
	var parts []string
	for _, v := range []struct {
		is   play.Verdict
		many string
	}{{play.Clear, "clear"}, {play.Grazes, "graze"}, {play.Buzzes, "buzz"}, {play.Chokes, "choke"}} {
		switch n[v.is] {
		case 0:
		case 1:
			parts = append(parts, "1 "+string(v.is))
		default:
			parts = append(parts, fmt.Sprintf("%d %s", n[v.is], v.many))
		}
	}
	return strings.Join(parts, ", ")
}

// Touch says how a touch plucks, and where.
func Touch(t neck.Touch) string {
	what := fmt.Sprintf("%g N", t.Force)
	if t.Lift > 0 {
		what = fmt.Sprintf("lifted %g mm", t.Lift)
	}
	return fmt.Sprintf("%s, %g mm from the saddle", what, t.FromSaddle)
}
