package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/plan"
	"ringtrue/internal/text"
)

// planText prints the answer of `plan` for a person: places and cuts first,
// then wire, slots, fit, glue, ends and saddle, then notes.
type planText struct {
	out    io.Writer
	answer *answer.WorkPlan
	all    bool
}

func (t planText) print() {
	w := t.out
	if !t.all {
		t.short(w)
		return
	}
	t.head(w)
	if t.answer.Slanted {
		t.places(w)
	}
	t.cuts(w)
	t.wire(w)
	t.slots(w)
	t.glue(w)
	t.ends(w)
	t.saddle(w)
	t.alloys(w)
	section(w, "Note", t.answer.Notes)
	section(w, "Caution", t.answer.Cautions)
}

// short prints what to saw, cut, bend and press, nothing else.
func (t planText) short(w io.Writer) {
	a, s := t.answer, &steps{w: w, plain: true}
	t.head(w)
	lines(w, "! ", a.Notes)
	if a.Fit.Verdict == plan.Wedges {
		lines(w, "! ", text.PlanFit(a.Fit.Fit)[:1])
	}
	var centre, bass, treble []string
	for _, f := range a.Frets {
		centre, bass, treble = append(centre, mm2(f.CentreMM)+" mm"), append(bass, mm2(f.BassMM)+" mm"), append(treble, mm2(f.TrebleMM)+" mm")
	}
	saw := text.PlanSaw(a.Frets, a.Slots)
	if a.Slanted {
		s.step(saw)
		s.detail("treble lane: " + strings.Join(treble, ", "))
		s.detail("bass lane: " + strings.Join(bass, ", "))
	} else {
		s.step(saw + " " + strings.Join(centre, ", "))
	}
	s.step(text.PlanCut(a.Frets, a.Wire, a.WithWaste, a.Coils))
	s.step(text.PlanPress(a.Glue.Glue))
	wrap(w, "", text.PlanCare)
}

// section prints lines under a heading, or nothing.
func section(w io.Writer, heading string, lines []string) {
	for i, l := range lines {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", heading)
		}
		wrap(w, "  ", l)
	}
}

func (t planText) head(w io.Writer) {
	a := t.answer
	if a.Slanted {
		fmt.Fprintf(w, "%s: %d frets, slanted, %s mm bass and %s mm treble\n", a.Neck, t.frets(), short(a.ScaleBass), short(a.ScaleTreble))
		return
	}
	fmt.Fprintf(w, "%s: %d frets on %s mm\n", a.Neck, t.frets(), short(a.ScaleBass))
}

// frets is the number of the last fret.
func (t planText) frets() int { return t.answer.Frets[len(t.answer.Frets)-1].Number }

