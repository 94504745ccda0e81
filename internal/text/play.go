package text

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// PlayHead is the answer on a neck's notes in a few words.
func PlayHead(r *play.Report) string {
	n, all := r.Count(r.JudgeBy)
	switch {
	case all == 0:
		return "NOTHING COULD BE JUDGED"
	case n[play.Buzzes]+n[play.Chokes] > 0:
		return "NOTES BUZZ"
	case n[play.Grazes] > 0:
		return "SOME NOTES GRAZE"
	case r.Left.Any() && !r.Sure():
		return "THE NOTES JUDGED ARE LIKELY CLEAR"
	case r.Left.Any():
		return "THE NOTES JUDGED ARE CLEAR"
	case !r.Sure():
		return "EVERY NOTE LIKELY CLEAR"
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

// TallyInDoubt is Tally with how many of the notes the readings leave in doubt.
func TallyInDoubt(n map[play.Verdict]int, inDoubt int) string {
	if inDoubt == 0 {
		return Tally(n)
	}
	return fmt.Sprintf("%s; %d in doubt", Tally(n), inDoubt)
}

// Touch says how a touch plucks, and where.
func Touch(t neck.Touch) string {
	what := fmt.Sprintf("%g N", t.Force)
	if t.Forces != nil {
		if least, most := slices.Min(t.Forces), slices.Max(t.Forces); least != most {
			what = fmt.Sprintf("%g to %g N by string", least, most)
		}
	}
	if t.Lift > 0 {
		what = fmt.Sprintf("lifted %s mm", unit.Decimal(math.Round(t.Lift*1000)/1000))
	}
	return fmt.Sprintf("%s, %s mm from the saddle", what, unit.Decimal(math.Round(t.FromSaddle*100)/100))
}

// PlayState says in a few words what state a neck is judged in; "" where it is as
// read, without a capo.
func PlayState(perfect, planned bool, capo int) string {
	var parts []string
	if perfect {
		parts = append(parts, "perfect crowns")
	}
	if planned {
		parts = append(parts, "as planned, after levelling")
	}
	if capo > 0 {
		parts = append(parts, fmt.Sprintf("capo at fret %d", capo))
	}
	return strings.Join(parts, "; ")
}

// WorstNote says what a note that is not clear does, and what would cure it.
func WorstNote(w play.Worst) string {
	at := ""
	if w.AtFret > 0 {
		at = fmt.Sprintf(" on fret %d, %.3f mm short", w.AtFret, w.ShortMM)
	}
	if w.InDoubt {
		at += fmt.Sprintf(" (%s)", straight.InDoubt)
	}
	return fmt.Sprintf("string %d, fret %d %s%s: %s", w.String, w.Fret, w.Verdict, at, w.Cure)
}

// AtTouch names a touch of the neck file within a sentence.
func AtTouch(name string) string { return `touch "` + name + `"` }

// LevelAndRing says in one sentence how level the frets are and how the notes
// ring over them; settled: nothing is loose or to be read again. "" where no note
// could be judged.
func LevelAndRing(level straight.Verdict, limitMM float64, notes play.Sum, settled bool) string {
	words := fmt.Sprintf("%s to %.3f mm", level, limitMM)
	clear := "every note is clear at " + AtTouch(notes.Touch)
	if notes.NotJudged {
		clear = "every note that could be judged is clear at " + AtTouch(notes.Touch)
	}
	if !notes.Sure() {
		clear += fmt.Sprintf(" as read, not for sure (%s)", percent(notes.ChanceAllClear))
	}
	switch w := notes.Worst; {
	case notes.Notes == 0:
		return ""
	case w != nil:
		return words + and(level, false) + shortNote(w, notes.Touch)
	case level == straight.Level:
		return words + and(level, true) + clear
	case !settled || notes.NotJudged:
		return words + and(level, true) + clear + ". First do what frets names"
	case level == straight.InDoubt:
		return words + and(level, true) + clear + ". Read more, or leave it"
	}
	return words + and(level, true) + clear + ". File to the limit, or leave it"
}

// shortNote says what a note that is not clear does, and whether that is sure.
func shortNote(w *play.Worst, touch string) string {
	words := fmt.Sprintf("string %d, fret %d %s", w.String, w.Fret, w.Verdict)
	if w.AtFret > 0 {
		words += fmt.Sprintf(" on fret %d", w.AtFret)
	}
	words += " at " + AtTouch(touch)
	if w.InDoubt {
		words += fmt.Sprintf(" (%s)", straight.InDoubt)
	}
	return words
}

// and joins a verdict on the frets to good or bad news of the notes.
func and(level straight.Verdict, good bool) string {
	if good == (level == straight.Level) {
		return ", and "
	}
	return ", but "
}

// LookNext is where to look for a buzz that no fret explains.
const LookNext = "If no fret explains a buzz, check the nut slot (open string only) and the string behind the finger. Then check saddle slot, rod and loose hardware."

// Cures says of each way to clear every note, by itself, what it takes.
func Cures(c *play.Cures) [][2]string {
	line := func(what string, v num.Opt, form, none string) [2]string {
		if mm, known := v.Get(); known {
			return [2]string{what, fmt.Sprintf(form, mm)}
		}
		return [2]string{what, none}
	}
	up := func(v num.Opt) num.Opt {
		return num.Some(math.Copysign(num.RoundUp(math.Abs(v.OrNaN()), 100), v.OrNaN()))
	}
	refit := "no single fret is enough"
	if len(c.Refit) > 0 {
		refit = fmt.Sprintf("one of fret %s, to its proper height", unit.Spans(c.Refit))
	}
	return [][2]string{
		line("action", up(c.RaiseActionMM), "raise the action of the string that needs most by %.2f mm", "no action is high enough"),
		line("relief", up(c.ReliefMM), "change it by %+.2f mm", "no relief is enough"),
		line("nut", up(c.RaiseNutMM), "raise it by %.2f mm", "no nut height is enough"),
		line("metal", c.MetalMM, "take %.3f mm off in all, see below", "some crown would go too low"),
		{"refit", refit},
	}
}

// SeeToOff names those of the frets found to be off that keep notes from being
// clear, with the most that each is off; "" where none does.
func SeeToOff(worst []play.Worst, found []int) string {
	high, low := map[int]float64{}, map[int]float64{}
	for _, w := range worst {
		if r := w.Remedy; r != nil && r.LevelFret {
			high[r.Fret] = max(high[r.Fret], r.HighMM)
		} else if r != nil && r.RaiseStop {
			low[w.Fret] = max(low[w.Fret], r.LowMM)
		}
	}
	var parts []string
	for _, side := range []struct {
		off  map[int]float64
		word string
	}{{high, "high"}, {low, "low"}} {
		for _, f := range slices.Sorted(maps.Keys(side.off)) {
			if slices.Contains(found, f) {
				parts = append(parts, fmt.Sprintf("fret %d (%.3f mm %s)", f, side.off[f], side.word))
			}
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "See to " + strings.Join(parts, ", ") + ": frets says how"
}

// ClearAll says what clears every note, each by itself.
func ClearAll(c *play.Cures, touch string) string {
	var ways []string
	if mm, known := c.RaiseActionMM.Get(); known && !math.IsInf(mm, 0) {
		ways = append(ways, fmt.Sprintf("raise the action by %.2f mm on the string that needs most", num.RoundUp(mm, 100)))
	}
	if mm, known := c.ReliefMM.Get(); known {
		ways = append(ways, fmt.Sprintf("change the relief by %+.2f mm", math.Copysign(num.RoundUp(math.Abs(mm), 100), mm)))
	}
	if mm, known := c.RaiseNutMM.Get(); known {
		ways = append(ways, fmt.Sprintf("raise the nut by %.2f mm", num.RoundUp(mm, 100)))
	}
	if len(c.Refit) > 0 {
		ways = append(ways, fmt.Sprintf("refit one of fret %s to its proper height", unit.Spans(c.Refit)))
	}
	if mm, known := c.MetalMM.Get(); known {
		ways = append(ways, fmt.Sprintf("take %.3f mm of metal off in all (--all lists it)", mm))
	}
	if len(ways) == 0 {
		return "No single change clears every note at " + AtTouch(touch) + ": look at nut, relief and action together"
	}
	return fmt.Sprintf("To clear every note at %q", touch) + ": " + strings.Join(ways, ", or ")
}

// LowestClear says how low every string can go, all notes being clear.
func LowestClear(strung []play.StringReport) string {
	var all []string
	for _, s := range strung {
		if mm, known := s.LowestClear().Get(); known {
			all = append(all, fmt.Sprintf("%.2f%s mm (set %.2f mm)", num.RoundUp(mm, 100), AboutMM(s.ULowestClearActionMM, 2), s.ActionMM))
		} else {
			all = append(all, "not known")
		}
	}
	return fmt.Sprintf("lowest clear action, string 1 first: %s", strings.Join(all, ", "))
}

// NoMetalOn says of a string why no metal clears it, and what to do.
func NoMetalOn(s play.StringMetal) string {
	return fmt.Sprintf("string %d: %s; raise the action, or refit", s.String, s.Why)
}

// Bends says how many bends there are of each verdict.
func Bends(n map[play.BendVerdict]int) string {
	return fmt.Sprintf("Bends: %d clear, %d strike a fret, %d fret out, %d need more board", n[play.BendClear], n[play.Strikes], n[play.FretsOut], n[play.OffBoard])
}

// Bend says what a bend that does not ring meets, and what would save it.
func Bend(b play.Bend) string {
	side := "on the centre line"
	if across := b.AcrossMM.OrNaN(); across != 0 {
		side = fmt.Sprintf("%.0f mm to the %s side", math.Abs(across), map[bool]string{true: "treble", false: "bass"}[across > 0])
	}
	save := ""
	if b.SaveFlat {
		save = "a flat board, or "
	} else if mm, known := b.SaveRadiusMM.Get(); known {
		save = fmt.Sprintf("a radius of %.0f mm at the stop, or ", math.Ceil(mm))
	}
	return fmt.Sprintf("string %d, fret %d, pushed %.1f mm: %s at fret %d, %s; to clear it: %s%.2f mm more fall-away there",
		b.String, b.Fret, b.PushMM, b.Verdict, *b.NearestFret, side, save, num.RoundUp(b.SaveFallMM.OrNaN(), 100))
}

// PlayLimits says what judging notes leaves out, in numbers where it has them: the
// least time that the plane of a pluck takes to turn by a quarter, and the most
// that a string sags.
func PlayLimits(turnMS num.Opt, sagMM float64) string {
	turning := ""
	if ms, known := turnMS.Get(); known {
		turning = fmt.Sprintf(" (by tension alone a quarter turn takes %.0f s or more; unequal ends turn it sooner)", ms/1000)
	}
	return fmt.Sprintf("Left out: the pluck's plane turns late in the note%s. The body moves, which counts only as damping. Strings sag on a neck lying flat (up to %.2f mm). "+
		"A graze is a contact with less impulse than setup.graze: this program's own measure, not a limit of hearing.", turning, sagMM)
}
