package text

import (
	"fmt"

	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
)

// PlanNotes are what to look at before sawing.
func PlanNotes(m neck.Model, p plan.Plan) []string {
	notes := []string{}
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	first := p.Frets[0]
	if w := p.Wire; w.ElongationPct.Given() && w.StrainPct > w.ElongationPct.Low {
		add("fret %d is strained %.2g %% in the bend; some of this alloy breaks at %.3g %%: try a piece first", w.StrainFret, w.StrainPct, w.ElongationPct.Low)
	}
	if m.Board.Thickness <= first.DepthMM {
		add("the slots (%.4g mm) are as deep as the board (%.4g mm): they cut into the neck", first.DepthMM, m.Board.Thickness)
	} else if p.Slots.LeastBoardMM <= 0 {
		add("sawn with a straight floor, fret %d's slot would come through the board; let the floor follow the arch", p.Slots.LeastFret)
	}
	if p.Fit.Verdict == plan.Loose {
		add("the barbs (%.4g mm) do not reach the slot's walls (%.4g mm): only glue holds these frets", m.Wire.BarbWidth, m.Slot.Width)
	}
	if f := p.FlatterAlong(); f != nil {
		add("bends are for the board's radius square across; along the slant of fret %d it is %.0f mm, not %.0f mm: bend a little less there", f.Number, f.AlongMM.OrNaN(), f.BoardMM.OrNaN())
	}
	if first.GlueMM3 < 0 {
		add("the tang fills more than its slot: there is no room for glue")
	}
	if p.CoilMM > 0 && p.Coils == 0 {
		add("a coil of %.4g mm is shorter than the longest wire", p.CoilMM)
	}
	for side, name := range []string{"last string", "string 1"} {
		if mm := p.Bevel.LeastMM[side]; mm <= 0 {
			add("the %s runs off the bevel at fret %d by %.2f mm: bevel steeper or move the string in", name, p.Bevel.LeastFret[side], -mm)
		}
	}
	if words := tightRoom(p.Bevel); words != "" {
		add("%s", words)
	}
	return notes
}

// tightRoom warns of too little room beside string 1; "" where there is enough,
// or where it runs off the end anyway.
func tightRoom(b plan.Bevel) string {
	r := b.Room[1]
	if !r.Tight() || b.LeastMM[1] <= 0 {
		return ""
	}
	mm, fret, when := r.LeastMM, r.LeastFret, ""
	if r.DriestMM < mm {
		mm, fret, when = r.DriestMM, r.DryFret, " with the ends filed for the driest season"
	}
	return fmt.Sprintf("string 1 has only %.2f mm to the bevel at fret %d%s; under %.1f mm a pull takes it off the end (from memory). Bevel steeper (a smaller angle), or move the string in", mm, fret, when, plan.LeastRoomMM)
}

// PlanRoom heads the table of the room beside the outer strings.
func PlanRoom(b plan.Bevel) string {
	return fmt.Sprintf("room from the outer strings to the bevel, less %.4g mm of rounding; driest: with the ends filed for the driest season", b.RoundingMM)
}

// PlanLacks says why there is no back-bow or no slot width; "" where there is.
func PlanLacks(l plan.Lack, b neck.Body) string {
	switch l {
	case plan.LacksNeck:
		return leftOut("back-bow", b)
	case plan.LacksStiffness:
		return "no stiffness is published for one of the woods, so the back-bow is not known"
	case plan.LacksSlot:
		return "no slot is tight enough: the wood would crush first"
	}
	return ""
}

// PlanFit says how tangs sit and what they do to the neck.
func PlanFit(f plan.Fit) []string {
	var lines []string
	switch f.Verdict {
	case plan.Wedges:
		lines = append(lines, fmt.Sprintf("the tang wedges: each widens its slot by %.3f mm (stress in the wood %.0f MPa)", f.WedgeMM, f.WallMPa))
	case plan.BarbsHold:
		lines = append(lines, fmt.Sprintf("barbs hold: they bite %.2f mm into each wall, the tang has %.3f mm of play each side", f.BiteMM, f.WallGapMM))
	default:
		lines = append(lines, fmt.Sprintf("loose: %.3f mm between tang and wall, and barbs that do not reach", f.WallGapMM))
	}
	if mm, known := f.BackBowMM.Get(); known {
		bow := fmt.Sprintf("back-bow to expect: %.2f mm", mm)
		if mm > 0 {
			bow += fmt.Sprintf(" (deepest at fret %d)", f.BackBowFret)
		}
		if barbs, known := f.BarbBowMM.Get(); known {
			bow += fmt.Sprintf("; the barbs add at most %.2f mm", barbs)
		}
		lines = append(lines, bow+". The rod is not counted")
	}
	if mm, known := f.WantedMM.Get(); known {
		lines = append(lines, fmt.Sprintf("for the back-bow you want: a slot of %.3f mm", mm))
	}
	return lines
}

