package findings

import "ringtrue/internal/wear"

// OffMM is how far some crowns stand off on the mean, lane by lane; 0 where none of them
// is determined.
func (n *Neck) OffMM(at map[wear.Place]bool) (mm float64) {
	lanes := 0.0
	for _, l := range n.Lanes {
		count, off := 0.0, 0.0
		for i, f := range l.Frets {
			if at[wear.Place{Fret: f, Lane: l.Lane.Lane}] {
				count, off = count+1, off+l.Off[i]
			}
		}
		if count > 0 {
			lanes, mm = lanes+1, mm+off/count
		}
	}
	return mm / max(lanes, 1)
}
