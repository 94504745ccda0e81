package board

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// bornLimit is the part of the limit that a lane must still exceed without one of
// its readings for not straight not to rest on that one.
const bornLimit = 0.9

// support takes not straight back where it rests on a single reading that no
// slot beside it, in this lane or another, bears out.
func (j *job) support() error {
	for i := range j.a.Lanes {
		l := &j.a.Lanes[i]
		if l.Verdict != NotStraight {
			continue
		}
		lone, err := j.restsOn(i)
		if err != nil {
			return err
		}
		if lone >= 0 {
			l.Verdict, l.lone, l.OffChance = InDoubt, j.sources[i].at[lone], 0.5
		}
	}
	return nil
}

// restsOn is the slot whose one reading makes lane i not straight, −1 where there
// is none.
func (j *job) restsOn(i int) (int, error) {
	s := j.sources[i]
	for k := range s.at {
		if s.count[k] > 1 {
			continue
		}
		if len(s.at) > leastOfPass {
			over, err := j.stillOver(s.without(k))
			if err != nil {
				return -1, err
			}
			if over {
				continue
			}
		}
		if !j.sharedBeside(i, k) {
			return k, nil
		}
	}
	return -1, nil
}

// stillOver reports whether a source's zone is over, or near, the limit.
func (j *job) stillOver(s source) (bool, error) {
	least := bornLimit * j.m.Board.Flat
	if s.gaps != nil {
		r, err := straight.Brackets{X: s.x, Lo: s.gaps.lo, Hi: s.gaps.hi}.Range()
		return r.LeastMM > least, err
	}
	v, err := straight.Zone(s.x, s.z)
	return v.WidthMM > least, err
}

// without is a source less one of its places.
func (s source) without(k int) source {
	n := len(s.at) - 1
	out := source{x: make([]float64, 0, n), z: make([]float64, 0, n), cov: mat.NewSymDense(n, nil)}
	var keep []int
	for i := range s.at {
		if i != k {
			keep = append(keep, i)
			out.x, out.z = append(out.x, s.x[i]), append(out.z, s.z[i])
		}
	}
	for a, i := range keep {
		for b := a; b < n; b++ {
			out.cov.SetSym(a, b, s.cov.At(i, keep[b]))
		}
	}
	if s.gaps != nil {
		g := feelers{setup: s.gaps.setup}
		for _, i := range keep {
			g.at, g.lo, g.hi, g.u = append(g.at, s.gaps.at[i]), append(g.lo, s.gaps.lo[i]), append(g.hi, s.gaps.hi[i]), append(g.u, s.gaps.u[i])
		}
		out.gaps = &g
	}
	return out
}

// sharedBeside reports whether another lane is off the same way beside slot k of
// lane i.
func (j *job) sharedBeside(i, k int) bool {
	off := j.a.Lanes[i].OffMM[k]
	here := j.places.list[j.sources[i].at[k]].at.X
	for o, other := range j.a.Lanes {
		if o == i {
			continue
		}
		for n, p := range j.sources[o].at {
			v := other.OffMM[n]
			if math.Abs(j.places.list[p].at.X-here) < besideMM && v*off > 0 &&
				math.Abs(v) >= math.Max(bornPart*math.Abs(off), 2*other.UMM[n]) {
				return true
			}
		}
	}
	return false
}
