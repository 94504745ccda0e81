package level

import (
	"errors"
	"fmt"
	"math"
)

// Lane is one lane's crowns. The slices have one length, at least 1.
type Lane struct {
	Lane  float64   // its number
	Frets []int     // ascending strictly
	X     []float64 // along the lane, mm, ascending strictly
	D     []float64 // crown less the shape, mm
	Y     []float64 // across the board, mm; only Fair reads it; nil: by lane number
	U     []float64 // standard uncertainty of D, mm; only a Levelling reads it
}

// What can be wrong with lanes. Errors of this package wrap one of these, or
// are a context's error.
var (
	ErrLength    = errors.New("a lane's frets, x and heights differ in number")
	ErrOrder     = errors.New("a lane's frets or x do not ascend")
	ErrNotFinite = errors.New("a number is not finite")
	ErrZone      = errors.New("the zone is below 0")
	ErrFrets     = errors.New("fret numbers lie too far apart")
)

// nothingMM is the removal below which a number is only rounding.
const nothingMM = 1e-12

func check(lanes []Lane, zoneMM float64) error {
	if !(zoneMM >= 0) || math.IsInf(zoneMM, 0) {
		return fmt.Errorf("%w: %v mm", ErrZone, zoneMM)
	}
	for _, l := range lanes {
		if err := l.check(); err != nil {
			return fmt.Errorf("lane %v: %w", l.Lane, err)
		}
	}
	return nil
}

func (l Lane) check() error {
	n := len(l.X)
	if n == 0 || len(l.D) != n || len(l.Frets) != n || (l.Y != nil && len(l.Y) != n) {
		return ErrLength
	}
	for i := range n {
		if l.X[i]-l.X[i] != 0 || l.D[i]-l.D[i] != 0 || (l.Y != nil && l.Y[i]-l.Y[i] != 0) {
			return fmt.Errorf("fret %d: %w", l.Frets[i], ErrNotFinite)
		}
		if i > 0 && (l.X[i] <= l.X[i-1] || l.Frets[i] <= l.Frets[i-1]) {
			return fmt.Errorf("fret %d: %w", l.Frets[i], ErrOrder)
		}
	}
	return nil
}
