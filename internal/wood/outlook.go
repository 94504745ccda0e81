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
	Board        material.Wood
	Neck         *material.Wood // nil: unknown
	QuarterSawn  bool
	MoisturePct  float64 // of the board, now or when slotted
	WidthMM      float64 // where the change is asked for
	FirstWidthMM float64 // at the first fret; 0: not asked for
	ThicknessMM  float64 // of the board
	NeckMM       float64 // thickness of the neck under the board; 0: unknown
	LengthMM     float64 // over which the bow is taken
	OneFace      bool    // the board's other face is sealed
	Biot         float64
	Air
	Limits
}

// Air is the air of the shop, and of where the neck will live.
type Air struct {
	TempC       float64 `json:"temperature_c"`
	HumidityPct float64 `json:"shop_humidity_pct"`
	DriestPct   float64 `json:"driest_humidity_pct"`
	DampestPct  float64 `json:"dampest_humidity_pct"`
}

// Limits are what Window keeps fret ends and bow under.
type Limits struct {
	ProudMM float64 `json:"proud_mm"`
	BowMM   float64 `json:"bow_mm"`
}

// Usual are the limits where nobody gives any (workshop practice, from memory).
func Usual() Limits { return Limits{ProudMM: 0.10, BowMM: 0.20} }

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
	Ends        Ends
	BowDry      Span // mm, hollow positive
	BowDamp     Span
	Bows        bool // both woods and thicknesses were known, so the bows count
	Window      Span // humidity that keeps fret ends and bow under their limits
}

// BeyondCoefficients says that a moisture lies outside the 6 to 14 % for which
// coefficients of change are printed.
func (o Outlook) BeyondCoefficients(c Case) bool {
	return min(o.DriestPct, o.DampestPct, c.MoisturePct) < 6 || max(o.DampestPct, c.MoisturePct) > 14
}

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
	o.Ends = c.ends(o)
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
func (c Case) window() (Span, error) {
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
			return Span{}, err
		}
	}
	if c.MoisturePct < wettest && over(wettest) > 0 {
		if high, err = num.Root(over, c.MoisturePct, wettest, 1e-10); err != nil {
			return Span{}, err
		}
	}
	w := Span{High: 100}
	if low > 0 {
		if w.Low, err = Humidity(c.TempC, math.Min(low, wettest)); err != nil {
			return Span{}, err
		}
	}
	if high < wettest {
		w.High, err = Humidity(c.TempC, high)
	}
	return w, err
}
