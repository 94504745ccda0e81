package text

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// NotJudged says why stops could not be judged, or not against every fret.
func NotJudged(u play.Unjudged) string {
	because := ""
	if u.Cause != "" {
		because = " (" + u.Cause + ")"
	}
	needs := ""
	switch u.Lack {
	case play.LackStops:
		return "their crowns are not known" + because
	case play.LackBeyond:
		return fmt.Sprintf("judged against known crowns only; %s beyond not known%s", Count(u.Missing, "fret"), because)
	case play.LackLane:
		return fmt.Sprintf("no crown in lane %d is known. Read along it", u.String)
	case play.LackAction:
		needs = "the action is measured there"
	case play.LackOpen:
		needs = "the open string lies on it"
	case play.LackGap:
		needs = "the nut gap is measured there"
	}
	return fmt.Sprintf("fret %d's crown is not known, and %s", u.Fret, needs)
}

// SetAside says how many readings were set aside.
func SetAside(n int) string {
	if n == 1 {
		return "one reading disagrees with the rest and was set aside; frets names it"
	}
	return fmt.Sprintf("%d readings disagree with the rest and were set aside; frets names them", n)
}

// Strung warns of readings that hold the strings' bow already.
func Strung(reliefMM float64) string {
	return fmt.Sprintf("readings were taken strung, so they include the strings' bow. setup.relief adds %.2f mm to it: set it to 0 if that is too much", reliefMM)
}

// PlayWarnings are what the maker should know beside the verdicts.
func PlayWarnings(n *play.Neck, r *play.Report) (warnings []string) {
	add := func(format string, args ...any) { warnings = append(warnings, fmt.Sprintf(format, args...)) }
	m := n.Model
	arch := 0.0
	for i, s := range n.Strings {
		if s.StressMPa > s.StrengthMPa {
			add("string %d would be under %.0f N/mm². Music wire of %.2f mm breaks at about %.0f N/mm²: beware of flying ends", i+1, s.StressMPa, s.CoreMM, s.StrengthMPa)
		}
		arch = max(arch, r.Strings[i].BoardShapeMM)
		if r.Strings[i].Chokes(r.JudgeBy) {
			add("string %d chokes at every stop: its action, %.2f mm, is below the frets", i+1, r.Strings[i].ActionMM)
		}
	}
	if arch > m.Level.Zone/10 {
		add("up to %.3f mm of a lane's zone is the board's own arch: the strings don't run along its cone", arch)
	}
	if m.Scale.ZeroFret && (m.Setup.NutGap != nil || slices.ContainsFunc(m.Setup.Nut, func(v float64) bool { return v != 0 })) {
		add("the open string lies on fret 0; setup.nut and setup.nut_gap have no effect")
	}
	if m.Wire.CrownHeight <= m.Level.LeastCrown {
		add("wire.crown_height, %.2f mm, is not above level.least_crown, %.2f mm: there is no metal to take off", m.Wire.CrownHeight, m.Level.LeastCrown)
	}
	return warnings
}

// Cure says what would make a note ring, a fret that is off first.
func Cure(w play.Worst) string {
	r := w.Remedy
	if r == nil {
		return "nothing to do: it touches by less than can be measured"
	}
	var ways []string
	if r.LevelFret {
		ways = append(ways, fmt.Sprintf("level fret %d, which is %.3f mm high here (%.3f mm off is enough)", r.Fret, r.HighMM, num.RoundUp(r.ShortMM, 1e3)))
	}
	if r.RaiseStop {
		ways = append(ways, fmt.Sprintf("refit fret %d, which is %.3f mm low here", w.Fret, r.LowMM))
	}
	if !r.Explained() && r.TakeAlone {
		ways = append(ways, fmt.Sprintf("take %.3f mm off fret %d", num.RoundUp(r.ShortMM, 1e3), r.Fret))
	}
	if !math.IsInf(r.NutMM, 1) {
		ways = append(ways, fmt.Sprintf("raise the nut by %.2f mm", num.RoundUp(r.NutMM, 100)))
	}
	if !math.IsInf(r.ActionMM, 1) {
		ways = append(ways, fmt.Sprintf("raise the action by %.2f mm", num.RoundUp(r.ActionMM, 100)))
	}
	if len(ways) == 0 {
		return "no single change helps: look at nut, relief and action together"
	}
	return strings.Join(ways, ", or ")
}

// NoMetal says why no metal clears a string.
func NoMetal(s play.StringMetal) string {
	return fmt.Sprintf("the note stopped at fret %d needs more off fret %d than there is above level.least_crown", s.StopFret, s.ShortFret)
}
