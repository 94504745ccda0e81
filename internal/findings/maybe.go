package findings

import (
	"fmt"
	"slices"

	"ringtrue/internal/likely"
	"ringtrue/internal/straight"
)

// MayBe draws the crowns of every lane as they may truly stand, off the lane's
// reference line in that draw, mm: lane by draw by crown. Lanes that are alike are
// drawn alike, whatever their number. Errors: those of likely and straight.
func (n *Neck) MayBe(draws int) ([][][]float64, error) {
	out := make([][][]float64, len(n.Lanes))
	for k, l := range n.Lanes {
		all, err := likely.Crowns(l.X, l.Off, l.Cov, draws, seed)
		if err != nil {
			return nil, fmt.Errorf("lane %g: %w", l.Lane.Lane, err)
		}
		out[k] = all
		if slices.Max(l.U) == 0 { // the line stays as it was, to the last digit
			continue
		}
		for _, off := range all {
			a, b, err := straight.ReferenceLine(l.X, off)
			if err != nil {
				return nil, fmt.Errorf("lane %g: %w", l.Lane.Lane, err)
			}
			for i, x := range l.X {
				off[i] -= a + b*x
			}
		}
	}
	return out, nil
}
