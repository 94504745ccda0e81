package play

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// steepest is the slope of the pluck's triangle, force over tension, beyond
// which a string is slack: the small-slope wave equation no longer holds.
const steepest = 0.1

// ErrSlack says that a string is too slack for a touch.
var ErrSlack = errors.New("the string is slack")

// Pluck is a touch on a string of one sounding length: the triangle it lifts.
type Pluck struct {
	AtMM     float64 // from the stop
	HeightMM float64
}

// PluckOf is the triangle that a touch lifts on a string of tension T between a
// stop and the saddle, L apart: h = F·x0·(L − x0)/(T·L), x0 from the stop.
// Errors: the touch lies outside the string; the string is slack under it.
func PluckOf(t neck.Touch, tensionN, lengthMM float64) (Pluck, error) {
	x0 := lengthMM - t.FromSaddle
	if !(t.FromSaddle > 0) || !(x0 > 1e-9*lengthMM) {
		return Pluck{}, fmt.Errorf("it plucks %.6g mm from the saddle of a string %.6g mm long; the place must lie between stop and saddle",
			t.FromSaddle, lengthMM)
	}
	h := t.Lift
	if t.Force > 0 {
		h = t.Force * x0 * t.FromSaddle / (tensionN * lengthMM)
	}
	if !(h > 0) || math.IsInf(h, 0) {
		return Pluck{}, fmt.Errorf("it needs a force or a lift above 0")
	}
	if slope := math.Max(h/x0, h/t.FromSaddle); slope > steepest {
		if t.Force > 0 {
			return Pluck{}, fmt.Errorf("%w: at %.4g N of tension the touch lifts it %.4g mm, a slope of %.2g; beyond %g nothing can be said",
				ErrSlack, tensionN, h, slope, steepest)
		}
		return Pluck{}, fmt.Errorf("a lift of %.4g mm at %.4g mm from the string's end is a slope of %.2g; beyond %g nothing can be said",
			h, math.Min(x0, t.FromSaddle), slope, steepest)
	}
	return Pluck{AtMM: x0, HeightMM: h}, nil
}

// ReachAway is how far the free ideal string comes below its rest line at x in
// the course of the motion, for each mm that it was lifted away from the board
// at x0: the pluck's triangle turned half a turn about the string's middle.
// Source: d'Alembert's solution; all shapes lie in the parallelogram of the
// triangle and its turned image.
func ReachAway(x, x0, length float64) float64 {
	if x <= length-x0 {
		return x / (length - x0)
	}
	return (length - x) / x0
}

// ReachToward is the same for a string pressed towards the board: it comes
// lowest where it starts.
func ReachToward(x, x0, length float64) float64 { return ReachAway(x, length-x0, length) }

// Reach is the greater of both, as the pluck may go either way.
func Reach(x, x0, length float64) float64 {
	return math.Max(ReachAway(x, x0, length), ReachToward(x, x0, length))
}

// EnergyNMM is the energy of the pulled string, T·h²·L/(2·x0·(L − x0)), in N·mm.
func (p Pluck) EnergyNMM(tensionN, lengthMM float64) float64 {
	return tensionN * p.HeightMM * p.HeightMM * lengthMM / (2 * p.AtMM * (lengthMM - p.AtMM))
}

// RiseCents is how much sharper the note starts because the triangle is longer
// than the straight string: ΔT = ES·h²/(2·x0·(L − x0)), 600·log2(1 + ΔT/T).
func (p Pluck) RiseCents(s stringset.String, lengthMM float64) float64 {
	rise := s.AxialStiffnessN() * p.HeightMM * p.HeightMM / (2 * p.AtMM * (lengthMM - p.AtMM))
	return 600 * math.Log2(1+rise/s.TensionN)
}

const gravity = 9.80665 // m/s², standard

// SagMM is how far a level string hangs through under its own weight, μgL²/(8T).
// It counts only on a neck that lies flat.
func SagMM(s stringset.String, lengthMM float64) float64 {
	weight := s.MassGPerM * 1e-6 * gravity // N for each mm
	return weight * lengthMM * lengthMM / (8 * s.TensionN)
}

// QuarterTurnS is how long the plane of vibration takes to turn by a quarter
// where the string moves on an ellipse of half axes a and b, by the tension
// that it gains: Ω = K·ω0·a·b/4, K = π²ES/(4L²T).
// Source: Gough, JASA 75 (1984) 1770 (from memory); rate by the ellipse's area:
// Tufillaro, Abbott and Reilly, chapter 3.
func QuarterTurnS(s stringset.String, lengthMM, aMM, bMM float64) float64 {
	k := math.Pi * math.Pi * s.AxialStiffnessN() / (4 * lengthMM * lengthMM * s.TensionN)
	omega := math.Pi * s.WaveMMPerS() / lengthMM
	return math.Pi / 2 / (k * omega * aMM * bMM / 4)
}
