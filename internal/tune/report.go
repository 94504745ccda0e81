package tune

import (
	"fmt"
	"math"

	"ringtrue/internal/play"
)

// FingerBehindMM is where a finger presses behind a fret unless told otherwise.
const FingerBehindMM = 8.0

// closeShare is the share of the closest fret spacing that a finger not placed
// by the maker stays within.
const closeShare = 2.0 / 3

// tellingMM is the depth of pressing whose effect every report tells.
const tellingMM = 0.3

// StringReport is one string of a neck. SetbackMM and LeftOver are those of Exact,
// as in the plan.
type StringReport struct {
	String        int         `json:"string"`
	Pitch         string      `json:"pitch"`
	ScaleMM       float64     `json:"scale_mm"`
	TensionN      float64     `json:"tension_n"`
	StiffnessNMM2 float64     `json:"stiffness_n_mm2"`
	AxialN        float64     `json:"axial_stiffness_n"` // E·A of what carries the tension
	CoreMM        float64     `json:"core_mm"`
	CoreTaken     bool        `json:"core_taken"`
	WrapTaken     bool        `json:"wrap_taken,omitempty"`
	NutMM         float64     `json:"nut_mm"`    // the string's height at the nut
	SaddleMM      float64     `json:"saddle_mm"` // and at the saddle
	Frets         []int       `json:"frets"`     // of the cents below
	SetbackMM     float64     `json:"saddle_setback_mm"`
	LeftOver      []float64   `json:"left_over_cents"`
	RangeMM       *[2]float64 `json:"saddle_setback_range_mm"` // the steel's modulus 5 % off either way, a core taken by rule 15 %
	None          Best        `json:"no_setback"`
	Exact         Best        `json:"exact"`          // saddle alone, the octave's fret in tune
	Saddle        *Best       `json:"saddle_alone"`   // least squares over all frets
	Both          *Best       `json:"saddle_and_nut"` // the same, both moved; nil where frets are too few
	Deeper        Pressing    `json:"pressing"`
}

// Pressing is how much sharper a deeper finger makes the first fret's and the
// exact fret's note, saddle and nut on their scale lines.
type Pressing struct {
	DeeperMM       float64 `json:"deeper_mm"`
	FirstFretCents float64 `json:"first_fret_cents"`
	ExactFretCents float64 `json:"exact_fret_cents"`
}

// FingerOn is a finger on a neck, so deep and so far behind the fret; 0 is
// FingerBehindMM, less where the frets stand close. Errors: it stands before the
// fret below, or presses the string into the board.
func FingerOn(n play.Request, depthMM, behindMM float64) (Finger, error) {
	gap, fret := math.Inf(1), 0
	for lane := 1; lane <= n.Layout.Strings(); lane++ {
		for f := 1; f <= n.Layout.LastFret(); f++ {
			if d := n.Layout.LaneX(f, float64(lane)) - n.Layout.LaneX(f-1, float64(lane)); d < gap {
				gap, fret = d, f
			}
		}
	}
	if behindMM == 0 {
		behindMM = math.Min(FingerBehindMM, closeShare*gap)
	}
	if !(behindMM > 0 && behindMM < gap) {
		return Finger{}, fmt.Errorf("a finger %.4g mm behind the fret must be more than 0 and less than %.4g mm, the room between frets %d and %d", behindMM, gap, fret-1, fret)
	}
	if high := n.Model.Wire.CrownHeight; !(depthMM >= 0 && depthMM <= high) {
		return Finger{}, fmt.Errorf("a finger %.4g mm below the crowns presses into the board: the crowns stand %.4g mm high", depthMM, high)
	}
	return Finger{DepthMM: depthMM, BehindMM: behindMM}, nil
}

// Report places saddle and nut of a string of a neck in every way. Errors as
// SaddleSetback.
func Report(n *play.Neck, number int, finger Finger) (StringReport, error) {
	s := n.Strings[number-1]
	l, err := Over(n.Lanes[number-1], play.SetupOf(n.Model, n.Layout, number, n.Capo), s, n.Model.Scale.Divisions)
	if err != nil {
		return StringReport{}, err
	}
	l.Finger = finger
	from, exact := n.From(number), SetbackFret(n.Layout)
	r := StringReport{String: number, Pitch: from.Pitch, ScaleMM: s.ScaleMM, TensionN: s.TensionN, StiffnessNMM2: s.StiffnessNMM2,
		AxialN: s.AxialStiffnessN(), CoreMM: s.CoreMM, CoreTaken: s.CoreTaken, WrapTaken: s.WrapTaken, NutMM: l.NutMM, SaddleMM: l.SaddleMM, None: l.At(Setback{})}
	for _, f := range l.Frets {
		r.Frets = append(r.Frets, f.Number)
	}
	if r.SetbackMM, err = l.SaddleSetback(exact); err != nil {
		return r, err
	}
	r.Exact = l.At(Setback{SaddleMM: r.SetbackMM})
	r.LeftOver = r.Exact.Cents
	if from.Stiffness == 0 && play.PitchAlone(from) {
		from = n.Model.Strings.Set[number-1] // the neck's own
	}
	if low, high, err := l.SaddleRange(exact, s.CoreTaken, from.Stiffness == 0); err == nil {
		r.RangeMM = &[2]float64{low, high}
	}
	if b, err := l.LeastSquares(false); err == nil { // too few frets leave it out
		r.Saddle = &b
	}
	if b, err := l.LeastSquares(true); err == nil {
		r.Both = &b
	}
	l.Finger.DepthMM = math.Min(finger.DepthMM+tellingMM, n.Model.Wire.CrownHeight)
	r.Deeper.DeeperMM = l.Finger.DepthMM - finger.DepthMM
	for k, cents := range l.Cents(Setback{}) {
		add := cents - r.None.Cents[k]
		if k == 0 {
			r.Deeper.FirstFretCents = add
		}
		if l.Frets[k].Number == exact {
			r.Deeper.ExactFretCents = add
		}
	}
	return r, nil
}
