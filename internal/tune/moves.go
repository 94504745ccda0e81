package tune

import (
	"fmt"
	"math"
)

// heardDoubt is how well a note's pitch is heard at best, in cents: a pluck never falls
// twice alike.
const heardDoubt = 1.0

// Moves is how far saddle and nut should move from where they stand, positive away from
// the frets, by what was heard; and what that leaves over.
type Moves struct {
	SaddleMM    float64 `json:"saddle_mm"`
	USaddleMM   float64 `json:"u_saddle_mm"`
	NutMM       float64 `json:"nut_mm"` // below 0 it moves towards the frets
	UNutMM      float64 `json:"u_nut_mm"`
	BeforeCents float64 `json:"before_rms_cents"`
	LeftCents   float64 `json:"left_rms_cents"`
	Frets       int     `json:"frets"` // heard
}

// MovesFor places saddle and nut (or with moveNut false the saddle alone) so that the
// squares of the cents heard at some frets are least, each taken from the open string
// as heard, which is tuned again afterwards. The cents that a move brings are those of
// Cents, straight in it. Errors: ErrNoFret, and ErrNoSetback where too few frets tell.
func (l Lane) MovesFor(frets []int, cents []float64, moveNut bool) (Moves, error) {
	const h = 1e-2 // mm
	atSaddle := slope(l.Cents(Setback{SaddleMM: h}), l.Cents(Setback{SaddleMM: -h}), h)
	atNut := slope(l.Cents(Setback{NutMM: h}), l.Cents(Setback{NutMM: -h}), h)
	var ds, dn []float64
	for _, fret := range frets {
		k := -1
		for i, f := range l.Frets {
			if f.Number == fret {
				k = i
			}
		}
		if k < 0 {
			return Moves{}, fmt.Errorf("%w: %d", ErrNoFret, fret)
		}
		ds, dn = append(ds, atSaddle[k]), append(dn, atNut[k])
	}
	a, b, c := dot(ds, ds), dot(ds, dn), dot(dn, dn)
	u, v := -dot(ds, cents), -dot(dn, cents)
	m := Moves{Frets: len(frets), BeforeCents: math.Sqrt(dot(cents, cents) / float64(max(1, len(cents))))}
	params, det := 1, a
	if moveNut {
		params, det = 2, a*c-b*b
		if len(frets) < 3 || !(det > 1e-6*a*c) {
			return Moves{}, ErrNoSetback
		}
		m.SaddleMM, m.NutMM = (c*u-b*v)/det, (a*v-b*u)/det
	} else {
		if len(frets) < 2 || !(a > 0) {
			return Moves{}, ErrNoSetback
		}
		m.SaddleMM = u / a
	}
	sum := 0.0
	for i := range cents {
		r := cents[i] + ds[i]*m.SaddleMM + dn[i]*m.NutMM
		sum += r * r
	}
	m.LeftCents = math.Sqrt(sum / float64(len(cents)))
	each := math.Max(heardDoubt, math.Sqrt(sum/float64(max(1, len(cents)-params))))
	// The open string is heard with the same doubt, and shifts all the others alike.
	shiftS, shiftN := sumOf(ds), sumOf(dn)
	if !moveNut {
		m.USaddleMM = each * math.Hypot(math.Sqrt(a), shiftS) / a
		return m, nil
	}
	m.USaddleMM = each * math.Hypot(math.Sqrt(c*det), c*shiftS-b*shiftN) / det
	m.UNutMM = each * math.Hypot(math.Sqrt(a*det), a*shiftN-b*shiftS) / det
	return m, nil
}

func sumOf(v []float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}
