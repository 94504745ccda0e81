package bench

import (
	"strconv"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/unit"
)

// goView leads to any crown of the pass by two fields and a button: on a small
// screen the picture's crowns are too small for a finger.
type goView struct{ Frets, Lanes []choice }

// goTo lists a pass's frets and lanes, each once, in its order.
func goTo(sites []draft.Site, at draft.Site) goView {
	var v goView
	frets, lanes := map[int]bool{}, map[float64]bool{}
	for _, s := range sites {
		if f := s.Fret(); !frets[f] {
			frets[f] = true
			n := strconv.Itoa(f)
			v.Frets = append(v.Frets, choice{Value: n, Words: n, On: f == at.Fret()})
		}
		if k := s.Lane(); !lanes[k] {
			lanes[k] = true
			n := unit.Decimal(k)
			v.Lanes = append(v.Lanes, choice{Value: n, Words: n, On: k == at.Lane()})
		}
	}
	return v
}
