package tune

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
)

// Fret is where a crown stands and what it should sound: Ratio times the open
// string.
type Fret struct {
	Number int
	XMM    float64
	ZMM    float64
	Ratio  float64
}

// Finger is how a string is pressed: to DepthMM below the crown line, BehindMM
// behind the fret. The zero Finger presses just onto the crown.
type Finger struct {
	DepthMM  float64 `json:"depth_mm"`
	BehindMM float64 `json:"behind_mm"`
}

// Lane is a string on its frets.
type Lane struct {
	String   stringset.String
	Ends     stringset.Ends // how the sounding length is held; both ways of the open string too
	NutMM    float64        // height of the string at the nut
	SaddleMM float64        // and at the saddle
	Frets    []Fret
	Finger   Finger
}

// Setback is how far saddle and nut stand away from the frets, each from its
// own scale line: positive lengthens the string.
type Setback struct {
	SaddleMM float64 `json:"saddle_setback_mm"`
	NutMM    float64 `json:"nut_setback_mm"` // below 0 it moves towards the frets
}

// Errors of this package.
var (
	ErrNoSetback = errors.New("no setback within a tenth of the scale brings the note in tune")
	ErrNoFret    = errors.New("no such fret")
)

// open is a lane's open string at a setback, in tune.
type open struct {
	lengthMM, tensionN, freeMM float64
}

// openString tunes the open string: the tension at which its fundamental, ends
// and stiffness counted, is the pitch; and the length it would have unloaded.
func (l Lane) openString(s Setback) open {
	length := math.Hypot(l.String.ScaleMM+s.SaddleMM+s.NutMM, l.SaddleMM-l.NutMM)
	// f = √(T/μ)/(2L)·factor(√(EI/T)/L): the factor lies within 1 % of 1, so
	// putting it back in a few times settles it to a double's last digits.
	root := 2 * length * 1e-3 * l.String.PitchHz // √(T/μ) of the ideal string, m/s
	mass := l.String.MassGPerM * 1e-3
	tension := mass * root * root
	for range 12 {
		f := stringset.EndFactor(math.Sqrt(l.String.StiffnessNMM2/tension)/length, l.Ends)
		tension = mass * (root / f) * (root / f)
	}
	return open{length, tension, length / (1 + tension/l.String.AxialStiffnessN())}
}

// Cents is how far each fret's note lies above equal temperament, in cents, the
// open string in tune at its pitch.
//
// The pressed string runs nut, finger, crown, saddle; its tension follows from
// its length against the unloaded one, its mass spreads over the new length,
// and the part between crown and saddle sounds, raised by the end factor.
// Checked against cases I1 to I7 (TestCents_*).
func (l Lane) Cents(s Setback) []float64 {
	o := l.openString(s)
	cents := make([]float64, len(l.Frets))
	for i, f := range l.Frets {
		cents[i] = l.cents(s, o, f)
	}
	return cents
}

func (l Lane) cents(s Setback, o open, f Fret) float64 {
	saddleX := l.String.ScaleMM + s.SaddleMM
	sounding := math.Hypot(saddleX-f.XMM, l.SaddleMM-f.ZMM)
	path := l.behind(s, f) + sounding
	tension := l.String.AxialStiffnessN() * (path/o.freeMM - 1)
	mass := l.String.MassGPerM * 1e-3 * o.lengthMM / path
	hz := math.Sqrt(tension/mass) / (2 * sounding * 1e-3)
	hz *= stringset.EndFactor(math.Sqrt(l.String.StiffnessNMM2/tension)/sounding, l.Ends)
	return 1200 * math.Log2(hz/(l.String.PitchHz*f.Ratio))
}

// behind is the length of string from the nut to the crown.
func (l Lane) behind(s Setback, f Fret) float64 {
	if l.Finger.DepthMM == 0 {
		return math.Hypot(f.XMM+s.NutMM, l.NutMM-f.ZMM)
	}
	x, z := f.XMM-l.Finger.BehindMM, f.ZMM-l.Finger.DepthMM
	return math.Hypot(x+s.NutMM, l.NutMM-z) + math.Hypot(l.Finger.BehindMM, l.Finger.DepthMM)
}