// PlanGlue says how to get the glue in.
func PlanGlue(g plan.Glue) string {
	switch g.Way {
	case plan.TangCloses:
		return "the tang fills the slot: glue before pressing, or not at all"
	case plan.BindingCloses:
		return "the binding closes the slot's ends: glue before pressing"
	case plan.FeedThrough:
		return "press, then feed " + g.Feed + " glue from one end until it shows at the other"
	case plan.FeedBothEnds:
		return "press, then feed " + g.Feed + " glue from one end, wait, then from the other, so that air gets out"
	case plan.FeedRunniest:
		return "press, then feed the runniest " + g.Feed + " glue you can get from one end, wait, then from the other"
	}
	return "no grade creeps to the middle before it gels: glue before pressing"
}

// TryABend says what bends rest on, where no trial bend was made.
const TryABend = "radii are at the crown's underside, for straight wire that doesn't harden. Coiled wire and other lots differ: bend a piece, measure both radii, use --trial"

// SaddleAndNut explains the right half of the table of setbacks.
const SaddleAndNut = "the right half places saddle and nut together for all frets. A nut below 0 moves towards the frets. A hard finger changes more than all of this"

// PlanSaw says how the slots are sawn, before their places.
func PlanSaw(frets []plan.Fret, slots plan.Slots) string {
	first, most := frets[0].DepthMM, 0.0
	for _, f := range frets {
		most = max(most, f.StraightMM)
	}
	straight := ""
	if most-first > 0.005 {
		straight = fmt.Sprintf(" (straight floor %.2f mm)", most)
	}
	return fmt.Sprintf("Saw %.2f mm wide, %.2f mm deep%s, from the nut:", slots.WidthMM, first, straight)
}

// PlanCut says how the wire is cut and bent: buyMM in all, or coils.
func PlanCut(frets []plan.Fret, wire plan.Wire, buyMM float64, coils int) string {
	cut, bend := span{}, span{}
	for _, f := range frets {
		cut.add(f.CutMM)
		if mm, known := f.LoadedMM.Get(); known {
			bend.add(mm)
		}
	}
	words := fmt.Sprintf("Cut %.0f mm of wire, waste included: %s per fret", buyMM, cut)
	if coils > 0 {
		words = fmt.Sprintf("Cut %.0f mm of wire, %s: %s per fret", buyMM, Count(coils, "coil"), cut)
	}
	if frets[0].NipMM > 0 {
		words += fmt.Sprintf("; nip %.1f mm of tang off each end", frets[0].NipMM)
	}
	switch {
	case !bend.any:
		return words + "; it stays straight"
	case wire.From == "trial":
		return words + "; bend to a radius of " + bend.String()
	}
	return words + "; bend a trial piece, then to a radius of " + bend.String()
}

// span gathers sizes, mm.
type span struct {
	low, high float64
	any       bool
}

func (s *span) add(mm float64) {
	if !s.any {
		s.low, s.high, s.any = mm, mm, true
	}
	s.low, s.high = min(s.low, mm), max(s.high, mm)
}

func (s span) String() string {
	if s.high-s.low < 0.05 {
		return fmt.Sprintf("%.1f mm", s.low)
	}
	return fmt.Sprintf("%.1f mm to %.1f mm", s.low, s.high)
}

// PlanPress says in short how frets are pressed and glued.
func PlanPress(g plan.Glue) string {
	ml := fmt.Sprintf("%.2f ml", g.TotalMM3/1000)
	switch g.Way {
	case plan.FeedThrough:
		return fmt.Sprintf("Press, then feed %s of %s glue from one end until it shows at the other", ml, g.Feed)
	case plan.FeedBothEnds:
		return fmt.Sprintf("Press, then feed %s of %s glue from one end, wait, then from the other", ml, g.Feed)
	case plan.FeedRunniest:
		return fmt.Sprintf("Press, feed %s of runniest %s glue at one end, wait, then the other", ml, g.Feed)
	case plan.TangCloses:
		return "Glue before pressing, or not at all: the tang fills the slot"
	}
	return fmt.Sprintf("Glue with %s before pressing: none gets in afterwards", ml)
}
