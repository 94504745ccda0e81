package answer

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/text"
)

// withoutFrets are lanes without some frets, and where in the lanes as given each
// crown stands. Lanes of which nothing is left are left out: their places are nil.
func withoutFrets(lanes []level.Lane, out []int) (kept []level.Lane, at [][]int) {
	at = make([][]int, len(lanes))
	for a, l := range lanes {
		k := level.Lane{Lane: l.Lane}
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
	return kept, at
}

// spreadOut is a plan of lanes without some frets as one of the lanes as given.
func (w *worker) spreadOut(p level.Plan, at [][]int) level.Plan {
	full := level.Plan{TotalMM: p.TotalMM, MaxMM: p.MaxMM, Lanes: make([]level.LanePlan, len(w.lanes))}
	from := 0
	for a := range w.lanes {
		remove := make([]float64, len(w.lanes[a].X))
		if len(at[a]) > 0 {
			full.Lanes[a] = p.Lanes[from]
			for k, i := range at[a] {
				remove[i] = p.Lanes[from].RemoveMM[k]
			}
			from++
		}
		full.Lanes[a].RemoveMM = remove
	}
	return full
}

// nothing is a plan that takes nothing off.
func nothing(n *findings.Neck) level.Plan {
	none := level.Plan{Lanes: make([]level.LanePlan, len(n.Lanes))}
	for a, l := range n.Lanes {
		none.Lanes[a].RemoveMM = make([]float64, len(l.X))
	}
	return none
}

// covOf is the covariance of some of a lane's crowns.
func covOf(l findings.Lane, at []int) *mat.SymDense {
	cov := mat.NewSymDense(len(at), nil)
	for i, p := range at {
		for j := i; j < len(at); j++ {
			cov.SetSym(i, j, l.Cov.At(p, at[j]))
		}
	}
	return cov
}

// nextWords names the first of the next readings; "" where there is none.
func nextWords(next []NextReading) string {
	if len(next) == 0 {
		return ""
	}
	return text.NextReading(next[0].Method, next[0].Lanes, next[0].Frets)
}
