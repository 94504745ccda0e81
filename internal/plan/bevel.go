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

// bevel finds how far the outer strings stand from the crowns' ends, measured
// across the board, and says where one would run off.
func (p *Plan) bevel(m neck.Model, l *geometry.Layout, o Options) {
	loss := BevelLossMM(m.Wire.CrownHeight, o.BevelDeg)
	for i := range p.Frets {
		f := &p.Frets[i]
		cos := l.Squareness(f.Number)
		bass, treble := l.At(f.Number, float64(l.Strings())), l.At(f.Number, 1)
		f.TopMM = [2]float64{bass.Y - f.Ends[0].Y - loss*cos, f.Ends[1].Y - treble.Y - loss*cos}
	}
	for side, name := range []string{"last string", "string 1"} {
		worst, fret := math.Inf(1), 0
		for _, f := range p.Frets {
			if f.TopMM[side] < worst {
				worst, fret = f.TopMM[side], f.Number
			}
		}
		if worst <= 0 {
			p.note("the %s runs off the bevel at fret %d by %.2f mm: bevel steeper or move the string in", name, fret, -worst)
		}
	}
}
