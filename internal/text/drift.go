package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/drift"
)

// DriftCaution says what to mind about a chart.
func DriftCaution(c drift.Caution) string {
	switch c.Why {
	case drift.AlikeNeighbours:
		return fmt.Sprintf("neighbouring points resemble each other (correlation %.2f): limits from moving ranges are too narrow then, and signals come more often than said", c.R)
	case drift.TurningNeighbours:
		return fmt.Sprintf("neighbouring points go up and down by turns (correlation %.2f): two hands, two presses or two settings may be mixed in one series", c.R)
	case drift.FewPoints:
		return fmt.Sprintf("limits rest on %d points: under %d they are rough, and more false alarms or fewer signals come than said", c.N, drift.RoughBelow)
	case drift.EqualValues:
		return "the values that the limits rest on are all equal: the gauge's step is too coarse for a chart"
	case drift.UnsteadyCapability:
		return "the process is not steady: capability says what it did, not what it will do"
	}
	return "not one fault: limits of 0 make any fault a signal"
}

// FretFinding says where a fret stands on average, since when, and with what.
func FretFinding(f drift.FretFinding) string {
	if len(f.Shifts) == 0 {
		return fmt.Sprintf("fret %d sits %s on average", f.Fret, standing(f.MeanMM))
	}
	first, last := f.Shifts[0], f.Shifts[len(f.Shifts)-1]
	if f.Creeps {
		way := "down"
		if last.Rises() {
			way = "up"
		}
		return fmt.Sprintf("fret %d goes %s in %d steps, as a slow drift does, from %s before neck %s (%s) to %s since neck %s (%s)%s", f.Fret, way, len(f.Shifts),
			signedMM(first.Before), first.Label, month(first.Date), signedMM(last.After), last.Label, month(last.Date), together(last.With))
	}
	words := fmt.Sprintf("fret %d sits %s since neck %s (%s)%s; %s before", f.Fret, standing(last.After), last.Label, month(last.Date), together(last.With), signedMM(last.Before))
	switch more := len(f.Shifts) - 1; more {
	case 0:
		return words
	case 1:
		return words + ", and 1 earlier step"
	default:
		return words + fmt.Sprintf(", and %d earlier steps", more)
	}
}

// SmallFindings says how many frets stand off by less than is worth a sentence.
func SmallFindings(n int) string {
	what := "frets stand"
	if n == 1 {
		what = "fret stands"
	}
	return fmt.Sprintf("%d %s off by more than chance, but by less than %.3f mm", n, what, drift.WorthMM)
}

// NecksWithoutTag says how many necks a split by a tag could not place.
func NecksWithoutTag(n int, tag string) string {
	return fmt.Sprintf("%d necks carry no tag %s", n, tag)
}

// standing words a height over the lanes' lines.
func standing(mm float64) string {
	switch {
	case math.Abs(mm) < 0.0005:
		return "on its lanes' lines"
	case mm > 0:
		return fmt.Sprintf("%.3f mm high", mm)
	}
	return fmt.Sprintf("%.3f mm low", -mm)
}

func signedMM(mm float64) string {
	if math.Abs(mm) < 0.0005 {
		return "0.000 mm"
	}
	return fmt.Sprintf("%+.3f mm", mm)
}

// together names the tags that changed with a step.
func together(with []drift.CoincidentTag) string {
	if len(with) == 0 {
		return ""
	}
	var names []string
	for _, w := range with {
		names = append(names, w.Tag+" "+w.Value)
	}
	return ", with " + strings.Join(names, " and ")
}

func month(date string) string { return date[:min(len(date), len("2026-03"))] }
