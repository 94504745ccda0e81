package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// Finding says what is wrong with a fret and what to do about it, in the order of
// the work: seat and glue before any file.
func Finding(f findings.Finding) (words, advice string) {
	words, advice = finding(f)
	if mm, known := f.BesideMM.Get(); known {
		words += fmt.Sprintf(" (%+.3f mm from the line of its neighbours)", mm)
	}
	if f.Run != nil {
		run, _ := Whole(*f.Run)
		if advice = "part of the " + run; f.Run.Kind == findings.KindWorn {
			advice = "see " + run
		}
	}
	return words, advice
}

const (
	thenRead   = ", read again. File only what is left"
	notChased  = ", then read again. Don't chase a low fret with the file"
	andGlue    = "press and glue "
	letSet     = ", let it set" + thenRead
	adviseHigh = andGlue + "it" + letSet
	adviseLow  = "reseat it higher or replace it" + notChased
	adviseWorn = "level down to the grooves, or replace if too little crown would be left"
	yields     = "its readings differ between passes. Press it, seat or glue it if it gives"
	thenReadIt = ", then read again"
	itYields   = yields + ", let it set" + thenReadIt
	mayYield   = yields + thenReadIt
)

// Brief is a finding with its advice, without what follows in any case: all is read
// again after the work, and nothing is filed before.
func Brief(words, advice string) string {
	for _, tail := range []string{thenRead, notChased, thenReadIt} {
		advice = strings.TrimSuffix(advice, tail)
	}
	return words + ": " + strings.NewReplacer(andGlue+"the treble end", andGlue+"it", andGlue+"the bass end", andGlue+"it").Replace(advice)
}

func finding(f findings.Finding) (words, advice string) {
	switch f.Case {
	case findings.HighIn:
		return "high " + underLanes(f.Lanes), adviseHigh
	case findings.LowIn:
		return "low " + underLanes(f.Lanes), adviseLow
	case findings.WholeHigh:
		return "whole fret high", adviseHigh
	case findings.WholeLow:
		return "whole fret low", adviseLow
	case findings.TrebleUnseated:
		return "treble end not seated", andGlue + "the treble end" + letSet
	case findings.BassUnseated:
		return "bass end not seated", andGlue + "the bass end" + letSet
	case findings.TrebleLow:
		return "treble end low", adviseLow
	case findings.BassLow:
		return "bass end low", adviseLow
	case findings.MiddleProud:
		return "middle proud", "its wire is bent rounder than the board. Press and glue the middle, or bend a new piece flatter"
	case findings.EndsProud:
		return "both ends proud", "its wire is bent flatter than the board. Press and glue both ends, or bend a new piece rounder"
	case findings.TrebleMoves:
		return "the treble end moves under the gauge", itYields
	case findings.BassMoves:
		return "the bass end moves under the gauge", itYields
	case findings.TrebleMayMove:
		return "the treble end may move under the gauge", mayYield
	case findings.BassMayMove:
		return "the bass end may move under the gauge", mayYield
	case findings.OffIn:
		return "off in " + laneList(f.Lanes), "read this crown again. If it repeats, press, glue and read again before filing"
	}
	return dent(f)
}

// dent says what single crowns show.
func dent(f findings.Finding) (words, advice string) {
	switch f.Case {
	case findings.Burr:
		return "burr under " + lanesNamed(f.Lanes), "stone the burr off this crown alone, polish, read again"
	case findings.Pit:
		return fmt.Sprintf("pit under %s, %.3f mm deep", lanesNamed(f.Lanes), -f.MM), "replace the fret, or level to the pit's bottom if the plan leaves enough crown"
	case findings.WornUnder:
		switch {
		case len(f.Lanes) == 0:
			return "worn in every lane", adviseWorn
		case f.MM == 0:
			return "worn under " + lanesNamed(f.Lanes), adviseWorn
		}
		return fmt.Sprintf("worn under %s, up to %.3f mm", lanesNamed(f.Lanes), -f.MM), adviseWorn
	case findings.DentOrMisread:
		what := "groove"
		if f.MM > 0 {
			what = "burr"
		}
		return fmt.Sprintf("either a %s of %.3f mm in %s, or a misread", what, math.Abs(f.MM), laneList(f.Lanes)), "read it again: if it repeats, it is real"
	}
	this, other := "low", "high"
	if f.MM > 0 {
		this, other = other, this
	}
	return fmt.Sprintf("%s, or fret %d or %d %s, %s", this, f.Neighbours[0], f.Neighbours[1], other, underLanes(f.Lanes)),
		"three crowns don't show which one is off. Read the frets beside them before you press or file"
}

