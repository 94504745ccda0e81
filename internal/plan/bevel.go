package plan

import (
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// LeastRoomMM is the room that a string wants on the treble side between itself
// and the bevel; with less, a bend or a pull takes it off the end (from memory).
const LeastRoomMM = 2.5

// BevelLossMM is how much shorter than its foot a bevel makes the crown at each
// end: crown height × tan of the angle from upright.
func BevelLossMM(crownHeightMM, deg float64) float64 {
	return crownHeightMM * math.Tan(deg*math.Pi/180)
}

// Bevel is what the bevel takes off a fret's end.
type Bevel struct {
	AngleDeg   float64    `json:"angle_deg"`
	LossMM     float64    `json:"loss_mm"`                // at each end
	LeastMM    [2]float64 `json:"least_string_to_end_mm"` // bass, treble; not above 0 it runs off
	LeastFret  [2]int     `json:"-"`                      // where
	RoundingMM float64    `json:"rounding_mm"`            // that rounding the end takes too
	Room       [2]Room    `json:"string_room"`            // bass, treble
}

// Room is what an outer string has beside it on the crowns, from its centre to
// where bevel and rounding begin, in mm.
type Room struct {
	FirstMM   float64 `json:"first_fret_mm"`
	LastMM    float64 `json:"last_fret_mm"`
	LeastMM   float64 `json:"least_mm"` // of all frets
	LeastFret int     `json:"least_fret"`
	DriestMM  float64 `json:"driest_least_mm"` // the ends filed back for the driest season
	DryFret   int     `json:"driest_least_fret"`
}

// Tight says that the string would be pulled off the end, if this is the treble
// side.
func (r Room) Tight() bool { return min(r.LeastMM, r.DriestMM) < LeastRoomMM }

// bevel finds how far the outer strings stand from the crowns' ends, measured
// across the board.
func (p *Plan) bevel(m neck.Model, l *geometry.Layout, o Options) {
	loss, b := BevelLossMM(m.Wire.CrownHeight, o.BevelDeg), &p.Bevel
	b.AngleDeg, b.LossMM, b.RoundingMM = o.BevelDeg, loss, o.RoundingMM
	for i := range p.Frets {
		f := &p.Frets[i]
		cos := l.Squareness(f.Number)
		bass, treble := l.At(f.Number, float64(l.Strings())), l.At(f.Number, 1)
		f.TopMM = [2]float64{bass.Y - f.Ends[0].Y - loss*cos, f.Ends[1].Y - treble.Y - loss*cos}
		for side, mm := range f.TopMM {
			if i == 0 || mm < b.LeastMM[side] {
				b.LeastMM[side], b.LeastFret[side] = mm, f.Number
			}
			b.Room[side].add(f.Number, mm-o.RoundingMM*cos, o.DryShare*f.WidthMM, i == 0)
		}
	}
}

// add takes in the next fret's room and what the driest season takes of it.
func (r *Room) add(fret int, mm, dryMM float64, first bool) {
	if first {
		r.FirstMM = mm
	}
	if first || mm < r.LeastMM {
		r.LeastMM, r.LeastFret = mm, fret
	}
	if first || mm-dryMM < r.DriestMM {
		r.DriestMM, r.DryFret = mm-dryMM, fret
	}
	r.LastMM = mm
}
