package plan

import (
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/wood"
)

// Fit is how tang and barbs sit in their slots.
type Fit struct {
	Verdict     Hold    `json:"verdict"`
	WedgeMM     float64 `json:"wedge_mm"`                          // by which each tang widens its slot
	BiteMM      float64 `json:"barb_bite_mm"`                      // of a barb into each wall; below 0 it does not reach
	WallGapMM   float64 `json:"wall_gap_mm"`                       // between the tang and each wall; 0 where it wedges
	WallMPa     float64 `json:"wall_stress_mpa,omitempty"`         // of the wedged layer, free to bow, at the tightest fret
	BackBowMM   num.Opt `json:"back_bow_mm"`                       // greatest bow away from the strings
	BackBowFret int     `json:"back_bow_fret,omitempty"`           // where
	BarbBowMM   num.Opt `json:"barb_back_bow_at_most_mm,omitzero"` // by barbs alone
	WantedMM    num.Opt `json:"slot_width_for_bow_mm,omitzero"`    // for the back-bow asked for
	Lacks       Lack    `json:"-"`
}

// Hold is what holds a tang in its slot.
type Hold string

// What holds.
const (
	Wedges    Hold = "wedges"
	BarbsHold Hold = "barbs hold"
	Loose     Hold = "loose"
)

// Lack is why there is no back-bow or no slot width.
type Lack int

// Lacks.
const (
	LacksNothing   Lack = iota
	LacksNeck           // the neck's own wood or thickness
	LacksStiffness      // no stiffness is published for one of the woods
	LacksSlot           // the wood would crush before the neck bows as far as asked
)

// Barbs as assumed where no size is given: one each 2.5 mm of tang, 0.5 mm
// long (a common strip, from memory). They serve an upper bound only.
const (
	barbEachMM = 2.5
	barbLongMM = 0.5
)

// Hinge is a place where the neck turns by an angle in rad.
type Hinge struct{ XMM, Turn float64 }

// HingeBow is how far a beam from 0 to spanMM that turns away from the strings
// at hinges stands above the straight line between its ends at x: back-bow
// positive, x/X·Σ φᵢ(X − xᵢ) − Σ φᵢ·max(x − xᵢ, 0).
func HingeBow(hinges []Hinge, spanMM, x float64) float64 {
	bow, whole := 0.0, 0.0
	for _, h := range hinges {
		bow += h.Turn * math.Max(x-h.XMM, 0)
		whole += h.Turn * math.Max(spanMM-h.XMM, 0)
	}
	return x/spanMM*whole - bow
}

// bay is the length of board that one tang wedges: half the distances to its
// neighbours, the first to the nut, the last alone to the fret before it.
func bay(frets []Fret, i int) float64 {
	before, after := 0.0, 0.0
	if i > 0 {
		before = frets[i].CentreMM - frets[i-1].CentreMM
	} else {
		before = frets[i].CentreMM
	}
	if i+1 < len(frets) {
		after = frets[i+1].CentreMM - frets[i].CentreMM
	} else {
		after = before
	}
	if before == 0 {
		before = after
	}
	return (before + after) / 2
}

// tightestBay is the shortest bay, and its fret.
func tightestBay(frets []Fret) (mm float64, fret int) {
	mm = math.Inf(1)
	for i, f := range frets {
		if b := bay(frets, i); b < mm {
			mm, fret = b, f.Number
		}
	}
	return mm, fret
}

// fit judges tang and barbs against the slot, refuses a wedge that crushes the
// wood, and bows the neck by what is left.
func (p *Plan) fit(m neck.Model, l *geometry.Layout, o Options, faults *fileerr.List) {
	f := &p.Fit
	over := m.Wire.TangWidth - m.Slot.Width
	f.WedgeMM = o.WedgeShare * math.Max(0, over)
	f.BiteMM = (m.Wire.BarbWidth - m.Slot.Width) / 2
	f.WallGapMM = math.Max(0, -over/2)
	switch {
	case over > 0:
		f.Verdict = Wedges
	case f.BiteMM > 0:
		f.Verdict = BarbsHold
	default:
		f.Verdict = Loose
	}
	board, err := material.FindWood(m.Board.Wood)
	if err != nil {
		fault(faults, "board.wood", "%v", err)
		return
	}
	p.crush(m, board.Species, faults)
	n, err := p.neckBeam(m, l, board.Species)
	switch {
	case err != nil:
		fault(faults, "neck.wood", "%v", err)
	case f.Lacks == LacksNothing:
		p.backBow(m, o, n)
	}
}