// short prints a size with no more decimals than it has, at most two.
func short(mm float64) string {
	s := fmt.Sprintf("%.2f", mm)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// places is the table of a slanted neck's places.
func (t planText) places(w io.Writer) {
	rows := [][]string{{"fret", "from nut", "step", "bass side", "treble side", "slant"}}
	for _, f := range t.answer.Frets {
		rows = append(rows, []string{fmt.Sprint(f.Number), mm2(f.CentreMM), mm2(f.StepMM), mm2(f.BassMM), mm2(f.TrebleMM), fmt.Sprintf("%.2f", f.SlantDeg)})
	}
	lengthTable(w, "\nPlaces from the nut's line, mm; slant, degrees", rows, rows[0][1:5]...)
	wrap(w, "  ", "from nut and step: on the centre line; sides: on the outer lanes")
}

func mm2(v float64) string { return fmt.Sprintf("%.2f", v) }

// cuts is the table of places and cuts.
func (t planText) cuts(w io.Writer) {
	first, straight := t.answer.Frets[0], !t.answer.Slanted
	bent, ranged := first.LoadedMM.Known(), first.LoadedRange.Low < first.LoadedRange.High
	shown := []bool{true, straight, straight, true, true, bent, bent, ranged, true}
	row := func(cells ...string) []string {
		var out []string
		for i, c := range cells {
			if shown[i] {
				out = append(out, c)
			}
		}
		return out
	}
	rows := [][]string{row("fret", "from nut", "step", "width", "cut", "board R", "bend to", "range", "glue mm3")}
	mm1 := func(v float64) string { return fmt.Sprintf("%.1f", v) }
	for _, f := range t.answer.Frets {
		rows = append(rows, row(fmt.Sprint(f.Number), mm2(f.CentreMM), mm2(f.StepMM), mm2(f.WidthMM), mm1(f.CutMM),
			mm1(f.BoardMM.Or(0)), mm1(f.LoadedMM.Or(0)), fmt.Sprintf("%.0f-%.0f", f.LoadedRange.Low, f.LoadedRange.High), mm1(f.GlueMM3)))
	}
	heading := "\nCuts, mm (flat board: the wire stays straight)"
	if bent {
		heading = "\nCuts, mm (bend to: radius under load)"
	}
	lengthTable(w, heading, rows, "from nut", "step", "width", "cut", "board R", "bend to", "range")
}

func (t planText) wire(w io.Writer) {
	a, x := t.answer, t.answer.Wire
	fmt.Fprintln(w, "\nWire")
	buy := fmt.Sprintf("in all %.0f mm, %.0f mm with waste", a.WireMM, a.WithWaste)
	if a.Coils > 0 {
		buy += fmt.Sprintf(", %d coils of %s mm", a.Coils, short(a.CoilMM))
	}
	wrap(w, "  ", buy)
	name := "your own wire"
	if x.Alloy != "" {
		name = x.Alloy + " (" + x.Designation + ")"
	}
	yield := fmt.Sprintf("yield %.0f MPa", x.YieldMPa)
	switch x.From {
	case "trial":
		yield += " from your trial bend"
	case "given":
		yield += " as given"
	case "hardness":
		yield += fmt.Sprintf(" (from HV %.0f, %.0f to %.0f)", x.Vickers, x.YieldRange.Low, x.YieldRange.High)
	default:
		yield += fmt.Sprintf(" (hard temper, %.0f to %.0f)", x.YieldRange.Low, x.YieldRange.High)
	}
	wrap(w, "  ", fmt.Sprintf("%s: modulus %.0f GPa, %s", name, x.ModulusMPa/1000, yield))
	if x.Source != "" {
		source := "figures: " + x.Source
		if !strings.Contains(x.Source, "(read") {
			source += " (" + x.Status + ")"
		}
		wrap(w, "  ", source)
	}
	if a.Frets[0].LoadedMM.Known() {
		strain := fmt.Sprintf("strained at most %.1f %% in the bend", x.StrainPct)
		if x.ElongationPct.Given() {
			strain += fmt.Sprintf("; it breaks at %s %%", spanned(x.ElongationPct.Low, x.ElongationPct.High, 0))
		}
		wrap(w, "  ", strain)
		if x.From != "trial" {
			wrap(w, "  ", text.TryABend)
		}
	}
	for _, l := range []struct{ what, words string }{{"bending", x.Bending}, {"nipping", x.Nipping}, {"filing", x.Filing}} {
		if l.words != "" {
			wrap(w, "  ", l.what+": "+l.words)
		}
	}
}

// spanned prints a range, or one number where its ends are the same.
func spanned(low, high float64, digits int) string {
	lo, hi := fmt.Sprintf("%.*f", digits, low), fmt.Sprintf("%.*f", digits, high)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}

func (t planText) slots(w io.Writer) {
	a := t.answer
	fmt.Fprintln(w, "\nSlots and fit")
	first := a.Frets[0]
	wrap(w, "  ", fmt.Sprintf("%s mm wide, %.2f mm deep where the floor follows the board (%s mm under the tang)", short(a.Slots.WidthMM), first.DepthMM, short(a.Slots.FloorGapMM)))
	deepest := first
	for _, f := range a.Frets {
		if f.StraightMM > deepest.StraightMM {
			deepest = f
		}
	}
	if deepest.StraightMM-deepest.DepthMM > 0.005 {
		wrap(w, "  ", fmt.Sprintf("sawn with a straight floor: up to %.2f mm at the centre (fret %d), leaving %.2f mm of board", deepest.StraightMM, deepest.Number, a.Slots.LeastBoardMM))
	}
	if first.NipMM > 0 {
		wrap(w, "  ", fmt.Sprintf("nip %.1f mm of tang off each end: the slot stops at the binding", first.NipMM))
	}
	for _, line := range text.PlanFit(a.Fit.Fit) {
		wrap(w, "  ", line)
	}
	if a.Fit.Why != "" {
		wrap(w, "  ", a.Fit.Why)
	}
}

func (t planText) glue(w io.Writer) {
	g := t.answer.Glue
	fmt.Fprintln(w, "\nGlue")
	wrap(w, "  ", fmt.Sprintf("%.0f mm3 in all (%.2f ml) to fill the slots around and under the tangs", g.TotalMM3, g.TotalMM3/1000))
	if len(g.Grades) > 0 {
		wrap(w, "  ", fmt.Sprintf("cyanoacrylate from an end, %.3f mm beside the tang, gels in about %s:", g.GapMM, seconds(g.SetS)))
		rows := [][]string{{"grade", "mPa s", "to the middle", "gets mm", "so it reaches"}}
		for _, x := range g.Grades {
			word := string(x.Reaches)
			if x.TooWide {
				word += ", gap too wide for it"
			}
			rows = append(rows, []string{x.Name, spanned(x.MPas.Low, x.MPas.High, 0), seconds(x.FillMiddleS.Low) + " to " + seconds(x.FillMiddleS.High), spanned(x.ReachMM.Low, x.ReachMM.High, 0), word})
		}
		table(w, rows)
	}
	wrap(w, "  ", g.Put)
}

// seconds prints a time with the digits it deserves.
func seconds(s float64) string {
	switch {
	case s < 10:
		return fmt.Sprintf("%.1f s", s)
	case s < 120:
		return fmt.Sprintf("%.0f s", s)
	case s < 7200:
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.0f h", s/3600)
}

func (t planText) ends(w io.Writer) {
	b := t.answer.Bevel
	fmt.Fprintln(w, "\nFret ends")
	wrap(w, "  ", fmt.Sprintf("a bevel of %s degrees takes %.2f mm off the crown at each end", short(b.AngleDeg), b.LossMM))
	wrap(w, "  ", text.PlanRoom(b))
	rows := [][]string{{"", "first fret", "last", "least", "at fret", "driest"}}
	for side, name := range []string{"bass", "treble"} {
		r := b.Room[side]
		rows = append(rows, []string{name, mm2(r.FirstMM), mm2(r.LastMM), mm2(r.LeastMM), fmt.Sprint(r.LeastFret), mm2(r.DriestMM)})
	}
	lengthTable(w, "  room, mm", rows, "first fret", "last", "least", "driest")
	if t.answer.Ends != nil {
		for _, words := range t.answer.Ends.Words {
			wrap(w, "  ", words)
		}
	}
}

func (t planText) saddle(w io.Writer) {
	s := t.answer.Strings
	if len(s) == 0 {
		return
	}
	rows := [][]string{{"string", "set back", "from nut", "fret 1", "fret 5", "last", "or saddle", "and nut", "most"}}
	for _, x := range s {
		row := []string{fmt.Sprint(x.String), mm2(x.SetbackMM), mm2(x.FromNutMM), "-", "-", "-", "-", "-", "-"}
		for k, i := range []int{1, 5, len(x.LeftOver)} {
			if i <= len(x.LeftOver) {
				row[3+k] = fmt.Sprintf("%+.1f", math.Round(10*x.LeftOver[i-1])/10+0)
			}
		}
		if x.Best != nil {
			row[6], row[7], row[8] = mm2(x.Best.SaddleMM), fmt.Sprintf("%+.2f", x.Best.NutMM), fmt.Sprintf("%.1f", x.Best.MaxCents)
		}
		rows = append(rows, row)
	}
	lengthTable(w, fmt.Sprintf("\nSaddle, mm, fret %d exact; cents left over", s[0].ExactFret), rows, "set back", "from nut", "or saddle", "and nut")
	wrap(w, "  ", text.SaddleAndNut)
}

func (t planText) alloys(w io.Writer) {
	if len(t.answer.Alloys) == 0 {
		return
	}
	fmt.Fprintln(w, "\nOther alloys, hard")
	rows := [][]string{{"alloy", "bend mm", "HV", "wear", "nip"}}
	for _, x := range t.answer.Alloys {
		bend := "-"
		if mm, ok := x.LoadedMM.Get(); ok {
			bend = fmt.Sprintf("%.0f", mm)
		}
		rows = append(rows, []string{x.Designation, bend, ratio(x.Vickers, 0), ratio(x.Wear, 2), ratio(x.Nip, 2)})
	}
	table(w, rows)
	wrap(w, "  ", "bend: at the middle fret; wear and nip: ratios to 18 % nickel silver, wear at equal load and path, not a lifetime")
	for _, x := range t.answer.Alloys {
		wrap(w, "  ", fmt.Sprintf("%s, %s: %s; nipping: %s; filing: %s", x.Designation, x.Alloy, x.Bending, x.Nipping, x.Filing))
	}
}

func ratio(v float64, digits int) string {
	if v == 0 {
		return "-"
	}
	return fmt.Sprintf("%.*f", digits, v)
}
