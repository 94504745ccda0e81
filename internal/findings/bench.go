package findings

import (
	"slices"

	"ringtrue/internal/filing"
	"ringtrue/internal/geometry"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
)

// beamFrets is how many frets a beam has to reach over at the least.
const beamFrets = 3

// ShortBeams are the beams of a shop that lie on fewer than three frets of a neck
// wherever they are laid, and the length that would not, mm.
func ShortBeams(s neck.Shop, l *geometry.Layout) (short []float64, leastMM float64) {
	last := l.LastFret()
	leastMM = l.CentreX(last) - l.CentreX(max(l.FirstFret(), last-beamFrets))
	for _, b := range s.Tools.Beams {
		if b < leastMM {
			short = append(short, b)
		}
	}
	return short, leastMM
}

// shop is the shop asked for, else the usual one.
func (w *worker) shop() neck.Shop {
	if w.Shop.Tools.StraightTo > 0 { // as every shop has it that was read
		return w.Shop
	}
	return neck.UsualShop()
}

// toolsOf are a shop's. Where it does not say which beams it has, it has one that
// spans the neck.
func toolsOf(s neck.Shop, lanes []level.Lane, h *filing.Hand) filing.Tools {
	t := filing.Tools{BeamsMM: s.Tools.Beams, StraightMM: s.Tools.StraightTo, Files: len(s.Tools.Files) > 0}
	if slices.Contains(s.Assumed, "tools.beams") {
		return t.Spanning(lanes, h)
	}
	return t
}
