package wood

import (
	"encoding/json"

	"ringtrue/internal/material"
)

// Change is how much wider, in mm, a board of widthMM becomes when its moisture
// goes from one value to another: D(M₂ − M₁)/(100·F/S − F + M₁), S the total
// shrinkage in per cent and F the fibre saturation that goes with it.
//
// Moisture above the saturation changes nothing and counts as it.
// Source: Wood Handbook FPL-GTR-190 (2010), Eq 13-3 (form from memory, as the
// log-building formula ICC 400 has it); TestChange_WoodHandbook.
func Change(widthMM, shrinkPct, saturationPct, fromPct, toPct float64) float64 {
	from, to := min(fromPct, saturationPct), min(toPct, saturationPct)
	return widthMM * (to - from) / (100*saturationPct/shrinkPct - saturationPct + from)
}

// ChangeLinear is the change in width by a coefficient per per cent of
// moisture, for moisture of 6 to 14 %. Source: the same, Eq 13-2.
func ChangeLinear(widthMM, coefficient, fromPct, toPct float64) float64 {
	return widthMM * coefficient * (toPct - fromPct)
}

// Span is the least, the likely and the greatest of a figure on which sources
// or pieces of wood differ.
type Span struct{ Low, Likely, High float64 }

// MarshalJSON writes the ends: [low, high].
func (s Span) MarshalJSON() ([]byte, error) { return json.Marshal([2]float64{s.Low, s.High}) }

// with widens a span to hold a value.
func (s Span) with(v float64) Span { return Span{min(s.Low, v), s.Likely, max(s.High, v)} }

// At is a span of one value.
func at(v float64) Span { return Span{v, v, v} }

// BoardChange is the change in width of a board of this wood. Likely is the
// species reckoned with, by its total shrinkage; Low and High hold what every
// source and every species of that name gives, by shrinkage or coefficient.
func BoardChange(w material.Wood, quarterSawn bool, widthMM, fromPct, toPct float64) Span {
	shrink := func(s material.Species) float64 {
		if quarterSawn {
			return s.RadialPct
		}
		return s.TangentialPct
	}
	span := at(Change(widthMM, shrink(w.Species), w.Species.SaturationPct, fromPct, toPct))
	for _, s := range w.All() {
		span = span.with(Change(widthMM, shrink(s), s.SaturationPct, fromPct, toPct))
		coefficients := []float64{s.TangentialCoeff}
		if quarterSawn {
			coefficients[0] = s.RadialCoeff
		}
		for _, o := range s.OtherCoeffs {
			if quarterSawn {
				coefficients = append(coefficients, o.Radial)
			} else {
				coefficients = append(coefficients, o.Tangential)
			}
		}
		for _, c := range coefficients {
			span = span.with(ChangeLinear(widthMM, c, fromPct, toPct))
		}
	}
	return span
}
