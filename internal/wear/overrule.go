package wear

import (
	"math"
	"slices"
	"sort"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// Circumstances are what, beside the crowns' heights, bears on what is called worn.
type Circumstances struct {
	Backwards bool // the second stage is not later than the first
	SameState bool // both were read strung alike, with the rod set alike
	From, To  Suspects
}

// Reason is why a verdict is not what the numbers alone would give, or what to
// mind with it.
type Reason int

// Reasons.
const (
	NoReason     Reason = iota
	ReadEarlier         // lower, but read earlier
	OtherState          // lower, but read in another state
	FirstMisread        // the first stage's reading disagrees with the neck's others
	LowAlone            // one low reading and no worn crown beside it
	LowOnce             // one low reading that its fret does not share
	HighOnce            // one high reading that its fret does not share
)

// Overrule puts changes in doubt that circumstances explain as well, and gives
// the reason for each. It orders Changes by fret. held says that a change is called
// nothing for a reason that its numbers do not give.
func (r *Result) Overrule(c Circumstances) (reasons []Reason, held bool) {
	worn := map[Place]bool{} // not by a reading that stands alone
	for _, x := range r.Changes {
		if at := (Place{x.Fret, x.Lane}); x.Verdict == Worn && !c.To.Low[at] {
			worn[at] = true
		}
	}
	sort.SliceStable(r.Changes, func(i, j int) bool { return r.Changes[i].Fret < r.Changes[j].Fret })
	for i := range r.Changes {
		x := &r.Changes[i]
		why, doubt := c.reason(*x, worn)
		if doubt {
			x.Verdict = InDoubt
		}
		// A misreading of the first stage stays one, whatever is read now.
		held = held || doubt && why != FirstMisread
		reasons = append(reasons, why)
	}
	return reasons, held
}

// reason is what bears on one change, and whether that leaves it in doubt.
func (c Circumstances) reason(x Change, worn map[Place]bool) (why Reason, doubt bool) {
	at := Place{x.Fret, x.Lane}
	switch {
	case x.Verdict == Worn && c.Backwards:
		return ReadEarlier, true
	case x.Verdict == Worn && !c.SameState:
		return OtherState, true
	case x.Verdict == Worn && c.From.High[at]:
		return FirstMisread, true
	case x.Verdict == Worn && c.To.Low[at]:
		if hasNeighbour(worn, at) {
			return LowOnce, false
		}
		return LowAlone, true
	case x.Verdict == Raised && c.From.Low[at]:
		return FirstMisread, true
	case x.Verdict == Raised && c.To.High[at]:
		return HighOnce, true
	}
	return NoReason, false
}

// hasNeighbour reports whether a worn crown lies beside another.
func hasNeighbour(worn map[Place]bool, at Place) bool {
	for p := range worn {
		if p == at {
			continue
		}
		if p.Fret == at.Fret && math.Abs(p.Lane-at.Lane) <= 1 || p.Lane == at.Lane && p.Fret-at.Fret <= 2 && at.Fret-p.Fret <= 2 {
			return true
		}
	}
	return false
}

// Neck is the neck's verdict: the gravest of its crowns'. Where no crown is called
// changed the neck is in doubt only if all readings together say that it did, or
// a change was held back: see Overrule.
func (r *Result) Neck(held bool) Verdict {
	for _, v := range []Verdict{Worn, Moved, Raised} {
		if slices.ContainsFunc(r.Changes, func(x Change) bool { return x.Verdict == v }) {
			return v
		}
	}
	if r.InDoubt || held {
		return InDoubt
	}
	return Unchanged
}

// WornLanes are those of a fret's worn lanes that were not put in doubt.
func (r *Result) WornLanes(f Fret) []float64 {
	out := []float64{}
	for _, lane := range f.Worn {
		if slices.ContainsFunc(r.Changes, func(x Change) bool { return x.Fret == f.Fret && x.Lane == lane && x.Verdict == Worn }) {
			out = append(out, lane)
		}
	}
	return out
}

// minToWear is how many years must pass before crowns on one slanted line are
// taken for worn and nothing else: strings need months to wear what a press does
// at once. A convention.
const minToWear = 0.25

// MayHaveLeaned reports whether a worn fret may as well have gone down at one end.
func (f Fret) MayHaveLeaned(years num.Opt) bool {
	return f.Verdict != Moved && f.Ends.Tilted && TooSoon(years)
}

// TooSoon reports whether too little time passed for strings to wear what a press
// does at once, or nobody knows how much.
func TooSoon(years num.Opt) bool { return years.Or(0) < minToWear }

// Motion is how a fret moved.
type Motion int

// Motions.
const (
	Sank Motion = iota // alike in every lane
	SankTilted
	Rose // as a whole
	TrebleRose
	BassRose
)

// Up reports whether a fret rose, on the whole.
func (f Fret) Up() bool { return f.TrebleMM+f.BassMM > 0 }

// Motion says how a fret moved.
func (f Fret) Motion() Motion {
	switch {
	case !f.Up() && f.Ends.Tilted:
		return SankTilted
	case !f.Up():
		return Sank
	case math.Min(f.TrebleMM, f.BassMM) > math.Max(f.TrebleMM, f.BassMM)/2:
		return Rose
	case f.TrebleMM > f.BassMM:
		return TrebleRose
	}
	return BassRose
}

// InRun reports whether a fret is one of three neighbours that moved one way: the
// board's doing.
func (r *Result) InRun(f Fret) bool {
	same := func(n int) bool {
		return slices.ContainsFunc(r.Frets, func(o Fret) bool { return o.Fret == n && o.Verdict == Moved && o.Up() == f.Up() })
	}
	for first := f.Fret - 2; first <= f.Fret; first++ {
		if same(first) && same(first+1) && same(first+2) {
			return true
		}
	}
	return false
}

// seesEnoughMM is wear that no comparison should miss: a convention, about where
// a player feels it.
const seesEnoughMM = 0.05

// Coarse says whether the readings can miss wear that a player feels, and which
// stage alone is to blame.
func (r *Result) Coarse() (both, from, to bool) {
	f, t := r.SeesFromMM > seesEnoughMM, r.SeesToMM > seesEnoughMM
	return r.SeesMM > seesEnoughMM, f && !t, t && !f
}

// BeamSeesMM is the change that two passes of a beam along every lane at each
// stage would show: they leave the difference as good as one reading.
func (r *Result) BeamSeesMM() float64 { return r.SeesMM / r.LargestUMM * reading.DefaultU }
