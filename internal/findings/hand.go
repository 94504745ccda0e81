package findings

import (
	"ringtrue/internal/filing"
	"ringtrue/internal/hand"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
)

// minutes are what the moves of this hand take.
func (w *worker) minutes() filing.Minutes {
	each := w.Hand.Minutes()
	return filing.Minutes{Spot: each[hand.SpotFile], Stroke: each[hand.Stroking], Look: each[hand.Look], Ink: each[hand.Ink]}
}

// scatter is how far this hand strays, its eye as the book knows it.
func (w *worker) scatter() filing.Scatter {
	s := filing.UsualScatter()
	if mm, known := w.Hand.Eye.ScatterMM(); known {
		s.EyeMM = mm
	}
	return s
}

// learned is a hand with what the book knows of it.
func (w *worker) learned(h filing.Hand) filing.Hand {
	h.Deeper = w.Hand.Eye.Deeper()
	if r, known := w.removal(hand.Beam); known {
		q, _, _ := r.PerStroke()
		h.Kappa *= q / h.PerStroke()
	}
	return h
}

func (w *worker) removal(tool string) (hand.Removal, bool) {
	paper := w.Paper
	if tool == hand.File {
		paper = ""
	}
	return w.Hand.For(tool, paper, w.n.Model.Wire.Alloy)
}

// fileStrokes says how many strokes a fret filed alone takes: its metal over what a
// stroke takes.
func (w *worker) fileStrokes(m *Move, s filing.Spot, lanes []level.Lane) {
	h, volume := w.handOf(lanes), 0.0
	for _, f := range s.Flats {
		volume += filing.StripVolume(h.RadiusMM, h.StripMM, f.DepthMM)
	}
	r, known := w.removal(hand.File)
	w.strokes(m, r, volume, known)
}

// beamStrokes says how many double strokes a run takes, as drawn.
func (w *worker) beamStrokes(m *Move, run filing.Run) {
	r, known := w.removal(hand.Beam)
	q, _, _ := r.PerStroke()
	w.strokes(m, r, run.Strokes*q, known)
}

func (w *worker) strokes(m *Move, r hand.Removal, volume float64, known bool) {
	n, low, high := r.Strokes(volume)
	m.Strokes = num.Some(n)
	if known {
		m.StrokesRange = []float64{low, high}
	}
}