// SaddleSetback is how far back the saddle alone must stand for one fret's note
// to be exact. ErrNoFret: the lane has no such fret; ErrNoSetback: no place
// within a tenth of the scale does it.
func (l Lane) SaddleSetback(fret int) (float64, error) {
	for _, f := range l.Frets {
		if f.Number != fret {
			continue
		}
		reach := l.String.ScaleMM / 10
		off := func(mm float64) float64 {
			s := Setback{SaddleMM: mm}
			return l.cents(s, l.openString(s), f)
		}
		mm, err := num.Root(off, -reach, reach, 1e-12)
		if err != nil {
			return 0, fmt.Errorf("%w (fret %d)", ErrNoSetback, fret)
		}
		return mm, nil
	}
	return 0, fmt.Errorf("%w: %d", ErrNoFret, fret)
}

// Best is a setback with what it leaves over.
type Best struct {
	Setback
	Cents      []float64 `json:"left_over_cents"`
	RMSCents   float64   `json:"rms_cents"`
	MaxCents   float64   `json:"-"`           // the largest either way
	WorstCents float64   `json:"worst_cents"` // the same, signed
	WorstFret  int       `json:"worst_fret"`
}

// newtonSteps settle LeastSquares: the cents are all but straight in both
// setbacks, and three or four steps do.
const newtonSteps = 30

// LeastSquares places saddle and nut together (or, with moveNut false, the
// saddle alone) so that the sum of the squared cents of all the lane's frets is
// least. Source of the aim: Anderson & Beausoleil, JASA 156 (2024) 683
// (abstract); on the model of Cents, by Gauss-Newton steps.
// ErrNoSetback: two places cannot be told from this few frets, or it runs away.
func (l Lane) LeastSquares(moveNut bool) (Best, error) {
	if len(l.Frets) == 0 || moveNut && len(l.Frets) < 2 {
		return Best{}, fmt.Errorf("%w: too few frets", ErrNoSetback)
	}
	const h = 1e-3 // mm, for differences: the cents curve over centimetres
	var s Setback
	for range newtonSteps {
		r := l.Cents(s)
		ds := slope(l.Cents(Setback{s.SaddleMM + h, s.NutMM}), l.Cents(Setback{s.SaddleMM - h, s.NutMM}), h)
		dn := make([]float64, len(r))
		if moveNut {
			dn = slope(l.Cents(Setback{s.SaddleMM, s.NutMM + h}), l.Cents(Setback{s.SaddleMM, s.NutMM - h}), h)
		}
		a, b, c := dot(ds, ds), dot(ds, dn), dot(dn, dn)
		u, v := -dot(ds, r), -dot(dn, r)
		var step Setback
		if det := a*c - b*b; moveNut {
			if !(det > 1e-12*a*c) {
				return Best{}, ErrNoSetback
			}
			step = Setback{(c*u - b*v) / det, (a*v - b*u) / det}
		} else {
			step = Setback{SaddleMM: u / a}
		}
		s = Setback{s.SaddleMM + step.SaddleMM, s.NutMM + step.NutMM}
		if !(math.Hypot(s.SaddleMM, s.NutMM) < l.String.ScaleMM/10) {
			return Best{}, ErrNoSetback
		}
		if math.Hypot(step.SaddleMM, step.NutMM) < 1e-9 {
			break
		}
	}
	return l.At(s), nil
}

// At gathers what a setback leaves over.
func (l Lane) At(s Setback) Best {
	b := Best{Setback: s, Cents: l.Cents(s)}
	for i, c := range b.Cents {
		if i == 0 || math.Abs(c) > b.MaxCents {
			b.MaxCents, b.WorstCents, b.WorstFret = math.Abs(c), c, l.Frets[i].Number
		}
	}
	b.RMSCents = math.Sqrt(dot(b.Cents, b.Cents) / float64(len(b.Cents)))
	return b
}

func slope(plus, minus []float64, h float64) []float64 {
	d := make([]float64, len(plus))
	for i := range d {
		d[i] = (plus[i] - minus[i]) / (2 * h)
	}
	return d
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
