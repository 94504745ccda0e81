package drift

import "ringtrue/internal/num"

// Caution is a reason why an answer stands on thin ground.
type Caution struct {
	Why CautionCode
	N   int     // points, for FewPoints
	R   float64 // correlation of neighbours
}

// CautionCode says what to mind.
type CautionCode int

// What to mind about a chart.
const (
	AlikeNeighbours    CautionCode = iota // limits from moving ranges are too narrow
	TurningNeighbours                     // up and down by turns: two streams mixed
	FewPoints                             // limits are rough
	EqualValues                           // the gauge's step is too coarse
	UnsteadyCapability                    // it says what the process did, not what it will do
	NoFault                               // limits of 0
)

// RoughBelow is the number of points under which limits are rough: from 20
// single values sigma is known to a fifth only (TestIndividuals_SigmaScatter).
const RoughBelow = 20

// Cautions says what to mind about charts whose limits have that basis, whose
// level has those steps, and whose neighbours correlate by r, more than chance
// or not. capable: capability is answered too.
func (c Charts) Cautions(b Basis, shifts []Shift, r num.Opt, real, capable bool) []Caution {
	var all []Caution
	switch v := r.Or(0); {
	case real && v > 0:
		all = append(all, Caution{Why: AlikeNeighbours, R: v})
	case real && v < 0:
		all = append(all, Caution{Why: TurningNeighbours, R: v})
	}
	use := len(c.Points)
	if b.First > 0 {
		use = b.First
	}
	if use < RoughBelow && !(b.Sigma.Known() && b.Centre.Known()) {
		all = append(all, Caution{Why: FewPoints, N: use})
	}
	if c.Kind == KindIndividuals && c.Sigma == 0 {
		all = append(all, Caution{Why: EqualValues})
	}
	if capable && c.Flagged()+len(shifts) > 0 {
		all = append(all, Caution{Why: UnsteadyCapability})
	}
	if c.Discrete() && !(c.Centre > 0) {
		all = append(all, Caution{Why: NoFault})
	}
	return all
}
