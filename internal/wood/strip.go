package wood

import "math"

// Layer is one of the layers of a strip, from its top face down.
type Layer struct {
	ThicknessMM float64
	ModulusMPa  float64
	FreeStrain  float64 // how much longer the layer would be if it were free
}

// Curvature is how a strip of glued layers of one width bends, in 1/mm, when
// each would be longer by its free strain: hollow on top positive, so a top
// layer that shrinks gives a positive curvature.
//
// The strip's own neutral axis and stiffness are those of the section with each
// layer counted by its modulus. For two layers this is Timoshenko's bi-metal
// strip (J Opt Soc Am 11 (1925) 233, formula from memory; TestCurvature_Timoshenko),
// for one modulus and a top layer d of height h it is 6ε·d(h − d)/h³.
func Curvature(layers []Layer) float64 {
	axis, ei := stiffness(layers)
	force, depth := 0.0, 0.0
	for _, l := range layers {
		middle := depth + l.ThicknessMM/2
		force += l.ModulusMPa * l.ThicknessMM * l.FreeStrain * (axis - middle)
		depth += l.ThicknessMM
	}
	return -force / ei
}

// stiffness is the neutral axis below the top face and the bending stiffness,
// each for a width of 1 mm.
func stiffness(layers []Layer) (axisMM, ei float64) {
	ea, first, depth := 0.0, 0.0, 0.0
	for _, l := range layers {
		ea += l.ModulusMPa * l.ThicknessMM
		first += l.ModulusMPa * l.ThicknessMM * (depth + l.ThicknessMM/2)
		depth += l.ThicknessMM
	}
	axisMM = first / ea
	depth = 0
	for _, l := range layers {
		arm := depth + l.ThicknessMM/2 - axisMM
		ei += l.ModulusMPa * l.ThicknessMM * (l.ThicknessMM*l.ThicknessMM/12 + arm*arm)
		depth += l.ThicknessMM
	}
	return axisMM, ei
}

// MeanStrain is how much longer the strip becomes along its neutral axis.
func MeanStrain(layers []Layer) float64 {
	ea, sum := 0.0, 0.0
	for _, l := range layers {
		ea += l.ModulusMPa * l.ThicknessMM
		sum += l.ModulusMPa * l.ThicknessMM * l.FreeStrain
	}
	return sum / ea
}

// Stress is the stress in MPa in the middle of layer i of a strip that is free
// to bow, tension positive.
func Stress(layers []Layer, i int) float64 {
	axis, _ := stiffness(layers)
	depth := 0.0
	for _, l := range layers[:i] {
		depth += l.ThicknessMM
	}
	middle := depth + layers[i].ThicknessMM/2
	// Hollow on top: what lies above the axis is pressed together.
	strain := MeanStrain(layers) - Curvature(layers)*(axis-middle)
	return layers[i].ModulusMPa * (strain - layers[i].FreeStrain)
}

// Sagitta is the depth in mm of an even curvature over a length.
func Sagitta(curvature, lengthMM float64) float64 { return curvature * lengthMM * lengthMM / 8 }

// Shrinkage along the grain from green to oven-dry, in per cent (Wood Handbook
// FPL-GTR-190 (2010), ch. 4, from memory).
const (
	LeastAlongPct = 0.1
	MostAlongPct  = 0.2
)

// Bow is how a board glued to a neck bows over lengthMM when both go from one
// moisture to another: hollow positive. Which of the two moves more along the
// grain cannot be known, so Likely is 0 and Low and High are the two cases with
// one at the least and one at the most. Moduli of 0 give a span of zeros.
func Bow(board, neck Layer, lengthMM, fromPct, toPct, saturationPct float64) Span {
	if !(board.ModulusMPa > 0 && neck.ModulusMPa > 0 && board.ThicknessMM > 0 && neck.ThicknessMM > 0) {
		return Span{}
	}
	from, to := math.Min(fromPct, saturationPct), math.Min(toPct, saturationPct)
	strain := func(alongPct float64) float64 { return alongPct / 100 * (to - from) / saturationPct }
	bow := func(boardPct, neckPct float64) float64 {
		board.FreeStrain, neck.FreeStrain = strain(boardPct), strain(neckPct)
		return Sagitta(Curvature([]Layer{board, neck}), lengthMM)
	}
	return Span{}.with(bow(LeastAlongPct, MostAlongPct)).with(bow(MostAlongPct, LeastAlongPct))
}
