package level

import "slices"

// Without are lanes without some frets, and what writes a plan of them as one of
// the lanes as given. Lanes of which nothing is left are left out.
func Without(lanes []Lane, out []int) (kept []Lane, full func(Plan) Plan) {
	at := make([][]int, len(lanes)) // where each kept crown stands in its lane
	for a, l := range lanes {
		k := Lane{Lane: l.Lane}
		for i, f := range l.Frets {
			if slices.Contains(out, f) {
				continue
			}
			k.Frets, k.X, k.D, k.Y = append(k.Frets, f), append(k.X, l.X[i]), append(k.D, l.D[i]), append(k.Y, l.Y[i])
			at[a] = append(at[a], i)
		}
		if len(k.X) > 0 {
			kept = append(kept, k)
		}
	}
	return kept, func(p Plan) Plan {
		all := Nothing(lanes)
		all.TotalMM, all.MaxMM = p.TotalMM, p.MaxMM
		from := 0
		for a, remove := range all.Lanes {
			if len(at[a]) == 0 {
				continue
			}
			all.Lanes[a] = p.Lanes[from]
			all.Lanes[a].RemoveMM = remove.RemoveMM
			for k, i := range at[a] {
				remove.RemoveMM[i] = p.Lanes[from].RemoveMM[k]
			}
			from++
		}
		return all
	}
}

// Nothing is a plan that takes nothing off.
func Nothing(lanes []Lane) Plan {
	none := Plan{Lanes: make([]LanePlan, len(lanes))}
	for a, l := range lanes {
		none.Lanes[a].RemoveMM = make([]float64, len(l.X))
	}
	return none
}
