package stringset

import (
	"math"

	"ringtrue/internal/neck"
)

// UsualWrap is the wire that a wound string is taken to be wound with where the
// neck file does not say: that of most electric and bass strings.
const UsualWrap = neck.NickelPlatedSteel

// WrapGPerMM3 is the density of a wrap's wire in g/mm³, that of UsualWrap where
// it is not named. Phosphor bronze by a data sheet of C51000 (0.320 lb/in³), the
// others by handbooks, from memory; nickel-plated steel is steel with some 5 µm
// of nickel.
func WrapGPerMM3(wrap string) float64 {
	switch wrap {
	case neck.Nickel:
		return 8.89e-3
	case neck.StainlessSteel:
		return 7.9e-3
	case neck.PhosphorBronze:
		return 8.86e-3
	case neck.Bronze8020:
		return 8.67e-3
	default:
		return 7.86e-3
	}
}

// WoundMass is the mass in g/m of a steel core wound to a gauge, both in mm, with
// round wire of a density in g/mm³. A close layer of round wire fills π/4 of its
// ring, however many layers there are: (π/4)·ρc·dc² + (π/4)²·ρw·(D² − dc²). For one
// layer that is π²/4·ρw·dw·(dc + dw), the helix without its pitch; pitch adds 1 to
// 2 %, which burnishing and stretch take off again.
func WoundMass(coreMM, gaugeMM, wrapGPerMM3 float64) float64 {
	core := coreMM * coreMM
	return 1e3 * math.Pi / 4 * (SteelGPerMM3*core + math.Pi/4*wrapGPerMM3*(gaugeMM*gaugeMM-core))
}

// BassScaleMM is the open length from which a string is taken for a bass string:
// long baritone necks end at 711 mm, short basses start at 762 mm (common
// practice, no source).
const BassScaleMM = 735

// CoreDoubt is how far a core of CoreOf may lie off, as a share of it; its bending
// stiffness then by a factor of two either way.
const CoreDoubt = 0.15

// CoreOf is the core in mm that a wound string of a gauge is taken to have on an
// open length where the neck file does not say, at most 0.6 × gauge.
//
// Guitars: 0.25 mm + 0.13 × gauge, through common sets as remembered (0.026 in on
// 0.013, 0.046 in on 0.016); no maker's figure. Basses: 0.318 mm + 0.139 × gauge,
// the cores that bend as two measured strings do: G2 of Issanchou, Le Carrou,
// Touzé, Fabre and Doaré, Applied Acoustics 129 (2018) 217 (B 3.5e-5 at 191.6 N on
// 863 mm, taken for 0.045 in), and B0 of Kemp, SN Applied Sciences 2:636 (2020)
// (taken for 0.130 in). Either may lie CoreDoubt off.
func CoreOf(gaugeMM, scaleMM float64) float64 {
	core := 0.25 + 0.13*gaugeMM
	if scaleMM >= BassScaleMM {
		core = 0.318 + 0.139*gaugeMM
	}
	return math.Min(core, 0.6*gaugeMM)
}
