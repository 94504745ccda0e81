package findings

import (
	"math"

	"ringtrue/internal/filing"
	"ringtrue/internal/material"
	"ringtrue/internal/relief"
)

// bendMM is how far the neck may give under the hand between its rests. Convention.
const bendMM = 0.003

// rests are the frets at which to rest the neck under a run: as far apart as lets
// it give by bendMM in the middle, F·a³/48EI, and under the frets that are worked.
// Nil where wood and thickness of the neck are not known, or no two frets lie that
// near.
func (w *worker) rests(r *filing.Run, forceN float64) []int {
	ei, ok := w.stiffness()
	if !ok {
		return nil
	}
	l := w.n.Layout
	apart := math.Cbrt(48 * ei * bendMM / forceN)
	middle := l.CentreX(r.PressFret)
	first, last := l.FirstFret(), l.LastFret()
	from, to := nearest(l.CentreX, first, last, middle-apart/2), nearest(l.CentreX, first, last, middle+apart/2)
	for to > from && l.CentreX(to)-l.CentreX(from) > apart {
		if middle-l.CentreX(from) > l.CentreX(to)-middle {
			from++
		} else {
			to--
		}
	}
	if to <= from {
		return nil
	}
	return []int{from, to}
}

func nearest(x func(int) float64, first, last int, at float64) int {
	best := first
	for f := first; f <= last; f++ {
		if math.Abs(x(f)-at) < math.Abs(x(best)-at) {
			best = f
		}
	}
	return best
}

// stiffness is the neck's bending stiffness at fret 1, where it is thinnest, N mm²:
// the board, a rectangle, on a half ellipse of the neck's wood, each counted by its
// published modulus along the grain. False where the file does not say all of it.
func (w *worker) stiffness() (float64, bool) {
	m := w.n.Model
	if m.Body.Wood == "" || m.Board.Wood == "" || m.Body.Thickness[0] <= m.Board.Thickness {
		return 0, false
	}
	board, err := material.FindWood(m.Board.Wood)
	if err != nil || !board.Species.ModulusMPa.Given() {
		return 0, false
	}
	body, err := material.FindWood(m.Body.Wood)
	if err != nil || !body.Species.ModulusMPa.Given() {
		return 0, false
	}
	w1, h := w.n.Layout.Width(w.n.Layout.CentreX(1)), m.Body.Thickness[0]-m.Board.Thickness
	s := relief.SectionOf(relief.Rectangle(0, w1, m.Board.Thickness, board.Species.ModulusMPa.Mid()),
		relief.HalfEllipse(m.Board.Thickness, w1, h, body.Species.ModulusMPa.Mid()))
	return s.StiffnessNMM2, true
}
