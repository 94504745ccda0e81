package play

import "math"

// Metal is the least metal whose removal leaves every margin of a lane 0 or
// more, nut and saddle staying where they are.
type Metal struct {
	Feasible bool
	RemoveMM []float64 // of each crown of the lane; where not feasible, what it would take
	TotalMM  float64
	MaxMM    float64
	// Where not feasible: the crown that would go too low, and the stop whose
	// note asks for it.
	ShortFret, StopFret int
}

// LeastMetal finds it in closed form. Taking r from the crowns leaves a note
// stopped at i, over the crown j beyond it, the margin
//
//	m_ij − (1 − t_ij)·r_i + r_j >= 0,
//
// t_ij being j's share of the way from i to the saddle, and r_i = 0 for the
// nut. Each r_j thus has a lower bound that only grows with the r_i of stops
// before it. Taken in order along the lane, r_j = max(0, all its bounds) is
// therefore the least that any solution can have at every crown at once: it
// makes the sum, and the greatest, as small as can be. If it takes more than a
// crown can spare, so does every solution. Cost: one pass over all pairs.
func LeastMetal(l Lane, stops []Stop, r Rest, clearance Clearance) Metal {
	out := Metal{Feasible: true, RemoveMM: make([]float64, len(l.Crowns))}
	asks := make([]int, len(l.Crowns)) // the stop that sets each crown's bound
	for i, s := range stops {
		given := 0.0
		if s.Crown >= 0 {
			given = out.RemoveMM[s.Crown]
		}
		for k, c := range l.Crowns[s.Beyond:] {
			j := s.Beyond + k
			bound := clearance[i][k] - s.Gap(c, r) + (1-s.share(c))*given
			if bound > out.RemoveMM[j] {
				out.RemoveMM[j], asks[j] = bound, s.Fret
			}
		}
	}
	for j, c := range l.Crowns {
		take := out.RemoveMM[j]
		out.TotalMM += take
		out.MaxMM = math.Max(out.MaxMM, take)
		if take > c.SpareMM && out.Feasible {
			out.Feasible, out.ShortFret, out.StopFret = false, c.Fret, asks[j]
		}
	}
	return out
}