// crush refuses a tang that its slot's walls cannot bear: held straight, the
// wood along the grain would reach its crushing strength.
func (p *Plan) crush(m neck.Model, s material.Species, faults *fileerr.List) {
	if !(p.Fit.WedgeMM > 0) || !s.ModulusMPa.Given() || !s.CrushAlongMPa.Given() {
		return
	}
	tightest, fret := tightestBay(p.Frets)
	if most := CrushWedge(s.CrushAlongMPa.Mid(), s.ModulusMPa.Mid(), tightest); p.Fit.WedgeMM > most {
		fault(faults, "slot.width", "%.4g mm is too narrow for %s: the tang (%.4g mm) opens it by %.3g mm at fret %d, and %.3g mm crushes it; saw at least %.4g mm",
			m.Slot.Width, s.Name, m.Wire.TangWidth, p.Fit.WedgeMM, fret, most, math.Ceil((m.Wire.TangWidth-most)*100)/100)
	}
}

// CrushWedge is the largest wedge, in mm, that a bay of wood bears without
// crushing along the grain when the neck cannot bow: σ/E of its length.
func CrushWedge(crushMPa, modulusMPa, bayMM float64) float64 { return crushMPa / modulusMPa * bayMM }

// BarbForce is the most, in N, that barbs push apart each wall: crushing
// strength times their footprint. BarbWedge is the wedge of the same force on a
// layer of the slot's depth.
func BarbForce(barbs int, longMM, biteMM, crushMPa float64) float64 {
	return float64(barbs) * longMM * biteMM * crushMPa
}

// BarbWedge is the free widening, in mm, that pushes with a force on a layer of
// wood widthMM by depthMM over a bay.
func BarbWedge(forceN, modulusMPa, widthMM, depthMM, bayMM float64) float64 {
	return forceN * bayMM / (modulusMPa * widthMM * depthMM)
}

// backBow turns the neck at every tang up to the joint or the last fret.
func (p *Plan) backBow(m neck.Model, o Options, n neckBeam) {
	f := &p.Fit
	perMM := make([]Hinge, 0, len(p.Frets)) // for 1 mm of wedge
	barbs := make([]Hinge, 0, len(p.Frets))
	for i, fr := range p.Frets {
		if fr.CentreMM >= n.spanMM {
			break
		}
		turn := n.turn(fr)
		perMM = append(perMM, Hinge{fr.CentreMM, turn})
		if f.BiteMM > 0 && n.crushMPa > 0 {
			force := BarbForce(int(fr.TangMM/barbEachMM), barbLongMM, f.BiteMM, n.crushMPa)
			barbs = append(barbs, Hinge{fr.CentreMM, turn * BarbWedge(force, n.boardMPa, fr.WidthMM, fr.DepthMM, bay(p.Frets, i))})
		}
	}
	unit, at := p.deepest(perMM, n.spanMM)
	f.BackBowMM, f.BackBowFret = num.Some(unit*f.WedgeMM), at
	if f.WedgeMM > 0 {
		f.WallMPa = n.wallStress(p.Frets, f.WedgeMM)
	}
	if len(barbs) > 0 {
		most, _ := p.deepest(barbs, n.spanMM)
		f.BarbBowMM = num.Some(most)
	}
	if asked, ok := o.BackBowMM.Get(); ok && unit > 0 && o.WedgeShare > 0 {
		f.WantedMM = num.Some(m.Wire.TangWidth - asked/unit/o.WedgeShare)
		if tightest, _ := tightestBay(p.Frets); n.crushMPa > 0 && asked/unit > CrushWedge(n.crushMPa, n.boardMPa, tightest) {
			f.WantedMM, f.Lacks = num.Opt{}, LacksSlot
		}
	}
}

// deepest is the greatest bow at any fret, and where.
func (p *Plan) deepest(hinges []Hinge, spanMM float64) (mm float64, fret int) {
	for _, f := range p.Frets {
		if f.CentreMM > spanMM {
			break
		}
		if b := HingeBow(hinges, spanMM, f.CentreMM); b > mm {
			mm, fret = b, f.Number
		}
	}
	return mm, fret
}

