package text

import (
	"fmt"
	"math"

	"ringtrue/internal/relief"
)

// StrungShape says with which bow readings taken strung were judged.
func StrungShape(b relief.Bow) string {
	by := "strings"
	if b.RodN != 0 {
		by = "strings and rod"
	}
	return fmt.Sprintf("read strung: judged with the bow of %s, %.2f mm to fret %d, by beam theory. File it slack", by, b.ReliefMM, b.To)
}

// StrungPlain says that readings taken strung were judged as any others.
const StrungPlain = "read strung: the strings' bow counts as an error. level.strung = true takes it out (needs neck.wood, neck.thickness)"

// ReliefHead is the headline.
func ReliefHead(r *relief.Report) string {
	return fmt.Sprintf("THE STRINGS BEND THIS NECK BY %.2f mm", r.Free.ReliefMM)
}

// ReliefBends says what the strings do with the rod loose.
func ReliefBends(r *relief.Report) string {
	alone := ", rod loose"
	if r.Rod == nil {
		alone = ""
	}
	return fmt.Sprintf("%.0f N of pull%s: %.2f ± %.2f mm to fret %d (%s)", r.PullN, alone, r.Free.ReliefMM, r.Free.UMM, r.ToFret, TwoInThree)
}

// ReliefMore says with --all where the strings bend the neck most, and how stiff it is.
func ReliefMore(r *relief.Report) []string {
	return []string{
		fmt.Sprintf("by the strings alone: deepest at fret %d, %.3f mm for each 100 N, action %+.2f mm", r.Free.Fret, r.Free.Per100MM, r.Free.ActionMM),
		fmt.Sprintf("bending stiffness: %.0f N m² at fret 1, %.0f N m² at the joint, fret %d", r.StiffNM2[0], r.StiffNM2[1], r.JointFret),
	}
}

// ReliefRests says what the bends rest on.
func ReliefRests(f relief.Factor) string {
	if f.Pairs == 0 {
		return fmt.Sprintf("by beam theory, ± %.0f %%. Necks read slack and strung make it surer (--pairs)", 100*f.UNext)
	}
	return fmt.Sprintf("by %s read slack and strung: %.2f times beam theory, ± %.0f %%", Count(f.Pairs, "neck"), f.Mean, 100*f.UNext/f.Mean)
}

// ReliefDoes says what rod, other strings and time do.
func ReliefDoes(r *relief.Report) (out []string) {
	if k := r.Rod; k != nil {
		verb, n := "pulls", k.PullN
		if n < 0 {
			verb, n = "pushes", -n
		}
		out = append(out, fmt.Sprintf("the rod %s with %.0f ± %.0f N to leave %.2f mm", verb, roundTo(n, 10), roundTo(k.UN, 10), k.ReliefMM))
	}
	if c := r.Change; c != nil {
		words := fmt.Sprintf("other strings: %+.0f N, relief %+.2f ± %.2f mm, action %+.2f mm", c.MoreN, c.ReliefMM, c.UMM, c.ActionMM)
		if r.Rod != nil {
			words += fmt.Sprintf("; rod %+.0f N", roundTo(c.RodN, 10))
		}
		out = append(out, words)
	}
	month, season := r.Creep[0], r.Creep[1]
	return append(out, fmt.Sprintf("creep: %.2f mm more in a month, %.2f mm in a season on average, up to %.2f mm", month.MeanMM, season.MeanMM, season.MostMM))
}

func roundTo(v, step float64) float64 { return math.Round(v/step) * step }

// smallPart of the zone may be lost to the strung shape without a word.
const smallPart = 1.0 / 3

// ReliefDo says what to do in order. zoneMM is the limit of a lane.
func ReliefDo(r *relief.Report, zoneMM float64) (out []string) {
	back := fmt.Sprintf("%.2f ± %.2f mm", r.BackMM, r.UBackMM)
	sure := r.UBackMM <= smallPart*zoneMM
	if r.Rod == nil {
		level := "Slack, this neck must be " + back + " above the shape in [level], too unsure to file to. Level it under string pull, or read necks slack and strung first."
		if sure {
			level = "Level it slack, to the table under --all. Levelled to the shape in [level], it would be hollow by " + back + " once strung."
		}
		return append(out, level, "String it. Read relief after a day, a month and a season.")
	}
	loosen := "Slacken the strings and loosen the rod. Left as strung, the rod bends the slack neck back by " + back + "."
	if sure {
		loosen += " If you leave it, level to that column of the table."
	}
	level := fmt.Sprintf("Level it, to the shape in [level]: strung and set, it is right within %.3f mm.", r.LooseMM)
	if r.LooseMM > smallPart*zoneMM {
		level = fmt.Sprintf("Level it, to the table under --all: the shape in [level] would be %.3f mm off once strung.", r.LooseMM)
	}
	return append(out, loosen, level, fmt.Sprintf("String it, set the rod to %.2f mm. Read relief after a day, a month, a season.", r.Rod.ReliefMM))
}

// ReliefAssumed says what was taken for what the neck file does not say.
func ReliefAssumed(n *relief.Neck) (out []string) {
	if n.Taken {
		out = append(out, fmt.Sprintf("neck.joint: fret %d, where the relief ends", n.Joint))
	}
	if n.Model.Body.Rod {
		out = append(out, fmt.Sprintf("a straight rod, its middle %d mm under the board, up to the joint", relief.RodBelowMM))
	}
	return append(out, fmt.Sprintf("%s under %s, at their species' mean stiffness; half an ellipse under the board", n.Body, n.Board))
}

// ReliefWarnings are what to look out for.
func ReliefWarnings(r *relief.Report) []string {
	out := []string{}
	if k := r.Rod; k != nil && k.PullN < 0 {
		out = append(out, fmt.Sprintf("the strings alone don't bow the neck by %.2f mm. That needs a rod that works both ways", k.ReliefMM))
	}
	return out
}

// ReliefTargets heads the table of what to level slack to.
const ReliefTargets = "Level the slack neck to this, mm off [level]'s shape"

// ReliefFrom says where the table's heights are taken from.
const ReliefFrom = "heights are from the line through the first and the last crown"

// ReliefColumns are its columns; ReliefSet alone where there is no rod.
const (
	ReliefLoose = "rod loose"
	ReliefSet   = "rod as strung"
	ReliefAlone = "slack"
)
