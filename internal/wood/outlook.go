package wood

import (
	"math"

	"ringtrue/internal/material"
	"ringtrue/internal/num"
)

// ReadyWithinPct is how near a board's moisture must be to where the air would
// bring it.
const ReadyWithinPct = 1.0

// Case is a board on a neck, the air of the shop and the air it will live in.
type Case struct {
	Board       material.Wood
	Neck        *material.Wood // nil: unknown
	QuarterSawn bool
	MoisturePct float64 // of the board, now or when slotted
	WidthMM     float64 // where the change is asked for
	ThicknessMM float64 // of the board
	NeckMM      float64 // thickness of the neck under the board; 0: unknown
	LengthMM    float64 // over which the bow is taken
	OneFace     bool    // the board's other face is sealed
	Biot        float64
	TempC       float64
	HumidityPct float64 // of the shop
	DriestPct   float64 // humidity where it will live
	DampestPct  float64
	ProudMM     float64 // limits for Window
	BowMM       float64
}

// Outlook is what the air does to a Case.
type Outlook struct {
	MoisturePct float64 // where the shop's air brings wood
	Ready       bool
	Days        Span // until ready, in the shop's air; 0 where ready
	DriestPct   float64
	DampestPct  float64 // moisture in the driest and the dampest air
	Drier       Span    // change in width to the driest, mm
	Damper      Span
	Proud       Span // how far each fret end stands out in the driest, mm
	BowDry      Span // mm, hollow positive
	BowDamp     Span
	Bows        bool   // both woods and thicknesses were known, so the bows count
	Window      Window // humidity that keeps fret ends and bow under their limits
}

// Window is a range of humidity in per cent.
type Window struct{ Low, High float64 }

// Look works out the outlook of a case. Errors are those of Equilibrium, and
// ErrSlab for a board that cannot be.
func Look(c Case) (Outlook, error) {
	var o Outlook
	for _, air := range []struct {
		rh  float64
		out *float64
	}{{c.HumidityPct, &o.MoisturePct}, {c.DriestPct, &o.DriestPct}, {c.DampestPct, &o.DampestPct}} {
		m, err := Equilibrium(c.TempC, air.rh)
		if err != nil {
			return Outlook{}, err
		}
		*air.out = m
	}
	off := math.Abs(c.MoisturePct - o.MoisturePct)
	o.Ready = off <= ReadyWithinPct
	if !o.Ready {
		var err error
		if o.Days, err = c.slab().Days(1 - ReadyWithinPct/off); err != nil {
			return Outlook{}, err
		}
	}
	o.Drier, o.Damper = c.width(o.DriestPct), c.width(o.DampestPct)
	o.Proud = proud(o.Drier)
	o.Bows = c.bows()
	o.BowDry, o.BowDamp = c.bow(o.DriestPct), c.bow(o.DampestPct)
	var err error
	o.Window, err = c.window()
	return o, err
}

func (c Case) slab() Slab { return Slab{ThicknessMM: c.ThicknessMM, OneFace: c.OneFace, Biot: c.Biot} }

func (c Case) width(moisturePct float64) Span {
	return BoardChange(c.Board, c.QuarterSawn, c.WidthMM, c.MoisturePct, moisturePct)
}

// proud is how far a fret end stands out at each side when the board changes
// by this much: half of what it loses, 0 where it gains.
func proud(change Span) Span {
	half := func(v float64) float64 { return math.Max(0, -v/2) }
	return Span{half(change.High), half(change.Likely), half(change.Low)}
}

func (c Case) bows() bool {
	return c.Neck != nil && c.NeckMM > 0 && c.ThicknessMM > 0 && c.LengthMM > 0 &&
		c.Neck.Species.ModulusMPa.Given() && c.Board.Species.ModulusMPa.Given()
}

func (c Case) bow(moisturePct float64) Span {
	if !c.bows() {
		return Span{}
	}
	board := Layer{ThicknessMM: c.ThicknessMM, ModulusMPa: c.Board.Species.ModulusMPa.Mid()}
	neck := Layer{ThicknessMM: c.NeckMM, ModulusMPa: c.Neck.Species.ModulusMPa.Mid()}
	return Bow(board, neck, c.LengthMM, c.MoisturePct, moisturePct, c.Board.Species.SaturationPct)
}

