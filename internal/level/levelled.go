package level

import (
	"slices"

	"ringtrue/internal/straight"
)

// Levelled is how far each crown of a lane stands off its line once metal is off,
// from how far it stood off: the line is taken anew, as a reading of the levelled
// neck would. Frets that are pressed or replaced first are taken to end in line
// with their neighbours. The error is that of straight.ReferenceLine.
func Levelled(frets []int, x, offMM, removeMM []float64, first []int) ([]float64, error) {
	off := make([]float64, len(offMM))
	var at, z []float64
	for k := range off {
		off[k] = offMM[k] - removeMM[k]
		if !slices.Contains(first, frets[k]) {
			at, z = append(at, x[k]), append(z, off[k])
		}
	}
	for k, f := range frets {
		if slices.Contains(first, f) {
			off[k] = InLine(at, z, x[k])
		}
	}
	a, b, err := straight.ReferenceLine(x, off)
	if err != nil {
		return nil, err
	}
	for k := range off {
		off[k] -= a + b*x[k]
	}
	return off, nil
}

// InLine is the height at a place of the line between the two crowns next to it,
// or of the nearest one beyond the ends; 0 where there is none.
func InLine(x, z []float64, at float64) float64 {
	k, _ := slices.BinarySearch(x, at)
	switch {
	case len(x) == 0:
		return 0
	case k == 0:
		return z[0]
	case k == len(x):
		return z[k-1]
	}
	return z[k-1] + (z[k]-z[k-1])*(at-x[k-1])/(x[k]-x[k-1])
}
