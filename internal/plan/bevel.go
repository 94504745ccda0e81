package plan

import (
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// BevelLossMM is how much shorter than its foot a bevel makes the crown at each
// end: crown height × tan of the angle from upright.
func BevelLossMM(crownHeightMM, deg float64) float64 {
	return crownHeightMM * math.Tan(deg*math.Pi/180)
}

// Bevel is what the bevel takes off a fret's end.
type Bevel struct {
	AngleDeg  float64    `json:"angle_deg"`
	LossMM    float64    `json:"loss_mm"`                // at each end
	LeastMM   [2]float64 `json:"least_string_to_end_mm"` // bass, treble; not above 0 it runs off
	LeastFret [2]int     `json:"-"`                      // where
}

// bevel finds how far the outer strings stand from the crowns' ends, measured
// across the board.
func (p *Plan) bevel(m neck.Model, l *geometry.Layout, o Options) {
	loss, b := BevelLossMM(m.Wire.CrownHeight, o.BevelDeg), &p.Bevel
	b.AngleDeg, b.LossMM = o.BevelDeg, loss
	for i := range p.Frets {
		f := &p.Frets[i]
		cos := l.Squareness(f.Number)
		bass, treble := l.At(f.Number, float64(l.Strings())), l.At(f.Number, 1)
		f.TopMM = [2]float64{bass.Y - f.Ends[0].Y - loss*cos, f.Ends[1].Y - treble.Y - loss*cos}
		for side, mm := range f.TopMM {
			if i == 0 || mm < b.LeastMM[side] {
				b.LeastMM[side], b.LeastFret[side] = mm, f.Number
			}
		}
	}
}
