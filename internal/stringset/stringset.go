package stringset

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/neck"
)

// Material constants of music wire, plain and as a core.
const (
	SteelModulusMPa = 200e3 // acoustics texts give 190 to 210 GPa for music wire
	SteelGPerMM3    = 7.850e-3
)

// sameWithin is how far a given mass may lie from the one that a given tension
// asks for before the two contradict each other.
const sameWithin = 0.01

// String is one string, tuned. Lengths in mm.
type String struct {
	Pitch         Pitch
	PitchHz       float64
	ScaleMM       float64 // open length
	TensionN      float64
	MassGPerM     float64
	StiffnessNMM2 float64 // bending stiffness EI
	CoreMM        float64 // diameter of what bends and carries the tension
	StressMPa     float64 // tension over the core's section
	StrengthMPa   float64 // what music wire of that size bears
	CoreTaken     bool    // the core was not given: CoreOf took it
	Wrap          string  // what a wound string is wound with; "" of a plain one
	WrapTaken     bool    // the wrap was not given, and the mass hangs on it
}

// Tune works out a string of the neck file on an open length of scaleMM, A4
// sounding at a4 Hz.
//
// Tension T, mass μ, pitch f and length L hang together by T = 4L²f²μ
// (Mersenne). Where the file gives tension or mass, the other follows; else μ
// follows from gauge, kind, core and wrap. The stiffness, where it is not given, is
// that of the steel core: E·π·d⁴/64.
func Tune(s neck.String, scaleMM, a4 float64) (String, error) {
	p, err := ParsePitch(s.Pitch)
	if err != nil {
		return String{}, err
	}
	if !(a4 > 0) || math.IsInf(a4, 0) {
		return String{}, fmt.Errorf("A4 at %g Hz is not a pitch", a4)
	}
	out := String{Pitch: p, PitchHz: p.Hz(a4), ScaleMM: scaleMM}
	if s.Wound && s.Gauge > 0 && s.Core >= s.Gauge {
		return String{}, fmt.Errorf("core %g mm is not less than gauge %g mm", s.Core, s.Gauge)
	}
	// v = 2Lf in m/s is the wave speed that the pitch asks for.
	v := 2 * scaleMM * 1e-3 * out.PitchHz
	perMass := v * v * 1e-3 // N for each g/m
	switch {
	case s.Tension > 0 && s.Mass > 0:
		if math.Abs(s.Mass*perMass/s.Tension-1) > sameWithin {
			return String{}, fmt.Errorf("tension %g N and mass %g g/m disagree: at this pitch and scale %g g/m needs %.4g N; give one of them",
				s.Tension, s.Mass, s.Mass, s.Mass*perMass)
		}
		out.TensionN, out.MassGPerM = s.Tension, s.Tension/perMass
	case s.Tension > 0:
		out.TensionN, out.MassGPerM = s.Tension, s.Tension/perMass
	case s.Mass > 0:
		out.TensionN, out.MassGPerM = s.Mass*perMass, s.Mass
	case s.Gauge > 0:
		out.MassGPerM = massOf(s, scaleMM)
		out.TensionN = out.MassGPerM * perMass
		out.WrapTaken = s.Wound && s.Wrap == ""
	default:
		return String{}, errors.New("give its gauge, mass or tension")
	}
	if out.Wrap = s.Wrap; out.WrapTaken {
		out.Wrap = UsualWrap
	}
	if err := out.bend(s); err != nil {
		return String{}, err
	}
	for _, x := range []float64{out.TensionN, out.MassGPerM, out.StiffnessNMM2} {
		if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 || out.TensionN == 0 || out.MassGPerM == 0 {
			return String{}, errors.New("its sizes give no finite tension, mass and stiffness")
		}
	}
	return out, nil
}

// bend fills in the core, the stiffness and the stress.
func (t *String) bend(s neck.String) error {
	switch {
	case s.Wound && s.Core > 0:
		t.CoreMM = s.Core
	case s.Wound && s.Gauge > 0:
		t.CoreMM, t.CoreTaken = CoreOf(s.Gauge, t.ScaleMM), true
	case s.Wound && s.Stiffness > 0:
		t.CoreMM = math.Pow(64*s.Stiffness/(math.Pi*SteelModulusMPa), 0.25)
	case s.Wound:
		return errors.New("its stiffness is not known; give gauge, core or stiffness")
	case s.Gauge > 0:
		t.CoreMM = s.Gauge
	default: // a plain steel string of this mass
		t.CoreMM = math.Sqrt(4 * t.MassGPerM * 1e-3 / (math.Pi * SteelGPerMM3))
	}
	t.StiffnessNMM2 = s.Stiffness
	if !(s.Stiffness > 0) {
		t.StiffnessNMM2 = SteelModulusMPa * math.Pi * math.Pow(t.CoreMM, 4) / 64
	}
	t.StressMPa = t.TensionN / (math.Pi * t.CoreMM * t.CoreMM / 4)
	t.StrengthMPa = Strength(t.CoreMM)
	return nil
}

// massOf is a string's mass in g/m from its gauge, kind, core and wrap.
func massOf(s neck.String, scaleMM float64) float64 {
	if !s.Wound {
		return 1e3 * SteelGPerMM3 * math.Pi / 4 * s.Gauge * s.Gauge
	}
	core := s.Core
	if !(core > 0) {
		core = CoreOf(s.Gauge, scaleMM)
	}
	return WoundMass(core, s.Gauge, WrapGPerMM3(s.Wrap))
}

// Strength is the tensile strength in MPa of music wire of a diameter in mm:
// 2211·d^−0.145, the fit to ASTM A228 in Shigley's Mechanical Engineering
// Design, from memory. Given for 0.10 to 6.5 mm.
func Strength(diameterMM float64) float64 { return 2211 * math.Pow(diameterMM, -0.145) }

// AxialStiffnessN is E·A of what carries the tension: the force that would
// stretch it to double length, in N.
func (t String) AxialStiffnessN() float64 {
	return SteelModulusMPa * math.Pi / 4 * t.CoreMM * t.CoreMM
}

// WaveMMPerS is the speed of a transverse wave, √(T/μ), in mm/s.
func (t String) WaveMMPerS() float64 { return 1e3 * math.Sqrt(t.TensionN/(t.MassGPerM*1e-3)) }

// Inharmonicity is B of the partials f_n = n·f0·√(1 + B·n²) of the string over
// a sounding length in mm, both ends pinned: π²·EI/(T·L²).
// Source: Fletcher, JASA 36 (1964) 203.
func (t String) Inharmonicity(lengthMM float64) float64 {
	return math.Pi * math.Pi * t.StiffnessNMM2 / (t.TensionN * lengthMM * lengthMM)
}

// Retuned is the same string with its pitch raised by a ratio (lowered, where
// it is below 1): mass and stiffness stay, the tension goes with the square.
func (t String) Retuned(ratio float64) String {
	t.PitchHz *= ratio
	t.TensionN *= ratio * ratio
	t.StressMPa *= ratio * ratio
	return t
}
