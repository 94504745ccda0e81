package stringset

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/neck"
)

// Material constants of plain and wound strings.
const (
	SteelModulusMPa = 200e3 // acoustics texts give 190 to 210 GPa for music wire
	SteelGPerMM3    = 7.850e-3
	WrapGPerMM3     = 8.900e-3 // nickel
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
}

// Tune works out a string of the neck file on an open length of scaleMM, A4
// sounding at a4 Hz.
//
// Tension T, mass μ, pitch f and length L hang together by T = 4L²f²μ
// (Mersenne). Where the file gives tension or mass, the other follows; else μ
// follows from gauge, kind and core. The stiffness, where it is not given, is
// that of the steel core: E·π·d⁴/64.
func Tune(s neck.String, scaleMM, a4 float64) (String, error) {
	p, err := ParsePitch(s.Pitch)
	if err != nil {
		return String{}, err
	}
	if !(a4 > 0) || math.IsInf(a4, 0) {
		return String{}, fmt.Errorf("A4 at %g Hz is no pitch", a4)
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
			return String{}, fmt.Errorf("tension %g N and mass %g g/m contradict each other: at this pitch and scale %g g/m asks for %.4g N; give one of them",
				s.Tension, s.Mass, s.Mass, s.Mass*perMass)
		}
		out.TensionN, out.MassGPerM = s.Tension, s.Tension/perMass
	case s.Tension > 0:
		out.TensionN, out.MassGPerM = s.Tension, s.Tension/perMass
	case s.Mass > 0:
		out.TensionN, out.MassGPerM = s.Mass*perMass, s.Mass
	case s.Gauge > 0:
		out.MassGPerM = massOf(s)
		out.TensionN = out.MassGPerM * perMass
	default:
		return String{}, errors.New("give its gauge, mass or tension")
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
		t.CoreMM, t.CoreTaken = CoreOf(s.Gauge), true
	case s.Wound && s.Stiffness > 0:
		t.CoreMM = math.Pow(64*s.Stiffness/(math.Pi*SteelModulusMPa), 0.25)
	case s.Wound:
		return errors.New("its stiffness cannot be told; give gauge, core or stiffness")
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

// massOf is a string's mass in g/m from its gauge, kind and core.
func massOf(s neck.String) float64 {
	if !s.Wound {
		return 1e3 * SteelGPerMM3 * math.Pi / 4 * s.Gauge * s.Gauge
	}
	core := s.Core
	if !(core > 0) {
		core = CoreOf(s.Gauge)
	}
	return WoundMass(core, (s.Gauge-core)/2)
}

// WoundMass is the mass in g/m of a steel core of coreMM, close-wound with one
// layer of nickel wire of wrapMM. The wrap is a helix of pitch wrapMM on a
// cylinder of core + wrap, so each turn is √(1 + (π(core + wrap)/wrap)²) times
// its advance.
func WoundMass(coreMM, wrapMM float64) float64 {
	turn := math.Hypot(1, math.Pi*(coreMM+wrapMM)/wrapMM)
	return 1e3 * math.Pi / 4 * (SteelGPerMM3*coreMM*coreMM + WrapGPerMM3*wrapMM*wrapMM*turn)
}

// CoreOf is the core in mm that a wound string of this gauge is taken to have
// where the neck file does not say: 0.25 mm + 0.13 × gauge, at most 0.6 × gauge.
// The line runs through common sets as remembered (0.026 in on 0.013, 0.046 in
// on 0.016); it is no maker's figure, and a real core may lie 15 % off, its
// stiffness then by a factor of two.
func CoreOf(gaugeMM float64) float64 { return math.Min(0.25+0.13*gaugeMM, 0.6*gaugeMM) }

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
