package play

import (
	"fmt"
	"math"

	"ringtrue/internal/neck"
)

// Clearance holds the gap that the string asks for over each crown beyond each
// stop, in mm: Clearance[i][k] over the k-th crown beyond stop i of Lane.Stops. It
// hangs on where the crowns lie along the lane, not on their heights.
type Clearance [][]float64

// touchError says where a touch cannot be played.
func touchError(t neck.Touch, number, fret int, err error) error {
	return fmt.Errorf("touch %q, string %d stopped at fret %d: %w", t.Name, number, fret, err)
}

// CheckTouch finds the first stop at which a touch cannot be played on a string.
func CheckTouch(t neck.Touch, l Lane, stops []Stop, tensionN float64) error {
	for _, s := range stops {
		if _, err := PluckOf(t, tensionN, s.LengthMM); err != nil {
			return touchError(t, l.String, s.Fret, err)
		}
	}
	return nil
}

// IdealClearance is the reach of the free ideal string under a touch.
func IdealClearance(l Lane, stops []Stop, t neck.Touch, tensionN float64) (Clearance, error) {
	clearance := make(Clearance, len(stops))
	for i, s := range stops {
		p, err := PluckOf(t, tensionN, s.LengthMM)
		if err != nil {
			return nil, touchError(t, l.String, s.Fret, err)
		}
		for _, c := range l.Crowns[s.Beyond:] {
			clearance[i] = append(clearance[i], p.HeightMM*Reach(c.XMM-s.XMM, p.AtMM, s.LengthMM))
		}
	}
	return clearance, nil
}

// Range is a range of a setup's size, in mm, both ends included; an end may be
// infinite. Lo > Hi is no range at all.
type Range struct{ Lo, Hi float64 }

// everywhere is the whole line.
func everywhere() Range { return Range{math.Inf(-1), math.Inf(1)} }

// Empty reports whether no value lies in the range.
func (s Range) Empty() bool { return !(s.Lo <= s.Hi) }

// And is what two ranges share.
func (s Range) And(o Range) Range { return Range{math.Max(s.Lo, o.Lo), math.Min(s.Hi, o.Hi)} }

// Nearest is the value of the range that lies nearest to v.
func (s Range) Nearest(v float64) float64 { return math.Min(math.Max(v, s.Lo), s.Hi) }

// least is the least value of the range; infinite where there is none.
func (s Range) least() float64 {
	if s.Empty() {
		return math.Inf(1)
	}
	return s.Lo
}

// flat is the slope, mm of margin for each mm of the size, below which the size
// has no bearing on a margin: rounding leaves some 1e-16.
const flat = 1e-12

// clearing is the range of one size within which every margin of a lane is 0 or
// more. margins must give, for a value of the size, all margins of all crowns,
// each linear in it; so two values tell everything.
func clearing(all func(value float64) ([]float64, error)) (Range, error) {
	at0, err := all(0)
	if err != nil {
		return Range{}, err
	}
	at1, err := all(1)
	if err != nil {
		return Range{}, err
	}
	span := everywhere()
	for i, m := range at0 {
		slope := at1[i] - m
		switch {
		case slope > flat:
			span.Lo = math.Max(span.Lo, -m/slope)
		case slope < -flat:
			span.Hi = math.Min(span.Hi, -m/slope)
		case m < 0:
			return Range{Lo: math.Inf(1), Hi: math.Inf(-1)}, nil
		}
	}
	return span, nil
}

// everyStop asks margins for those of all stops.
const everyStop = -1

// margins is gap minus need over every crown beyond stop i, or beyond every stop.
func margins(l Lane, s Setup, i int, clearance Clearance) ([]float64, error) {
	r, err := l.Rest(s)
	if err != nil {
		return nil, err
	}
	var out []float64
	for j, stop := range l.Stops(s, r) {
		if i != everyStop && i != j {
			continue
		}
		for k, c := range l.Crowns[stop.Beyond:] {
			out = append(out, stop.Gap(c, r)-clearance[j][k])
		}
	}
	return out, nil
}

// LowestAction is the lowest action at which every margin of the lane is 0 or
// more, all else in the setup staying as it is. Infinite where no action is
// high enough (a nut gap that is too small stays too small), minus infinite
// where no note has a crown beyond it.
func LowestAction(l Lane, s Setup, clearance Clearance) (float64, error) {
	span, err := clearing(func(v float64) ([]float64, error) {
		s.ActionMM = v
		return margins(l, s, everyStop, clearance)
	})
	if err != nil {
		return 0, err
	}
	return span.least(), nil
}