// window finds the humidity that keeps the worst case of fret ends (on the dry
// side) and of bow (on both) within the limits, the wood given time to follow.
func (c Case) window() (Window, error) {
	over := func(m float64) float64 {
		worst := proud(c.width(m)).High/c.ProudMM - 1
		if b := c.bow(m); c.bows() {
			worst = math.Max(worst, math.Max(-b.Low, b.High)/c.BowMM-1)
		}
		return worst
	}
	wettest := equilibrium(c.TempC, 1)
	low, high := 0.0, wettest
	var err error
	if over(0) > 0 {
		if low, err = num.Root(over, 0, c.MoisturePct, 1e-10); err != nil {
			return Window{}, err
		}
	}
	if c.MoisturePct < wettest && over(wettest) > 0 {
		if high, err = num.Root(over, c.MoisturePct, wettest, 1e-10); err != nil {
			return Window{}, err
		}
	}
	w := Window{0, 100}
	if low > 0 {
		if w.Low, err = Humidity(c.TempC, math.Min(low, wettest)); err != nil {
			return Window{}, err
		}
	}
	if high < wettest {
		w.High, err = Humidity(c.TempC, high)
	}
	return w, err
}

// Drying is a board's mean moisture after each number of days in the shop's
// air, for the fastest, the likely and the slowest diffusion.
func (c Case) Drying(days []float64) ([][3]float64, error) {
	target, err := Equilibrium(c.TempC, c.HumidityPct)
	if err != nil {
		return nil, err
	}
	if !(c.ThicknessMM > 0) {
		return nil, ErrSlab
	}
	out := make([][3]float64, len(days))
	for i, t := range days {
		for j, d := range []float64{FastestM2S, LikelyM2S(), SlowestM2S} {
			out[i][j] = c.MoisturePct + (target-c.MoisturePct)*c.slab().Fraction(t, d)
		}
	}
	return out, nil
}

// weeksInYear and settleWeeks: a year is drawn by weeks, after a year before it
// that lets the start be forgotten.
const (
	weeksInYear = 52
	settleWeeks = 52
)

// Year is a board's change in width, in mm from now, week by week over a year
// whose humidity swings evenly from the driest to the dampest and back: Air
// where the wood would follow at once, Likely and Slowest where it lags.
//
// The slab's mean answers each week's step of the air as Fraction says, and
// steps add up (Duhamel).
func (c Case) Year() (weeks []Week, err error) {
	n := settleWeeks + weeksInYear + 1
	air := make([]float64, n)
	for i := range air {
		swing := -math.Cos(2 * math.Pi * float64(i) / weeksInYear)
		rh := (c.DriestPct+c.DampestPct)/2 + swing*(c.DampestPct-c.DriestPct)/2
		if air[i], err = Equilibrium(c.TempC, rh); err != nil {
			return nil, err
		}
	}
	if !(c.ThicknessMM > 0) {
		return nil, ErrSlab
	}
	likely, slowest := c.follow(air, LikelyM2S()), c.follow(air, SlowestM2S)
	for i := settleWeeks; i < n; i++ {
		weeks = append(weeks, Week{
			Week: i - settleWeeks, Air: c.width(air[i]).Likely,
			Likely: c.width(likely[i]).Likely, Slowest: c.width(slowest[i]).Likely,
		})
	}
	return weeks, nil
}

// Week is one week of a Year, in mm from the board's width now.
type Week struct {
	Week                 int
	Air, Likely, Slowest float64
}

// follow is the slab's mean moisture at each week's end under air whose
// equilibrium moisture steps weekly.
func (c Case) follow(air []float64, diffusionM2S float64) []float64 {
	f := make([]float64, len(air)+1)
	for i := range f {
		f[i] = c.slab().Fraction(7*float64(i), diffusionM2S)
	}
	out := make([]float64, len(air))
	for i := range out {
		m, before := c.MoisturePct, c.MoisturePct
		for j := 0; j <= i; j++ {
			m += (air[j] - before) * f[i-j+1]
			before = air[j]
		}
		out[i] = m
	}
	return out
}