// neckBeam is the neck as layers: the slotted part of the board, the rest of
// it, and the neck under it.
type neckBeam struct {
	m        neck.Model
	fretOneX float64
	spanMM   float64 // from the nut to the joint, else the last fret
	boardMPa float64
	neckMPa  float64
	crushMPa float64 // of the board along the grain; 0 unknown
}

// neckBeam is the neck to bow; where its sizes or woods are not known, Fit says
// what lacks. An error is an unknown wood's.
func (p *Plan) neckBeam(m neck.Model, l *geometry.Layout, board material.Species) (neckBeam, error) {
	if m.Body.Thickness[0] <= 0 || m.Body.Wood == "" {
		p.Fit.Lacks = LacksNeck
		return neckBeam{}, nil
	}
	body, err := material.FindWood(m.Body.Wood)
	if err != nil {
		return neckBeam{}, err
	}
	if !board.ModulusMPa.Given() || !body.Species.ModulusMPa.Given() {
		p.Fit.Lacks = LacksStiffness
		return neckBeam{}, nil
	}
	n := neckBeam{m: m, fretOneX: l.CentreX(1), boardMPa: board.ModulusMPa.Mid(), neckMPa: body.Species.ModulusMPa.Mid(), crushMPa: board.CrushAlongMPa.Mid()}
	n.spanMM = l.CentreX(l.LastFret())
	if m.Body.Joint > 0 {
		n.spanMM = l.CentreX(m.Body.Joint)
	}
	return n, nil
}

// heightMM is the neck's thickness at x, board included: straight between fret
// 1 and the joint, and the nearer of the two outside them.
func (n neckBeam) heightMM(x float64) float64 {
	t := 0.0
	if n.spanMM > n.fretOneX {
		t = math.Max(0, math.Min(1, (x-n.fretOneX)/(n.spanMM-n.fretOneX)))
	}
	return n.m.Body.Thickness[0] + t*(n.m.Body.Thickness[1]-n.m.Body.Thickness[0])
}

// layers are the neck's at a fret; the slotted layer is longer by its strain.
func (n neckBeam) layers(f Fret, strain float64) []wood.Layer {
	h := math.Max(n.heightMM(f.CentreMM), f.DepthMM+1)
	board := math.Max(n.m.Board.Thickness-f.DepthMM, 0)
	return []wood.Layer{
		{ThicknessMM: f.DepthMM, ModulusMPa: n.boardMPa, FreeStrain: strain},
		{ThicknessMM: board, ModulusMPa: n.boardMPa},
		{ThicknessMM: math.Max(h-f.DepthMM-board, 0), ModulusMPa: n.neckMPa},
	}
}

// turn is the angle, in rad, that a wedge of 1 mm turns the neck by at a fret:
// spread over any bay its strain is 1/bay and its curvature that much, so the
// bay does not count.
func (n neckBeam) turn(f Fret) float64 { return -wood.Curvature(n.layers(f, 1)) }

// wallStress is the compression of the slotted layer in the tightest bay.
func (n neckBeam) wallStress(frets []Fret, wedgeMM float64) float64 {
	most := 0.0
	for i, f := range frets {
		most = math.Max(most, -wood.Stress(n.layers(f, wedgeMM/bay(frets, i)), 0))
	}
	return most
}

// slots says what the saw must mind.
func (p *Plan) slots(m neck.Model) {
	p.Slots = Slots{WidthMM: m.Slot.Width, FloorGapMM: m.Slot.FloorGap, LeastBoardMM: math.Inf(1)}
	for _, f := range p.Frets {
		left := m.Board.Thickness - f.StraightMM
		if left < p.Slots.LeastBoardMM {
			p.Slots.LeastBoardMM, p.Slots.LeastFret = left, f.Number
		}
	}
}

// Slots is what is left of the board.
type Slots struct {
	WidthMM      float64 `json:"width_mm"`
	FloorGapMM   float64 `json:"floor_gap_mm"`
	LeastBoardMM float64 `json:"least_board_mm"` // under the deepest straight floor
	LeastFret    int     `json:"least_board_fret"`
}
