package text

import (
	"fmt"
	"slices"
	"strings"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/setup"
)

// SetupHead is the answer of a set-up sheet in a few words.
func SetupHead(s *setup.Sheet) string {
	slots, saddle := s.Deeds()
	switch {
	case s.FretsOff:
		return "FRETS FIRST, THEN THE SET-UP"
	case s.FirstTurn():
		return TurnHead(s.Angle)
	case slots[setup.Raise] > 0:
		return "A NUT SLOT IS TOO DEEP"
	case saddle[setup.Raise] > 0:
		return "THE SADDLE IS TOO LOW"
	case slots[setup.Take] > 0 && saddle[setup.Take] > 0:
		return "TAKE SADDLE AND NUT DOWN"
	case slots[setup.Take] > 0:
		return "TAKE THE NUT SLOTS DOWN"
	case saddle[setup.Take] > 0:
		return "TAKE THE SADDLE DOWN"
	case !s.Done():
		return "A FEW STROKES LEFT"
	}
	return "SET UP AS WANTED"
}

// TurnHead is what a neck's angle asks for, in a few words.
func TurnHead(a *setup.Angle) string {
	switch a.Verdict {
	case setup.ResetNeck:
		return "RESET THE NECK FIRST"
	case setup.ShimNeck:
		return "SHIM THE NECK FIRST"
	case setup.TurnNeck:
		return "NECK ANGLE FIRST"
	case setup.MetalHasIt:
		return "THE SADDLE RUNS OUT"
	}
	return "THE SADDLE IS HIGH ENOUGH"
}

// SetupPlays says how the notes of the neck so set come out.
func SetupPlays(n map[play.Verdict]int, left play.Left, touch string, perfect bool) string {
	crowns := ""
	if perfect {
		crowns = ", perfect crowns"
	}
	words := Tally(n)
	if words == "" {
		words = "no note could be judged"
	}
	return fmt.Sprintf("Set up like this, at %s%s: %s%s", AtTouch(touch), crowns, words, LeftWords(left))
}

// SetupLowest says that the least action is set, not the neck file's.
func SetupLowest(left play.Left) string {
	if left.Any() {
		return "Set as low as the notes judged are clear, not to setup.action"
	}
	return "Set as low as every note is clear, not to setup.action"
}

// CannotShort says in one line which strings do not ring clear as wanted; "" where
// all do.
func CannotShort(s *setup.Sheet, perfect bool) string {
	if len(s.Cannot) == 0 {
		return ""
	}
	var numbers []int
	for _, c := range s.Cannot {
		numbers = append(numbers, c.String)
	}
	when := "at the wanted action"
	if perfect {
		when = "even with perfect crowns"
	}
	return "Not clear " + when + ": " + stringsNamed(numbers) + " (--lowest shows what is)"
}

// CannotBeHad says of one string what is in the way, and what can be had.
func CannotBeHad(c setup.Cannot) string {
	at := ""
	if c.OnFret > 0 {
		at = fmt.Sprintf(" on fret %d", c.OnFret)
	}
	note := fmt.Sprintf("fret %d %s%s", c.Fret, c.Verdict, at)
	if c.Fret == 0 {
		note = fmt.Sprintf("the open string %s%s", c.Verdict, at)
	}
	least := "no action clears it: look at nut and relief"
	if mm, known := c.LeastActionMM.Get(); known {
		least = fmt.Sprintf("clear from %.2f mm up", num.RoundUp(mm, 100))
	}
	return fmt.Sprintf("string %d is not clear at the wanted %.2f mm: %s; %s", c.String, c.ActionMM, note, least)
}

// CannotWays says what could make those strings clear.
const CannotWays = "Level the frets closer, change relief or nut, or use the lowest clear action: --lowest makes that sheet."

// SetupRod is the deed that goes before all cuts.
func SetupRod(s *setup.Sheet) string {
	words := fmt.Sprintf("Set the rod to %.2f mm relief", s.ReliefMM)
	if !s.Rod {
		words = fmt.Sprintf("See that the relief is %.2f mm", s.ReliefMM)
	}
	return words + ". Press the strings down at nut and saddle"
}

// SetupTake heads the table of what to take off.
func SetupTake(s *setup.Sheet) string {
	if s.ZeroFret {
		return "Take off, mm, and no more in this pass"
	}
	return fmt.Sprintf("Take off, mm, and no more in this pass (feeler: held on fret %d)", setup.HeldFret)
}

