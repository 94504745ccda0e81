package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/gauge"
)

// CrownName names a crown by fret and lane.
func CrownName(fret string, lane float64) string { return fmt.Sprintf("fret %s, lane %g", fret, lane) }

// besideSure is the chance below which a difference between hands is taken for real.
const besideSure = 0.05

// mostPasses is how many passes are worth taking to even scatter out.
const mostPasses = 6

// mostNamed is how many crowns are named on which two hands differ.
const mostNamed = 5

// Beside says how two hands read the same crowns: how well each repeats, what evens it
// out, and where they read differently. Neither is taken for right.
func Beside(b *gauge.Beside) (words []string) {
	for _, h := range b.Hands {
		words = append(words, handRepeats(h))
	}
	words = append(words, evenOut(b))
	if off, known := b.Off.Get(); known {
		low, high := b.Limits.Lower.Or(0), b.Limits.Upper.Or(0)
		said := "no offset beyond chance"
		if low > 0 || high < 0 {
			said = "agree on one way to hold the gauge, then read again"
		}
		words = append(words, fmt.Sprintf("On average %s reads %+.3f mm compared with %s (95 %% sure: %+.3f to %+.3f): %s.", b.Hands[1].Operator, off, b.Hands[0].Operator, low, high, said))
	} else {
		words = append(words, "Each pass has its own offset and tilt, so reading high all along does not show and does no harm.")
	}
	return append(words, whereApart(b))
}

func handRepeats(h gauge.Scatter) string {
	passes := Count(h.Passes, "pass")
	sd, known := h.SD.Get()
	if !known {
		return fmt.Sprintf("%s: %s, none repeated.", h.Operator, passes)
	}
	return fmt.Sprintf("%s: %s, repeats within %.4f mm two times in three (95 %% sure: %.4f to %.4f).", h.Operator, passes, sd, h.Limits.Lower.Or(0), h.Limits.Upper.Or(0))
}

// evenOut says whether the hands scatter alike, and how many passes make up for it where
// they do not.
func evenOut(b *gauge.Beside) string {
	p, known := b.ScatterP.Get()
	switch {
	case !known:
		return fmt.Sprintf("From their differences, one reading scatters by %.4f mm. Two passes each would show whose.", b.Together.Or(0))
	case p >= besideSure:
		return "Their scatter differs by no more than chance."
	}
	fine, other := b.Hands[0], b.Hands[1]
	if fine.SD.Or(0) > other.SD.Or(0) {
		fine, other = other, fine
	}
	ratio := other.SD.Or(0) / fine.SD.Or(0)
	if ratio*ratio > mostPasses {
		return fmt.Sprintf("%s's passes scatter more. Look together at how each holds the gauge and where it stands, then read again.", other.Operator)
	}
	return fmt.Sprintf("%s by %s are as good as one by %s.", Count(max(2, int(math.Round(ratio*ratio))), "pass"), other.Operator, fine.Operator)
}

// whereApart names the crowns that they read differently.
func whereApart(b *gauge.Beside) string {
	switch p, known := b.DifferP.Get(); {
	case !known:
		return "Differences at single crowns show once both read twice."
	case len(b.Differ) == 0 && p >= besideSure:
		return fmt.Sprintf("At all %d crowns they agree within their scatter.", b.Parts)
	case len(b.Differ) == 0:
		return "They differ at some crowns by more than their scatter, but no single one is sure."
	}
	var named []string
	for _, d := range b.Differ[:min(len(b.Differ), mostNamed)] {
		named = append(named, fmt.Sprintf("%s (%+.3f mm)", d.Part, d.Off))
	}
	words := fmt.Sprintf("%s reads differently at %s", b.Hands[1].Operator, strings.Join(named, "; "))
	if more := len(b.Differ) - mostNamed; more > 0 {
		words += fmt.Sprintf(" and %d more", more)
	}
	return words + ". Read these together: see where the foot stands and whether the crown is clean."
}
