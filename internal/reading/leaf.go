package reading

import "math"

// UsualThinnest is the thinnest leaf of a usual set of feelers, in mm: sets
// begin at 0.03 to 0.05 mm (from memory). A gap of 0 may hide this much where
// nothing tells of the leaves.
const UsualThinnest = 0.05

// touching is how many crowns carry a straight edge: so many gaps of 0 in a
// pass are what they say.
const touching = 2

// WithLeaves returns the readings with no_go filled in where an edge's gap of 0
// leaves it unsaid. The edge touches two crowns; where more gaps of a pass read
// 0, most of them say only that no leaf entered, so each lies between 0 and the
// thinnest leaf: the thinnest that the readings name, else the least gap that
// was read or UsualThinnest, whichever is less. Where no reading of an edge or a
// rocker names a leaf, a gap of 0 stays a number if no more gaps of its pass read
// 0 than touch, or if the leaf lies within twice the reading's uncertainty.
//
// The readings given are not changed. filled is the leaf that was filled in, in
// mm; where it is 0 the readings are returned as they are.
func WithLeaves(readings []Reading) (out []Reading, filled float64) {
	leaf, named := thinnest(readings)
	zeros := map[Setup]int{}
	for _, r := range readings {
		if r.bare() {
			zeros[r.Setup()]++
		}
	}
	for i, r := range readings {
		if !r.bare() || !named && (zeros[r.Setup()] <= touching || leaf <= 2*r.U) {
			continue
		}
		if out == nil {
			out = append(out, readings...)
		}
		out[i].NoGo = &leaf
	}
	if out == nil {
		return readings, 0
	}
	return out, leaf
}

// bare reports whether a reading is a gap of 0 under an edge without the leaf
// that did not enter.
func (r Reading) bare() bool { return r.AlongGap() && r.NoGo == nil && r.Value == 0 }

// Ends are the least and the most of a reading, mm: of a gap the leaf that enters
// and the one that does not; of a number, and where no leaf is named, its value.
func (r Reading) Ends() (lo, hi float64) {
	if r.NoGo == nil {
		return r.Value, r.Value
	}
	return r.Value, *r.NoGo
}

// AlongGap reports whether a reading is a gap under an edge that lies along a lane.
func (r Reading) AlongGap() bool {
	s := r.Method.Spec()
	return s.Gap && s.SetUp == OffsetTilt
}

// thinnest is the thinnest leaf that readings of an edge or a rocker let one
// suppose, and whether a row names one that did not enter.
func thinnest(readings []Reading) (leaf float64, named bool) {
	least, leaf := math.Inf(1), UsualThinnest
	for _, r := range readings {
		switch s := r.Method.Spec(); {
		case !s.Gap || r.Answer != Number:
		case r.NoGo != nil:
			least, named = math.Min(least, *r.NoGo), true
			if r.Value > 0 {
				least = math.Min(least, r.Value)
			}
		case r.Value > 0 && s.SetUp == OffsetTilt:
			leaf = math.Min(leaf, r.Value)
		}
	}
	if named {
		return least, true
	}
	return leaf, false
}