// SetupFrets is the deed that goes before a set-up.
func SetupFrets(s *setup.Sheet) string {
	return fmt.Sprintf("Level the frets first, to within %.3f mm (frets says how), then measure again.", s.ZoneMM)
}

// SetupSteps are the deeds in order, a sentence each.
func SetupSteps(s *setup.Sheet) []string {
	var steps []string
	say := func(format string, args ...any) { steps = append(steps, fmt.Sprintf(format, args...)) }
	if s.FretsOff {
		steps = append(steps, SetupFrets(s))
	}
	say("%s. If the relief was different when you measured, measure again.", SetupRod(s))
	if s.FirstTurn() {
		steps = append(steps, AngleWords(s.Angle)...)
	}
	if s.Early() {
		return steps
	}
	slots, saddle := s.Deeds()
	if saddle[setup.Take] > 0 {
		say("Take the saddle down as the sheet says: it stops short on purpose. %s", footWords(s))
	}
	if slots[setup.Take] > 0 {
		say("File the nut slots until the feeler listed fits over fret 1, with the string held down on fret %d. Slots 0.03 to 0.08 mm wider than the string, floor falling 5 to 15° back.", setup.HeldFret)
	}
	if saddle[setup.Take]+slots[setup.Take] > 0 {
		say("String up, measure, make the sheet again: it gives the next pass. The first pass leaves what nobody can file for sure. A slot cut too deep needs filler or a new nut.")
	}
	if n := slots[setup.Touch] + saddle[setup.Touch]; n > 0 {
		say("Last strokes: one at a time, string up and try the leaf after each. What is left is within the uncertainty, so you may leave it.")
	}
	if slots[setup.Raise] > 0 {
		say("Slots too deep: %s. Fill them or fit a new nut: filing can't help.", raised(s, func(c setup.Cut) *setup.End { return c.Slot }))
	}
	if saddle[setup.Raise] > 0 {
		say("Saddle too low: %s. Raise it: screws, a shim under it, or a new one.", raised(s, func(c setup.Cut) *setup.End { return &c.Saddle }))
	}
	say("Intonation: set the saddle back as the sheet says, then tune by ear or tuner.")
	say("Check the rod again after a day at pitch.")
	return steps
}

// footWords says how a saddle of one piece is taken down.
func footWords(s *setup.Sheet) string {
	if mm := s.FootMM(); mm > 0 {
		return fmt.Sprintf("A saddle of one piece: %.2f mm off its foot, the rest off its top.", mm)
	}
	return "A saddle of one piece: off its top, string by string."
}

// raised lists the strings of which an end is too low, the bass first.
func raised(s *setup.Sheet, end func(setup.Cut) *setup.End) string {
	var parts []string
	for _, c := range slices.Backward(s.Cuts) {
		if e := end(c); e != nil && e.Deed == setup.Raise {
			parts = append(parts, fmt.Sprintf("string %d (%.2f mm)", c.String, -e.TakeMM))
		}
	}
	return strings.Join(parts, ", ")
}

// SetupTooLow says which slots are too deep and where the saddle is too low, a line
// each; none where frets or neck come first.
func SetupTooLow(s *setup.Sheet) []string {
	var out []string
	if s.Early() {
		return nil
	}
	if words := raised(s, func(c setup.Cut) *setup.End { return c.Slot }); words != "" {
		out = append(out, "slot too deep: "+words+". Fill it or fit a new nut")
	}
	if words := raised(s, func(c setup.Cut) *setup.End { return &c.Saddle }); words != "" {
		out = append(out, "saddle too low: "+words)
	}
	return out
}

// SetupWarnings are what to know of what was measured.
func SetupWarnings(s *setup.Sheet) []string {
	var out []string
	for _, c := range s.Cuts {
		if c.Misread {
			out = append(out, fmt.Sprintf("string %d: the gap held down on fret %d contradicts the open ones. Measure both again", c.String, setup.HeldFret))
		}
	}
	if len(s.NotSet) > 0 {
		var numbers []int
		for _, x := range s.NotSet {
			numbers = append(numbers, x.String)
		}
		out = append(out, numbered("string", numbers)+" left out: the crowns under the gaps are not known. Read them")
	}
	if len(s.Missing) > 0 {
		out = append(out, "not measured: "+stringsNamed(s.Missing))
	}
	return out
}

// cutNothing ends what is said of a neck that must be turned.
const cutNothing = "Cut no slot and no saddle before that. Then string up and measure again."

