package plan

import (
	"errors"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/wood"
)

// Fit is how tang and barbs sit in their slots.
type Fit struct {
	Verdict     string   // "wedges", "barbs hold", "loose"
	WedgeMM     float64  // by which each tang widens its slot
	BiteMM      float64  // of a barb into each wall; below 0 it does not reach
	WallGapMM   float64  // between the tang and each wall; 0 where it wedges
	WallMPa     float64  // stress of the wedged layer, free to bow, at the tightest fret
	BackBowMM   *float64 // greatest bow away from the strings; nil: the neck's woods or thickness are not known
	BackBowFret int      // where
	BarbBowMM   *float64 // what barbs alone can do at the most
	WantedMM    *float64 // slot width for the back-bow asked for
	Why         string   // why there is no back-bow or no slot width
}

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
		f.Verdict = "wedges"
	case f.BiteMM > 0:
		f.Verdict = "barbs hold"
	default:
		f.Verdict = "loose"
		p.note("the barbs (%.4g mm) do not reach the slot's walls (%.4g mm): only glue holds these frets", m.Wire.BarbWidth, m.Slot.Width)
	}
	board, err := material.FindWood(m.Board.Wood)
	if err != nil {
		fault(faults, "board.wood", "%v", err)
		return
	}
	p.crush(m, board.Species, faults)
	n, err := newNeckBeam(m, l, board.Species)
	var fe fileerr.List
	switch {
	case errors.As(err, &fe):
		*faults = append(*faults, fe...)
		return
	case err != nil:
		f.Why = err.Error()
		return
	}
	p.backBow(m, o, n)
}

// crush refuses a tang that its slot's walls cannot bear: held straight, the
// wood along the grain would reach its crushing strength.
func (p *Plan) crush(m neck.Model, s material.Species, faults *fileerr.List) {
	if !(p.Fit.WedgeMM > 0) || !s.ModulusMPa.Given() || !s.CrushAlongMPa.Given() {
		return
	}
	tightest, fret := math.Inf(1), 0
	for i := range p.Frets {
		if b := bay(p.Frets, i); b < tightest {
			tightest, fret = b, p.Frets[i].Number
		}
	}
	if most := CrushWedge(s.CrushAlongMPa.Mid(), s.ModulusMPa.Mid(), tightest); p.Fit.WedgeMM > most {
		fault(faults, "slot.width", "%.4g mm is narrower than %s can bear: the tang (%.4g mm) would widen it by %.3g mm at fret %d, and the wood crushes past %.3g mm; saw at least %.4g mm",
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
	bow := unit * f.WedgeMM
	f.BackBowMM, f.BackBowFret = &bow, at
	if f.WedgeMM > 0 {
		f.WallMPa = n.wallStress(p.Frets, f.WedgeMM)
	}
	if len(barbs) > 0 {
		most, _ := p.deepest(barbs, n.spanMM)
		f.BarbBowMM = &most
	}
	if o.BackBowMM != nil && unit > 0 && o.WedgeShare > 0 {
		slot := m.Wire.TangWidth - *o.BackBowMM/unit/o.WedgeShare
		f.WantedMM = &slot
		if most := CrushWedge(n.crushMPa, n.boardMPa, n.tightest(p.Frets)); n.crushMPa > 0 && *o.BackBowMM/unit > most {
			f.WantedMM, f.Why = nil, "no slot does it: the wood would crush before the neck bows that far"
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

// newNeckBeam errs, in words for the maker, where the neck's sizes or woods are
// not known; an unknown wood's name is a fileerr.List.
func newNeckBeam(m neck.Model, l *geometry.Layout, board material.Species) (neckBeam, error) {
	if m.Body.Thickness[0] <= 0 || m.Body.Wood == "" {
		return neckBeam{}, errors.New(`the back-bow is left out, all else holds: it wants the neck's own wood and thickness (at fret 1 and at the joint, board included); in the neck file's table [neck] write, as an example, wood = "maple" and thickness = ["21 mm", "24 mm"]`)
	}
	body, err := material.FindWood(m.Body.Wood)
	if err != nil {
		return neckBeam{}, keyFault("neck.wood", "%v", err)
	}
	if !board.ModulusMPa.Given() || !body.Species.ModulusMPa.Given() {
		return neckBeam{}, errors.New("no stiffness is published for one of the woods, so the back-bow is not known")
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

func (n neckBeam) tightest(frets []Fret) float64 {
	b := math.Inf(1)
	for i := range frets {
		b = math.Min(b, bay(frets, i))
	}
	return b
}

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
	p.Slots = Slots{FloorGapMM: m.Slot.FloorGap, LeastBoardMM: math.Inf(1)}
	for _, f := range p.Frets {
		left := m.Board.Thickness - f.StraightMM
		if left < p.Slots.LeastBoardMM {
			p.Slots.LeastBoardMM, p.Slots.LeastFret = left, f.Number
		}
	}
	if m.Board.Thickness <= p.Frets[0].DepthMM {
		p.note("the slots (%.4g mm) are as deep as the board (%.4g mm): they cut into the neck", p.Frets[0].DepthMM, m.Board.Thickness)
	} else if p.Slots.LeastBoardMM <= 0 {
		p.note("sawn with a straight floor, fret %d's slot would come through the board; let the floor follow the arch", p.Slots.LeastFret)
	}
}

// Slots is what is left of the board.
type Slots struct {
	FloorGapMM   float64
	LeastBoardMM float64 // board under the deepest straight floor
	LeastFret    int
}
