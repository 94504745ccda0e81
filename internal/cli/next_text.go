package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ringtrue/internal/answer"
)

// next lists what to read next: first what must be read in any case, then
// choices of which one is enough.
func (t fretsText) next(w io.Writer) {
	if t.answer.WhyNot != "" { // where there is work, all is read again after it
		nextReadings(w, t.answer.NextReadings)
	}
}

func nextReadings(w io.Writer, next []answer.NextReading) {
	choice := false
	for i, x := range next {
		if i == 0 {
			fmt.Fprintf(w, "\nRead next\n")
		}
		or := ""
		if choice {
			or = "or "
		}
		choice = choice || !x.Must
		wrap(w, "  ", or+nextReading(x))
	}
}

// nextReading is a set of readings in words: gauge, where, how long, what for.
func nextReading(x answer.NextReading) string {
	passes := ""
	if x.Passes > 1 {
		passes = fmt.Sprintf(", %d passes", x.Passes)
	}
	return fmt.Sprintf("%s, %s, %s%s, %s: %s", x.Method, lanesInWords(x.Lanes), fretsInWords(x.Frets), passes, minutesInWords(x.Minutes), x.Why)
}

func minutesInWords(minutes float64) string {
	return fmt.Sprintf("%.0f min", math.Max(1, minutes))
}

// lanesInWords names lanes: "lane 3", "lanes 1 and 6", "lanes 1 to 6".
func lanesInWords(lanes []float64) string {
	run := len(lanes) > 2
	var names []string
	for i, l := range lanes {
		run = run && (i == 0 || l == lanes[i-1]+1)
		names = append(names, fmt.Sprintf("%g", l))
	}
	switch n := len(names); {
	case n == 0:
		return "all lanes"
	case n == 1:
		return "lane " + names[0]
	case run:
		return "lanes " + names[0] + " to " + names[n-1]
	default:
		return "lanes " + strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// fretsInWords names ascending frets: "frets 8-10", "every third fret, 1 to 22".
func fretsInWords(frets []int) string {
	if len(frets) == 1 {
		return fmt.Sprintf("fret %d", frets[0])
	}
	names := map[int]string{2: "second", 3: "third", 4: "fourth"}
	if step := frets[1] - frets[0]; len(frets) > 3 && names[step] != "" && everyStep(frets, step) {
		return fmt.Sprintf("every %s fret, %d to %d", names[step], frets[0], frets[len(frets)-1])
	}
	return "frets " + spans(frets)
}

func everyStep(frets []int, step int) bool {
	for i := 1; i < len(frets); i++ {
		if frets[i]-frets[i-1] != step {
			return false
		}
	}
	return true
}
