package text

import (
	"fmt"
	"math"

	"ringtrue/internal/pace"
)

// fewWaits is how many necks a step needs before it is called the slowest: a convention.
const fewWaits = 5

// Slowest names where necks wait longest, the slowest step first; of steps that too few
// necks went it says so.
func Slowest(between []pace.Wait) string {
	for _, w := range between {
		if w.Necks >= fewWaits {
			return fmt.Sprintf("Necks wait longest from %s to %s: half of %d wait %s or more.", w.From, w.To, w.Necks, Days(w.MedianDays.Or(0)))
		}
	}
	return fmt.Sprintf("Fewer than %d necks went each way, too few to say where they wait longest.", fewWaits)
}

// NoWaits is said of a book in which no neck went from one stage to another.
const NoWaits = "No neck has gone from one stage to the next yet, so there is no wait to count."

// WaitsNow says how many necks are at a stage, and how long.
func WaitsNow(w pace.Waiting) string {
	words := fmt.Sprintf("%s: %s", w.Stage, Count(w.Necks, "neck"))
	if w.Necks == 1 {
		words += fmt.Sprintf(", %s, %s", w.Serial, Days(w.LongestDays))
	} else {
		words += fmt.Sprintf(", the longest %s, %s", w.Serial, Days(w.LongestDays))
	}
	if w.Late > 0 {
		words += fmt.Sprintf("; %d longer than is usual here", w.Late)
	}
	return words
}

// EndStages says at which stages necks are done.
func EndStages(listed string) string {
	return "Not counted as waiting: " + listed + ", where most necks stay or come back only after months."
}

// Days is a wait in the unit in which a person would tell it.
func Days(d float64) string {
	switch whole := math.Round(d); {
	case d < 1.0/24:
		return "under an hour"
	case d == whole || d >= 10:
		return Count(int(whole), "day")
	case d < 2:
		return fmt.Sprintf("%.0f hours", math.Round(d*24))
	}
	return fmt.Sprintf("%.1f days", d)
}

// What to do where nothing says how long work takes, and what the times are of.
const (
	NoPaces   = "No working times yet. Add what a job took with --tag minutes=95, and give each pass its time of day in the date column, such as 2026-03-14 09:40."
	PaceOfAll = "A pass lasts until the same operator starts the next; over 30 minutes is not counted. 1 in 10 and 9 in 10 need ten times."
)
