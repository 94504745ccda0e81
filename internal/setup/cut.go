package setup

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Doubt is the standard uncertainty of what is measured and of what a hand takes
// off, in mm.
type Doubt struct {
	GapMM    float64 `json:"gap_mm"`    // of a gap felt with leaves
	ActionMM float64 `json:"action_mm"` // of an action read on a rule
	SlotMM   float64 `json:"slot_mm"`   // of a slot's depth as filed
	SaddleMM float64 `json:"saddle_mm"` // of a saddle as taken down
}

// Usual is the doubt of leaves, a rule, slot files and sandpaper (workshop
// figures, from memory).
func Usual() Doubt { return Doubt{GapMM: 0.01, ActionMM: 0.05, SlotMM: 0.02, SaddleMM: 0.05} }

const (
	// sure is the chance with which a first pass must not end too deep.
	sure = 0.95
	// leastShortMM is what is always left for the last strokes (workshop practice,
	// from memory: 0.02 to 0.03 mm).
	leastShortMM = 0.02
	// leastPassMM is the least that is worth a pass of its own. Chosen: it is the
	// doubt of a gap felt with leaves, so that less is not seen to have come off.
	leastPassMM = 0.01
	// BreakRad is the angle that a string is taken to break over nut and saddle by.
	BreakRad = 10 * math.Pi / 180
	// contradicts is how many standard uncertainties apart two gaps of one string
	// are misread. Chosen: sound ones lie so far apart once in 370 strings (normal).
	contradicts = 3
)

// Deed is what to do with a slot or the saddle under one string.
type Deed string

// The deeds.
const (
	Take  Deed = "take off"     // as far as NowMM, then measure again
	Touch Deed = "last strokes" // less is left than a hand can be sure of
	Leave Deed = "leave"        // as wanted, within what was measured
	Raise Deed = "raise"        // too low already
)

// End is one end of a string: where it is, where it should be, what to take off.
type End struct {
	IsMM     float64
	WantedMM float64
	TakeMM   float64 // below 0 it is too low by so much
	UMM      float64 // standard uncertainty of TakeMM as measured
	ShortMM  float64 // stop so far before TakeMM, string up, measure again
	NowMM    float64 // what to take off in this pass: TakeMM less ShortMM, or nothing
	TooDeep  num.Opt // the chance that taking NowMM already ends too deep
	Deed     Deed
}

// endOf weighs what to take off against its doubt, toolMM the hand's part. The first
// pass stops so far short that the chance of ending too deep,
// Φ((n_wish − n_cut)/u), is 5 % at most.
func endOf(is, want float64, take form, u, toolMM float64) End {
	whole := math.Hypot(u, toolMM)
	e := End{IsMM: is, WantedMM: want, TakeMM: take.value, UMM: u}
	e.ShortMM = num.RoundUp(math.Max(leastShortMM, distuv.UnitNormal.Quantile(sure)*whole), 100)
	switch {
	case e.TakeMM >= e.ShortMM+leastPassMM:
		e.Deed, e.NowMM = Take, e.TakeMM-e.ShortMM
		e.TooDeep = num.Some(distuv.UnitNormal.CDF(-e.ShortMM / whole))
	case e.TakeMM > u:
		e.Deed = Touch
	case e.TakeMM >= -distuv.UnitNormal.Quantile(sure)*u:
		e.Deed = Leave
	default:
		e.Deed = Raise
	}
	return e
}

// Cut is the sheet of one string. Slot is nil over a zero fret.
type Cut struct {
	Measured
	Slot   *End
	Saddle End
	// FeelerMM is the gap over fret 1, the string held down on fret 3, once the slot
	// is as wanted; FeelerNowMM where this pass is to stop.
	FeelerMM       num.Opt
	FeelerNowMM    num.Opt
	FirstWantedMM  num.Opt // the open string over fret 1 as wanted
	ActionWantedMM float64 // and over fret 12
	Misread        bool    // first and held gap contradict each other
}

// CutOf is the sheet of a string measured over a lane, want being the neck file's
// set-up. Errors: ErrNoNut, ErrNoAction, ErrZeroFret, ErrSameSite; play.ErrNoCrown.
func CutOf(m Measured, o Over, want play.Setup, zeroFret bool, d Doubt) (Cut, error) {
	c := Cut{Measured: m, ActionWantedMM: want.ActionMM}
	frets, x, z := o.crowns(want.ActionFret)
	eqs, err := d.isNow(m, x, o.Lane.ScaleMM, zeroFret)
	if err != nil {
		return c, err
	}
	nut, saddle, err := solve(eqs, z)
	if err != nil {
		return c, err
	}
	wantNut, wantSaddle, err := solve(wanted(want, x, o.Lane.ScaleMM, zeroFret), z)
	if err != nil {
		return c, fmt.Errorf("as wanted: %w", err)
	}
	lower := saddle.minus(wantSaddle)
	c.Saddle = endOf(saddle.value, wantSaddle.value, lower, lower.u(o, frets), d.SaddleMM)
	if zeroFret {
		return c, nil
	}
	deeper := nut.minus(wantNut)
	slot := endOf(nut.value, wantNut.value, deeper, deeper.u(o, frets), d.SlotMM)
	c.Slot = &slot
	c.Misread = disagreement(eqs, o, frets, z).Or(0) > contradicts
	t := x[atFirst] / o.Lane.ScaleMM
	c.FirstWantedMM = num.Some(wantNut.value*(1-t) + wantSaddle.value*t - z[atFirst])
	k := x[atFirst] / x[atHeld]
	feeler := func(n float64) num.Opt { return num.Some(n*(1-k) - z[atFirst] + z[atHeld]*k) }
	c.FeelerMM, c.FeelerNowMM = feeler(wantNut.value), feeler(wantNut.value)
	if slot.Deed == Take {
		c.FeelerNowMM = feeler(wantNut.value + slot.ShortMM)
	}
	return c, nil
}