// Whole says what is wrong with the neck as a whole and what to do about it.
func Whole(w findings.Whole) (words, advice string) {
	frets := ""
	if n := len(w.Frets); n > 0 {
		frets = fmt.Sprintf("frets %d to %d", w.Frets[0], w.Frets[n-1])
	}
	up := w.AmountMM > 0
	switch w.Kind {
	case findings.KindBow:
		words, advice = "the whole neck is humped (back-bow)", "this neck has no rod. Find what bends it before you file"
		if up {
			words = "the whole neck is hollow (up-bow)"
		}
		if w.Rod {
			advice = "set the rod and read again before you file. Never file away what the rod can take out"
		}
		return words, advice
	case findings.KindTwist:
		side := "treble"
		if w.AmountMM < 0 {
			side = "bass"
		}
		return fmt.Sprintf("twist: %s side rises %.2f mm towards the body, edge to edge", side, math.Abs(w.AmountMM)),
			"find what twists it before you file: wood, rod or clamping. Filing a twist out takes most of the crowns"
	case findings.KindRadius:
		words = fmt.Sprintf("all frets flatter than board.radius: edges %.2f mm proud of the middle", -w.AmountMM)
		if up {
			words = fmt.Sprintf("all frets rounder than board.radius: middle %.2f mm proud of the edges", w.AmountMM)
		}
		return words, "check the board's radius and the bend of the wire. Each lane may still be straight and play well"
	case findings.KindWorn:
		return fmt.Sprintf("%s worn under %s, up to %.3f mm", frets, lanesNamed(w.Lanes), w.DepthMM), adviseWorn
	case findings.KindRise:
		return "rise at the body joint, " + frets, "check the joint and the glue under the board. If they are sound, level it, with fall-away if you like"
	case findings.KindHump:
		return "hump over " + frets, "check the board before filing. If it has lifted, glue it down; if it is humped, level it with its frets"
	default:
		return "dip over " + frets, "the dip is in the board. Refit these frets higher, or level the rest to them if enough crown is left"
	}
}

// PassFault says what is wrong with a whole pass and what to do.
func PassFault(p heights.PassFault) string {
	name := "the pass"
	if p.Pass != "" {
		name = fmt.Sprintf("pass %q", p.Pass)
	}
	s := fmt.Sprintf("%s in lane %g", name, p.Lane)
	switch p.Finding {
	case heights.Knocked:
		way := "higher"
		if p.StepMM < 0 {
			way = "lower"
		}
		s += fmt.Sprintf(": from fret %d on everything reads %.2f mm %s than before. The gauge moved", p.FromFret, math.Abs(p.StepMM), way)
	case heights.Skipped:
		s += fmt.Sprintf(": from fret %d on the readings fit the next fret, one off. A crown was skipped or read twice", p.FromFret)
	default:
		s += fmt.Sprintf(": the readings of frets %d and %d seem to be swapped", p.FromFret, p.FromFret+1)
	}
	if !p.Sure {
		return s + ", perhaps. Read that pass again"
	}
	if p.Finding == heights.Knocked {
		return s + fmt.Sprintf(". What follows counts as another pass. If in doubt, read again from fret %d", p.FromFret)
	}
	return s + ". This was corrected. If in doubt, read that pass again"
}

// hopeless is the chance to settle below which a reading is said not to.
const hopeless = 0.15

