package filing

import (
	"math"
	"slices"
)

// LackKind is why no moves bring a plan about.
type LackKind int

// Lacks.
const (
	NoLack     LackKind = iota
	NoTool              // neither beam nor file
	NoBeam              // files alone do not do
	ShortBeams          // none spans the frets that lose metal
	LongBeams           // none is short enough to follow the shape
	FewMoves            // tools are there, but few moves do not do
)

// Lack is what the bench lacks for a plan: a beam of so much, the nearest there is
// being so long, mm.
type Lack struct {
	Kind           LackKind
	NeedMM, HaveMM float64
}

// followed is the part of the limit that a beam may leave of a hollow.
const followed = 0.25

// Lack tells why tools do not bring the plan about, for one that has no moves.
func (j *Job) Lack(t *Tools) Lack {
	if len(t.BeamsMM) == 0 {
		if !t.Files {
			return Lack{Kind: NoTool}
		}
		return Lack{Kind: NoBeam, NeedMM: j.reach()}
	}
	shortest, longest := slices.Min(t.BeamsMM), slices.Max(t.BeamsMM)
	if reach := j.reach(); j.hollow(math.Inf(1)) > followed*j.LimitMM {
		const step = 5
		need := step * math.Floor(shortest/step)
		for need > step && j.hollow(need) > followed*j.LimitMM {
			need -= step
		}
		if need+step <= shortest {
			return Lack{LongBeams, need, shortest}
		}
	} else if longest < reach {
		return Lack{ShortBeams, reach, longest}
	}
	return Lack{Kind: FewMoves}
}

// reach is how far apart the outermost crowns of a lane lie that lose metal, at the
// most, mm.
func (j *Job) reach() (most float64) {
	for a, l := range j.Lanes {
		first, last := -1, -1
		for i, d := range j.RemoveMM[a] {
			if d > runDepth {
				if first < 0 {
					first = i
				}
				last = i
			}
		}
		if first >= 0 {
			most = max(most, l.X[last]-l.X[first])
		}
	}
	return most
}

// hollow is how far crowns that lose metal would lie under a beam of a length that
// lies on the shape over them: it leaves them so much too high.
func (j *Job) hollow(lengthMM float64) (worst float64) {
	if j.StandMM == nil {
		return 0
	}
	for a, l := range j.Lanes {
		s := j.StandMM[a]
		for p := range l.X {
			for q := p + 2; q < len(l.X) && l.X[q]-l.X[p] <= lengthMM; q++ {
				for i := p + 1; i < q; i++ {
					if j.RemoveMM[a][i] > runDepth {
						worst = max(worst, s[p]+(s[q]-s[p])*(l.X[i]-l.X[p])/(l.X[q]-l.X[p])-s[i])
					}
				}
			}
		}
	}
	return worst
}

// FaceMM is what of a beam's face, which keeps a zone over its length, counts over
// the crowns under it, in the worst of some runs: a bow goes with the square.
func (j *Job) FaceMM(m *Moves, straightMM float64) (worst float64) {
	for _, r := range m.Runs {
		for _, l := range r.Lanes {
			lane := &j.Lanes[l.Lane]
			span := lane.X[at(lane.Frets, r.LastFret)] - lane.X[at(lane.Frets, r.FirstFret)]
			worst = max(worst, straightMM*span*span/(r.LengthMM*r.LengthMM))
		}
	}
	return worst
}
