package text

import (
	"fmt"
	"strings"

	"ringtrue/internal/stringset"
	"ringtrue/internal/tune"
	"ringtrue/internal/unit"
)

// TuneBasis says in a few words what state the neck is in and how it is pressed.
func TuneBasis(perfect, planned bool, f tune.Finger, a4Hz float64) string {
	parts := []string{"crowns as read"}
	if perfect {
		parts[0] = "perfect crowns"
	}
	if planned {
		parts[0] = "crowns as planned, after levelling"
	}
	press := "pressed just onto the crown"
	if f.DepthMM > 0 {
		press = fmt.Sprintf("pressed %.4g mm below the crowns, %.3g mm behind the fret", f.DepthMM, f.BehindMM)
	}
	return strings.Join(append(parts, press, fmt.Sprintf("A4 = %.4g Hz", a4Hz)), ", ")
}

// TuneChoices says what the places of saddle and nut are.
func TuneChoices(exactFret int, nut string) string {
	return fmt.Sprintf("fret %d exact moves the saddle alone. The other two keep the cents over all frets smallest (least squares). A %s below 0 moves towards the frets.", exactFret, nut)
}

// TuneRests says what the places of saddle and nut rest on.
func TuneRests(strings []tune.StringReport, exactFret int) []string {
	out := []string{"stretch from pressing and a stiff string clamped at one end, action and nut as in [setup], the open string in tune; steel of 200 GPa"}
	var taken, wound []int
	most := strings[0]
	for _, s := range strings {
		if s.CoreTaken {
			taken = append(taken, s.String)
		}
		if s.WrapTaken {
			wound = append(wound, s.String)
		}
		if s.Deeper.FirstFretCents > most.Deeper.FirstFretCents {
			most = s
		}
	}
	if len(taken) > 0 {
		out = append(out, "cores taken by rule, as the neck file gives none: "+stringsNamed(taken))
	}
	if len(wound) > 0 {
		out = append(out, fmt.Sprintf("wrap taken as %s, as the neck file gives none: %s", stringset.UsualWrap, stringsNamed(wound)))
	}
	out = append(out, "\"may be\" allows 5 % either way for the steel's modulus, 15 % for a core taken by rule")
	if d := most.Deeper; d.DeeperMM > 0 {
		out = append(out, fmt.Sprintf("the finger changes more than most of this: %.2g mm deeper makes string %d sharper by %.0f cents at its first fret and %.0f at fret %d",
			d.DeeperMM, most.String, d.FirstFretCents, d.ExactFretCents, exactFret))
	}
	return out
}

// stringsNamed names strings by number.
func stringsNamed(numbers []int) string {
	if len(numbers) == 1 {
		return fmt.Sprintf("string %d", numbers[0])
	}
	return "strings " + unit.Spans(numbers)
}
