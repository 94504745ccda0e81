package text

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/play"
	"ringtrue/internal/unit"
)

// PlayLeft says how many notes were judged and how they came out, where some were
// not; "" where every note was judged against every fret.
func PlayLeft(r *play.Report) string {
	if !r.Left.Any() {
		return ""
	}
	n, all := r.Count(r.JudgeBy)
	return PlayLeftOf(all, all-n[play.Clear], r.Left)
}

// PlayLeftOf is PlayLeft of so many notes judged, some of them not clear.
func PlayLeftOf(judged, notClear int, left play.Left) string {
	words := fmt.Sprintf("Of %s judged, %d %s not clear", Count(judged, "note"), notClear, isOrAre(notClear))
	switch {
	case judged == 0:
		return "No note is judged: read " + numbered("lane", left.Lanes) + "."
	case notClear == 0:
		words = fmt.Sprintf("Of %s judged, all are clear", Count(judged, "note"))
	}
	return words + LeftWords(left) + "."
}

// LeftWords goes on after a count of notes judged; "" where none is left.
func LeftWords(l play.Left) string {
	if !l.Any() {
		return ""
	}
	var parts []string
	if l.Notes > 0 {
		parts = append(parts, fmt.Sprintf("%d %s not judged", l.Notes, isOrAre(l.Notes)))
	}
	if l.InPart > 0 {
		parts = append(parts, fmt.Sprintf("%d judged against some frets only", l.InPart))
	}
	return "; " + strings.Join(parts, ", ") + ": read " + numbered("lane", l.Lanes)
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// numbered names things by their numbers, in order: "lane 2", "lanes 2 to 6".
func numbered(what string, numbers []int) string {
	if len(numbers) == 1 {
		return fmt.Sprintf("%s %d", what, numbers[0])
	}
	var parts []string
	for _, span := range strings.Split(unit.Spans(numbers), ", ") {
		parts = append(parts, strings.Replace(span, "-", " to ", 1))
	}
	last := len(parts) - 1
	if last == 0 {
		return what + "s " + parts[0]
	}
	return what + "s " + strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// StopsNotJudged says which stops could not be judged, and why: strings whose whole lane
// is not read share a line.
func StopsNotJudged(all []play.Unjudged) (lines []string) {
	var lanes []int
	for _, u := range all {
		if u.Lack == play.LackLane && !slices.Contains(lanes, u.String) {
			lanes = append(lanes, u.String)
		}
	}
	for _, u := range all {
		switch {
		case u.Lack != play.LackLane || len(lanes) == 1:
			lines = append(lines, fmt.Sprintf("string %d, stops %s: %s", u.String, unit.Spans(u.Stops), u.Why))
		case u.String == lanes[0]:
			lines = append(lines, fmt.Sprintf("%s: no crown in these lanes is known. Read along them", numbered("string", lanes)))
		}
	}
	return lines
}