// WhyNext says why readings are worth taking.
func WhyNext(x findings.Next) string {
	words := ""
	switch x.For {
	case findings.TouchAcross:
		words = "not determined: touch each crown three times or more, across it"
	case findings.LaneNotRead:
		words = "not read yet"
	case findings.NotDetermined:
		words = "not determined"
	case findings.WithTwo:
		words = "not determined: read them in one pass with the two crowns beside them"
	case findings.WholeLane:
		words = "not determined: read the whole lane in one pass"
	case findings.Retake:
		words = fmt.Sprintf("shows whether frets %s in %s were misread or are real", unit.Spans(x.Odd), laneList(x.Lanes))
		if len(x.Odd) == 1 {
			words = fmt.Sprintf("shows whether fret %d in %s was misread or is real", x.Odd[0], laneList(x.Lanes))
		}
		if x.OwnPass {
			words += ". Read it as a new pass"
		}
		return words
	case findings.Settle:
		return whyDoubt(x)
	default:
		return whyLeaf(x)
	}
	if reading.Method(x.Method).Spec().Frets > 1 {
		words += "; every three frets in a row, " + threes(x.Frets[0], 1)
		if len(x.Frets) > 3 {
			words += ", " + threes(x.Frets[0]+1, 1) + " and so on"
		}
	}
	if x.Alone != "" {
		words += fmt.Sprintf(". A %s alone is not enough: use a beam, or a long edge and feelers", x.Alone)
	}
	return words
}

// threes names the frets under a gauge of three feet.
func threes(first, reach int) string {
	return fmt.Sprintf("%d-%d-%d", first, first+reach, first+2*reach)
}

// whyDoubt says what a choice is for and what may be hoped of it.
func whyDoubt(x findings.Next) string {
	words := laneList(x.Doubt) + " are"
	switch {
	case len(x.Doubt) == 1:
		words = laneList(x.Doubt) + " is"
	case x.AllLanes:
		words = "all lanes are"
	}
	if x.Settles < hopeless {
		words += " right at the limit: even this may not settle it"
	} else {
		words += fmt.Sprintf(" too near the limit to call. This settles it on %s", inTen(x.Settles))
	}
	if x.Reach > 1 {
		words += fmt.Sprintf(". Set the feet %d frets either side: %s and so on", x.Reach, threes(x.Frets[0], x.Reach))
	}
	if x.NoLeaf {
		words += ". Leaves can't settle it"
	}
	return words
}

// inTen says a chance as a count of such necks.
func inTen(p float64) string {
	if p > 0.975 {
		return "nearly every such neck"
	}
	return fmt.Sprintf("%d of 10 such necks", min(9, int(math.Round(10*p))))
}

// whyLeaf says which leaf, or how fine leaves, would settle lanes in doubt.
func whyLeaf(x findings.Next) string {
	whose := "its zone lies"
	if len(x.Lanes) > 1 {
		whose = "their zones lie"
	}
	words := fmt.Sprintf("%s between %.3f and %.3f mm; ", whose, x.LeastMM, x.LargestMM)
	if x.For == findings.FinerSteps {
		return words + fmt.Sprintf("leaves in steps of %s mm should settle it", thickness(x.LeafMM))
	}
	return words + fmt.Sprintf("a leaf of %s mm that does not enter would settle it", thickness(x.LeafMM))
}

// thickness prints a leaf as it is stamped.
func thickness(mm float64) string { return strings.TrimSuffix(fmt.Sprintf("%.3f", mm), "0") }

// underLanes says where crowns lie: under strings, or in lanes between them.
func underLanes(lanes []float64) string {
	named := lanesNamed(lanes)
	if strings.HasPrefix(named, "lane") {
		return "in " + named
	}
	return "under " + named
}

// laneList names lanes by number.
func laneList(lanes []float64) string {
	words := "lane"
	if len(lanes) > 1 {
		words = "lanes"
	}
	for i, l := range lanes {
		if i > 0 {
			words += ","
		}
		words += fmt.Sprintf(" %g", l)
	}
	return words
}
