package plan

import (
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// Fret is one fret's place and the sizes that go with it.
type Fret struct {
	Number      int            `json:"fret"`
	CentreMM    float64        `json:"from_nut_mm"`      // along the centre line
	StepMM      float64        `json:"from_previous_mm"` // from the fret before
	BassMM      float64        `json:"bass_mm"`          // along the outer lanes, from the nut's line there
	TrebleMM    float64        `json:"treble_mm"`
	BoardMM     num.Opt        `json:"board_radius_mm"`          // missing where flat
	AlongMM     num.Opt        `json:"along_radius_mm,omitzero"` // radius of the board along a slanted fret
	SlantDeg    float64        `json:"slant_deg,omitempty"`
	WidthMM     float64        `json:"board_width_mm"`
	CutMM       float64        `json:"wire_cut_mm"`
	TangMM      float64        `json:"tang_length_mm"`         // that stays
	NipMM       float64        `json:"tang_nip_mm"`            // to nip away at each end; 0 unbound
	LoadedMM    num.Opt        `json:"bend_radius_mm"`         // under load
	LoadedRange material.Range `json:"bend_radius_range_mm"`   // for the hardest and the softest wire of its alloy
	DepthMM     float64        `json:"slot_depth_centre_mm"`   // and wherever the floor follows the board
	StraightMM  float64        `json:"slot_depth_straight_mm"` // at the centre, where the floor is straight
	SlotMM      float64        `json:"slot_length_mm"`         // over the arched board
	GlueMM3     float64        `json:"glue_mm3"`
	TopMM       [2]float64     `json:"string_to_end_mm"` // from the outer strings' centres to the crown's end over the bevel: bass, treble

	Ends     [2]geometry.Point `json:"-"` // where the fret's line meets the board's edges: bass, treble
	SlotEnds [2]geometry.Point `json:"-"` // where the slot ends: at the edges or at the binding
}

// checkRoom refuses frets closer together than the wire is wide.
func checkRoom(m neck.Model, l *geometry.Layout, faults *fileerr.List) {
	for f := l.FirstFret() + 1; f <= l.LastFret(); f++ {
		gap := math.Inf(1)
		for _, lane := range []float64{1, float64(l.Strings())} {
			gap = math.Min(gap, l.At(f, lane).X-l.At(f-1, lane).X)
		}
		gap *= l.Squareness(f)
		if gap < m.Wire.CrownWidth {
			fault(faults, "scale.frets", "frets %d and %d are %.2f mm apart, but the crown is %.4g mm wide; use fewer frets or a narrower wire",
				f-1, f, gap, m.Wire.CrownWidth)
			return
		}
	}
}

// place gives every fret its place on the board.
func place(m neck.Model, l *geometry.Layout, o Options) []Fret {
	var frets []Fret
	for n := l.FirstFret(); n <= l.LastFret(); n++ {
		f := Fret{
			Number: n, CentreMM: l.CentreX(n),
			TrebleMM: l.LaneX(n, 1), BassMM: l.LaneX(n, float64(l.Strings())),
			DepthMM: m.Wire.TangDepth + m.Slot.FloorGap,
		}
		if n > 0 {
			f.StepMM = f.CentreMM - l.CentreX(n-1)
		}
		f.WidthMM = l.Width(f.CentreMM)
		cos := l.Squareness(n)
		f.SlantDeg = math.Acos(math.Min(1, cos)) * 180 / math.Pi
		if r := l.Radius(f.CentreMM); r > 0 {
			f.BoardMM = num.Some(r)
			if f.SlantDeg > 0 {
				f.AlongMM = num.Some(r / (cos * cos))
			}
		}
		f.Ends, f.SlotEnds = Edges(l, n, 0), Edges(l, n, m.Board.Binding)
		f.SlotMM = overArch(l, f.SlotEnds)
		f.CutMM = overArch(l, f.Ends) + 2*o.OverhangMM
		f.TangMM = f.SlotMM
		if m.Board.Binding > 0 {
			f.TangMM = math.Max(0, f.SlotMM-2*o.EndGapMM)
			f.NipMM = (f.CutMM - f.TangMM) / 2
		}
		sag := -l.Surface(f.SlotEnds[0])
		f.StraightMM = f.DepthMM + math.Max(sag, -l.Surface(f.SlotEnds[1]))
		f.GlueMM3 = (m.Slot.Width*f.DepthMM - m.Wire.TangWidth*m.Wire.TangDepth) * (f.WidthMM - 2*m.Board.Binding)
		frets = append(frets, f)
	}
	return frets
}

// Edges is where a fret's line meets the board's edges, or a line the binding's
// thickness inside them: bass side, treble side.
//
// The fret is x = c + k·y and the edge y = ±(w(x)/2 − binding), w linear in x.
func Edges(l *geometry.Layout, fret int, binding float64) (ends [2]geometry.Point) {
	c := l.FretXAt(fret, 0)
	k := l.FretXAt(fret, 1) - c
	half := l.Width(0) / 2
	slope := (l.Width(1) - l.Width(0)) / 2
	for i, side := range []float64{-1, 1} {
		y := side * (half - binding + slope*c) / (1 - side*slope*k)
		ends[i] = geometry.Point{X: c + k*y, Y: y}
	}
	return ends
}

// archSteps cuts a fret into pieces for its length over the arch.
const archSteps = 64

// overArch is the length of the line between two points laid over the board:
// straight pieces between points of its surface, twice, with Richardson's
// extrapolation of the two sums; within 1e-7 mm on a 60 mm board of 150 mm radius.
func overArch(l *geometry.Layout, ends [2]geometry.Point) float64 {
	coarse, fine := chords(l, ends, archSteps/2), chords(l, ends, archSteps)
	return fine + (fine-coarse)/3
}

func chords(l *geometry.Layout, ends [2]geometry.Point, steps int) float64 {
	height := func(i int) float64 {
		t := float64(i) / float64(steps)
		return l.Surface(geometry.Point{X: ends[0].X + t*(ends[1].X-ends[0].X), Y: ends[0].Y + t*(ends[1].Y-ends[0].Y)})
	}
	piece := math.Hypot(ends[1].X-ends[0].X, ends[1].Y-ends[0].Y) / float64(steps)
	sum := 0.0
	before := height(0)
	for i := 1; i <= steps; i++ {
		z := height(i)
		sum += math.Hypot(piece, z-before)
		before = z
	}
	return sum
}

// FlatterAlong is the most slanted fret along which the board is so much flatter
// than across that it shows; nil where there is none.
func (p *Plan) FlatterAlong() (slanted *Fret) {
	const worth = 0.005 // a share of the radius under which nobody sees it
	for i, f := range p.Frets {
		if f.AlongMM.Or(0) > f.BoardMM.Or(0)*(1+worth) && (slanted == nil || f.SlantDeg > slanted.SlantDeg) {
			slanted = &p.Frets[i]
		}
	}
	return slanted
}

// Board is the fretboard to be slotted, at full size: x along the centre line
// from the nut, y towards the treble side, in mm.
type Board struct {
	Outline [4]geometry.Point // bass edge, end, treble edge, the nut closes it; it ends half a fret beyond the last
	EndMM   float64           // where the outline ends on the centre line
	Lanes   [][2]geometry.Point
}

// outline lays the board out around its frets.
func (p *Plan) outline(l *geometry.Layout) {
	last, nut := p.Frets[len(p.Frets)-1], Edges(l, 0, 0)
	// The next fret would stand a step times the last ratio further on.
	beyond := last.StepMM / 2
	end := func(e geometry.Point) geometry.Point {
		x := e.X + beyond
		return geometry.Point{X: x, Y: math.Copysign(l.Width(x)/2, e.Y)}
	}
	p.Board = Board{Outline: [4]geometry.Point{nut[0], end(last.Ends[0]), end(last.Ends[1]), nut[1]}, EndMM: last.CentreMM + beyond}
	for s := 1; s <= l.Strings(); s++ {
		p.Board.Lanes = append(p.Board.Lanes, [2]geometry.Point{l.At(0, float64(s)), l.At(last.Number, float64(s))})
	}
}

// wire sums up what is to buy.
func (p *Plan) wire(o Options) {
	for _, f := range p.Frets {
		p.TotalMM += f.CutMM
	}
	p.WasteMM = p.TotalMM * (1 + o.WastePct/100)
	if p.CoilMM = o.CoilMM; o.CoilMM > 0 {
		p.Coils = coils(p.Frets, o.CoilMM)
	}
}

// coils is how many coils the pieces take: each is cut from the first coil that
// still has room, the longest pieces first. 0 where a coil is shorter than a
// piece.
func coils(frets []Fret, coilMM float64) int {
	var left []float64
	for i := len(frets) - 1; i >= 0; i-- { // boards widen: the last fret is the longest or near it
		cut := frets[i].CutMM
		if cut > coilMM {
			return 0
		}
		fits := -1
		for j, room := range left {
			if room >= cut {
				fits = j
				break
			}
		}
		if fits < 0 {
			left, fits = append(left, coilMM), len(left)
		}
		left[fits] -= cut
	}
	return len(left)
}
