package arrive

import (
	"math"

	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// Draws is how many next readings are drawn.
const Draws = draws

// Before are errors that the readings before may have, in one draw: crowns truly
// stand so much lower than they were read. Lane by lane and crown by crown as the
// neck was given; 0 on frets that are out. They are drawn apart from those that
// Carried judges by, so a hand is not told what the next reading will say.
func (o *Outlook) Before(draw int) [][]float64 {
	scale := 1 / math.Sqrt(1+o.after())
	out := make([][]float64, len(o.given))
	for a := range o.given {
		out[a] = make([]float64, len(o.given[a].X))
		if k := &o.lanes[a]; len(k.x) > 0 {
			for i, v := range o.row(o.read, (draw+draws/2)%draws, k) {
				out[a][k.at[i]] = scale * v
			}
		}
	}
	return out
}

// Carried judges what a hand made of a plan: whether in one draw the next reading
// calls every lane level and every lane is, so much being taken off each crown,
// lane by lane and crown by crown as the neck was given. Several goroutines may
// ask at once.
func (o *Outlook) Carried(p level.Plan) func(draw int, takenMM [][]float64) bool {
	lanes := make([]*ahead, len(o.lanes))
	for a := range o.lanes {
		if k := &o.lanes[a]; len(k.x) > 0 {
			lanes[a] = o.ahead(k, p.Lanes[a].RemoveMM)
		}
	}
	return func(draw int, takenMM [][]float64) bool {
		errors := o.Before(draw)
		for a, f := range lanes {
			if f == nil {
				continue
			}
			z, e := make([]float64, len(f.x)), make([]float64, len(f.x))
			for i, at := range f.at {
				z[i] = f.d[i] - errors[a][at] - takenMM[a][at]
				e[i] = takenMM[a][at] - p.Lanes[a].RemoveMM[at]
			}
			zone, err := straight.Zone(f.x, z)
			if err != nil || zone.WidthMM > o.ask.LimitMM || !f.calledWith(o, draw, a, z, e) {
				return false
			}
		}
		return true
	}
}
