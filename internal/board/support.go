package board

import (
	"math"
	"slices"

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
			l.Verdict, l.lone, l.offChance = InDoubt, j.sources[i].at[lone], 0.5
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
		if len(s.at) > minOfPass {
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
		r, err := brackets(s.x, s.gaps).Range()
		return r.LeastMM > least, err
	}
	v, err := straight.Zone(s.x, s.z)
	return v.WidthMM > least, err
}

// without are the heights, or gaps, of a source less one of its places.
func (s source) without(k int) source {
	out := source{x: slices.Delete(slices.Clone(s.x), k, k+1), z: slices.Delete(slices.Clone(s.z), k, k+1)}
	if s.gaps != nil {
		out.gaps = slices.Delete(slices.Clone(s.gaps), k, k+1)
	}
	return out
}

// sharedBeside reports whether another lane is off the same way beside slot k of
// lane i.
func (j *job) sharedBeside(i, k int) bool {
	off := j.a.Lanes[i].offMM[k]
	here := j.places.list[j.sources[i].at[k]].at.X
	for o, other := range j.a.Lanes {
		if o == i {
			continue
		}
		for n, p := range j.sources[o].at {
			v := other.offMM[n]
			if math.Abs(j.places.list[p].at.X-here) < besideMM && v*off > 0 &&
				math.Abs(v) >= math.Max(bornPart*math.Abs(off), 2*other.uMM[n]) {
				return true
			}
		}
	}
	return false
}
