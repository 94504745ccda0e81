package material

import (
	"errors"
	"math"
	"sort"
)

// StandardGravity turns kgf into N.
const StandardGravity = 9.80665

// YieldFromVickers is the yield in MPa of a metal of a Vickers hardness: a
// third of it, HV × 9.807/3 (Tabor, The Hardness of Metals, 1951: hardness is
// near three times the flow stress).
func YieldFromVickers(hv float64) float64 { return hv * 9.807 / 3 }

// TaborScatter is how far yields found by hardness stray from measured ones:
// the half-hard and hard nickel silvers of the alloy table stand within 4 % and
// 8 % of it, leaded nickel silver within 3 %.
const TaborScatter = 0.10

// ErrHardnessRange is a hardness outside what the conversion table holds.
var ErrHardnessRange = errors.New("hardness outside the conversion table")

// VickersFromRockwellB converts by the table of cartridge brass, the nearest to
// nickel silver that ASTM E140 holds (from memory); straight between its rows.
// Converted values are approximate: round to whole numbers.
func VickersFromRockwellB(hrb float64) (float64, error) {
	type pair struct{ hrb, hv float64 }
	var pairs []pair
	for _, r := range embedded("hardness_pairs") {
		if r["material_class"] == "cartridge brass 70/30" {
			pairs = append(pairs, pair{r.number("hrb").Mid(), r.number("hv").Mid()})
		}
	}
	sort.Slice(pairs, func(i, j int) bool { return pairs[i].hrb < pairs[j].hrb })
	i := sort.Search(len(pairs), func(i int) bool { return pairs[i].hrb >= hrb })
	if i == len(pairs) || i == 0 && hrb < pairs[0].hrb || math.IsNaN(hrb) {
		return 0, ErrHardnessRange
	}
	if pairs[i].hrb == hrb {
		return pairs[i].hv, nil
	}
	lo, hi := pairs[i-1], pairs[i]
	return lo.hv + (hi.hv-lo.hv)*(hrb-lo.hrb)/(hi.hrb-lo.hrb), nil
}

// Hardness is a temper's Vickers hardness and how it was come by: "printed",
// "from Rockwell B" or "from tensile strength" (three times it, in kgf/mm²;
// HRD-13 of leaded nickel silver gives 3.06). 0 where nothing tells it.
func (t Temper) Hardness() (hv float64, how string) {
	if t.Vickers.Given() {
		return t.Vickers.Mid(), "printed"
	}
	if t.RockwellB.Given() {
		if hv, err := VickersFromRockwellB(t.RockwellB.High); err == nil {
			return hv, "from Rockwell B"
		}
	}
	if t.StrengthMPa.Given() {
		return 3 * t.StrengthMPa.Mid() / StandardGravity, "from tensile strength"
	}
	return 0, ""
}