// AngleWords say what the neck's angle needs, and what metal could do.
func AngleWords(a *setup.Angle) []string {
	if a.Verdict == setup.SaddleHasIt {
		return []string{fmt.Sprintf("The saddle can go as low as wanted: at least %.1f mm must show, and it does, within the uncertainty.", a.LeastMM)}
	}
	short := AngleShort(a)
	if a.Verdict == setup.MetalHasIt {
		return short
	}
	metal := fmt.Sprintf("Filing crowns is not enough: %.2f mm off fret 1, tapering to nothing at the last, raises their line by %.2f mm at the saddle. There is no more to take off.", a.MetalMM, a.MetalRiseMM)
	return slices.Insert(short, 2, metal)
}

// AngleShort says of a saddle that runs out how much it lacks, and what to do.
func AngleShort(a *setup.Angle) []string {
	out := []string{fmt.Sprintf("The saddle runs out: under string %d it is %.2f mm short of the %.1f mm that must show, or %.2f mm of action.", a.String, a.ShortMM, a.LeastMM, a.ActionMM)}
	switch a.Verdict {
	case setup.MetalHasIt:
		return append(out, fmt.Sprintf("Filing crowns would only just be enough: up to %.2f mm off fret 1, tapering to nothing at the last, raises their line by %.2f mm at the saddle. That metal is then gone. Turning the neck costs none.", a.MetalMM, a.MetalRiseMM))
	case setup.ShimNeck:
		out = append(out, "Shim the neck: "+shimWords(a))
	case setup.ResetNeck:
		out = append(out, "Reset the neck: turn it back"+turnWords(a))
	default:
		out = append(out, "Turn the neck back"+turnWords(a)+" For what to take off or put in, add neck.heel or neck.pocket.")
	}
	return append(out, cutNothing)
}

func turnWords(a *setup.Angle) string {
	deg, known := a.AngleDeg.Get()
	if !known {
		return fmt.Sprintf(" until the crowns' line is %.2f mm higher at the saddle. For the angle, add neck.joint.", a.RaiseMM)
	}
	words := fmt.Sprintf(" by %.2f°, so that the crowns' line is %.2f mm higher at the saddle.", deg, a.RaiseMM)
	if mm, known := a.HeelMM.Get(); known {
		words += fmt.Sprintf(" That is %.2f mm off the heel's cap, tapering to nothing at the board.", mm)
	}
	return words
}

func shimWords(a *setup.Angle) string {
	mm, known := a.ShimMM.Get()
	if !known {
		return strings.TrimSpace("turn it back" + turnWords(a))
	}
	return fmt.Sprintf("a wedge %.2f mm thick under its inner end, tapering to nothing at the pocket's mouth (%.2f°), or an even shim of %.2f mm. It must touch all along: a strip at one end leaves a hollow that the neck sags into.",
		mm, a.AngleDeg.OrNaN(), a.EvenMM.OrNaN())
}

// SetupRests says what the sheet rests on.
func SetupRests(s *setup.Sheet, d setup.Doubt) []string {
	kink, at := 0.0, 0
	for i, k := range s.Kinks {
		if mm := k.Or(0); mm > kink {
			kink, at = mm, s.Cuts[i].String
		}
	}
	source := ""
	if d == setup.Usual() {
		source = " (workshop figures, from memory)"
	}
	out := []string{
		fmt.Sprintf("measured to ± %.2f mm (gaps) and ± %.2f mm (action); cut to ± %.2f mm (slots) and ± %.2f mm (saddle), two times in three%s", d.GapMM, d.ActionMM, d.SlotMM, d.SaddleMM, source),
		"a pass stops short enough to end too deep at most 1 time in 20",
		fmt.Sprintf("slots are for the finished saddle: one cut to size before the saddle comes down ends too deep. 1 mm of saddle is %s mm of action", share(s)),
	}
	if kink > 0 {
		out = append(out, fmt.Sprintf("strings not pressed down at nut and saddle are up to %.2f mm too high (string %d, 10° over the edge, derived)", kink, at))
	}
	return append(out, "the lowest clear action is simulated, as in play. All heights include relief, fall-away and the crowns as read")
}

// share is how much of the saddle's height is action.
func share(s *setup.Sheet) string {
	if s.Over == 12 {
		return "0.5"
	}
	return "part of a"
}

// SetupAbout says what the sheet's page shows.
func SetupAbout(neck string) string {
	return fmt.Sprintf("What to take off each nut slot and the saddle of %s, string by string, with lines to write on.", neck)
}

// SetupTitle heads the sheet's page.
func SetupTitle(neck string) string { return neck + ": set-up" }
