package filing

import "math"

// Usual figures of a file along one fret, from memory: 10 N, a stroke of 40 mm,
// and 1e-4 mm³ of metal per N and mm.
const (
	fileForceN = 10
	filePathMM = 40
	fileKappa  = 1e-4
)

// StripVolume is what comes off a round crown of a radius where a tool takes a depth
// off its top over a width across the board, mm³: a segment of the circle.
func StripVolume(radiusMM, widthMM, depthMM float64) float64 {
	return widthMM * segment(radiusMM, depthMM)
}

// StripDepth is the depth at which StripVolume is a volume, mm.
func StripDepth(radiusMM, widthMM, volume float64) float64 {
	if widthMM <= 0 {
		return 0
	}
	return sunk(radiusMM, volume/widthMM)
}

// FacetVolume is what a flat tool that does not fan takes off a crown on a board of
// a radius, mm³: the elliptic cap π·d²·√(r·R), both radii far over the depth.
func FacetVolume(radiusMM, boardMM, depthMM float64) float64 {
	return math.Pi * depthMM * depthMM * math.Sqrt(radiusMM*boardMM)
}

// FacetDepth is the depth at which FacetVolume is a volume, mm.
func FacetDepth(radiusMM, boardMM, volume float64) float64 {
	if volume <= 0 {
		return 0
	}
	return math.Sqrt(volume / (math.Pi * math.Sqrt(radiusMM*boardMM)))
}

// PerStroke is what one double stroke takes off all crowns together, mm³: Archard's
// law, whatever their shares.
func (h Hand) PerStroke() float64 { return h.Kappa * h.ForceN * h.PathMM }

// FilePerStroke is what one stroke of a file along a fret usually takes, mm³.
func FilePerStroke() float64 { return fileKappa * fileForceN * filePathMM }
