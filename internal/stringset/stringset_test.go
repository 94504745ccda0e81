package stringset

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
)

func nearly(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	casetest.Near(t, what, got, want, rel*math.Abs(want))
}

func TestPitch_ISO16(t *testing.T) {
	want := map[string]float64{"E2": 82.4069, "A2": 110, "D3": 146.8324, "G3": 195.9977,
		"B3": 246.9417, "E4": 329.6276, "B0": 30.8677, "A4": 440, "Fb4": 329.6276, "D##4": 329.6276, "a4": 440, "B♭3": 233.0819}
	for name, hz := range want {
		p, err := ParsePitch(name)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.Hz(ConcertA)-hz) > 1e-4 {
			t.Errorf("%s = %.5f Hz, want %.4f", name, p.Hz(ConcertA), hz)
		}
	}
	for _, bad := range []string{"", "H4", "E", "4", "E44", "E-3", "Eb#b4", "440 Hz", "E 4"} {
		if p, err := ParsePitch(bad); err == nil {
			t.Errorf("%q passed as pitch %d", bad, p)
		}
	}
}

// plainE is the plain string of the case: 0.010 in on 647.7 mm at E4.
func plainE(t *testing.T) String {
	t.Helper()
	s, err := Tune(neck.String{Pitch: "E4", Gauge: 0.254}, 647.7, ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Fletcher, JASA 36 (1964) 203: B = π³Ed⁴/(64TL²).
func TestPlain_Fletcher1964(t *testing.T) {
	s := plainE(t)
	nearly(t, "mass", s.MassGPerM, 0.397765, 1e-5)
	nearly(t, "tension", s.TensionN, 72.524, 1e-5)
	nearly(t, "stiffness", s.StiffnessNMM2, 40.8634, 1e-5)
	nearly(t, "B", s.Inharmonicity(647.7), 1.32558e-5, 1e-5)
	nearly(t, "B by diameter", s.Inharmonicity(647.7), math.Pow(math.Pi, 3)*SteelModulusMPa*math.Pow(0.254, 4)/(64*s.TensionN*647.7*647.7), 1e-12)
	nearly(t, "stress", s.StressMPa, 1431.3, 1e-4)
	nearly(t, "√(EI/T)", math.Sqrt(s.StiffnessNMM2/s.TensionN), 0.7506, 1e-4)
	cents := func(n int) float64 {
		return 1200 * math.Log2(s.PartialHz(n, 647.7)/(float64(n)*s.PitchHz))
	}
	nearly(t, "partial 10", cents(10), 1.147, 5e-4)
	nearly(t, "partial 20", cents(20), 4.578, 5e-4)
	if s.StressMPa > s.StrengthMPa {
		t.Errorf("%.0f MPa passes for beyond the strength of %.0f", s.StressMPa, s.StrengthMPa)
	}
}

// A single layer worked out turn by turn, each turn √(1 + (π(dc + dw)/p)²) times its
// advance p = dw, weighs 0.5 to 2 % more than its ring filled to π/4.
func TestWoundMass_RingNearHelix(t *testing.T) {
	const nickel = 8.9e-3
	for _, s := range []struct{ core, wrap float64 }{{0.4064, 0.3810}, {0.3556, 0.2794}, {0.4572, 0.4318}} {
		turn := math.Hypot(1, math.Pi*(s.core+s.wrap)/s.wrap)
		helix := 1e3 * math.Pi / 4 * (SteelGPerMM3*s.core*s.core + nickel*s.wrap*s.wrap*turn)
		if more := helix/WoundMass(s.core, s.core+2*s.wrap, nickel) - 1; !(more > 0.005 && more < 0.02) {
			t.Errorf("%+v: turn by turn it weighs %.2f %% more", s, 100*more)
		}
	}
	nearly(t, "ring, by hand", WoundMass(0.4064, 1.1684, nickel), 7.60623, 1e-5)
	s, err := Tune(neck.String{Pitch: "E2", Gauge: 1.1684, Wound: true, Core: 0.4064, Mass: 7.68391}, 647.7, ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "tension", s.TensionN, 87.562, 1e-4)
	nearly(t, "B", s.Inharmonicity(647.7), 7.195e-5, 1e-4)
	if s.CoreTaken || s.WrapTaken {
		t.Error("a given core or mass is said to be taken")
	}
}

// Issanchou et al., JSV 393 (2017) 229, and the modal data set of Issanchou et
// al., JASA 143(5) (2018): partials of the stiff string.
func TestPartials_Issanchou2018(t *testing.T) {
	s := String{TensionN: 180.5, MassGPerM: 1.17}
	const l = 1002.0
	s.StiffnessNMM2 = 1.78e-5 * s.TensionN * l * l / (math.Pi * math.Pi)
	for n, hz := range map[int]float64{37: 7339.690, 61: 12345.367, 101: 21517.930, 201: 51653.453, 1001: 851475.129} {
		if got := s.PartialHz(n, l); math.Abs(got-hz) > 1e-3 {
			t.Errorf("partial %d = %.4f Hz, want %.3f", n, got, hz)
		}
	}
}

// The same string's decay rates, partials 37 and up of the published data.
func TestLosses_Issanchou2017(t *testing.T) {
	law := Losses{TensionN: 180.5, MassKGPerM: 1.17e-3, StiffnessNM2: 3.26838e-4, DiameterM: 0.43e-3,
		AirPaS: 1.8e-5, AirKGPerM3: 1.2, Bending: 4.5e-3, Rest: 2.03e-4}
	for f, rate := range map[float64]float64{7339.690: 8.1341, 12345.367: 21.3036, 21517.930: 80.4326,
		51653.453: 937.937, 100: 0.20722, 1000: 0.99340, 10000: 13.9276} {
		nearly(t, "rate", law.RatePerS(f), rate, 1e-4)
	}
	nearly(t, "square law", Law{Base: 0.5, Square: 5e-8}.RatePerS(1000), 0.55, 1e-12)
}

// Exact roots of the stiff string's characteristic equation, by bisection:
// with β = kL for the turning and γ for the decaying part, γ² = β² + 1/ε².
func TestEndFactor_Morse(t *testing.T) {
	const eps = 0.002
	frequency := func(beta float64) float64 { // of the ideal string
		return beta * math.Sqrt(1+eps*eps*beta*beta) / math.Pi
	}
	gamma := func(beta float64) float64 { return math.Sqrt(beta*beta + 1/(eps*eps)) }
	root := func(f func(float64) float64) float64 {
		lo, hi := 3.0, 3.3
		for range 200 {
			mid := (lo + hi) / 2
			if (f(mid) > 0) == (f(lo) > 0) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	// tanh and cosh of γ over 500 are 1 and out of range, so the equations are
	// divided by cosh γ: clamped 2(1/cosh γ − cos β) + ((γ² − β²)/(γβ))·sin β,
	// mixed tan β = (β/γ)·tanh γ.
	clamped := root(func(b float64) float64 {
		g := gamma(b)
		return -2*math.Cos(b) + (g*g-b*b)/(g*b)*math.Sin(b)
	})
	mixed := root(func(b float64) float64 { return math.Sin(b) - b/gamma(b)*math.Cos(b) })
	for _, c := range []struct {
		ends          Ends
		exact, quoted float64
	}{{Clamped, frequency(clamped), 1.00403591}, {Mixed, frequency(mixed), 1.00202380}, {Pinned, frequency(math.Pi), 1.00001974}} {
		nearly(t, "exact root", c.exact, c.quoted, 2e-8)
		nearly(t, "series", EndFactor(eps, c.ends), c.exact, 3e-7)
	}
}

// Kemp, SN Applied Sciences 2:636 (2020): B grows with 1/L² up the neck.
func TestInharmonicity_Kemp2020(t *testing.T) {
	// 100 cents at partial n ask for B = (2^(1/6) − 1)/n².
	implied := func(n float64) float64 { return math.Expm1(math.Ln2/6) / (n * n) }
	s := plainE(t)
	ratio := s.Inharmonicity(647.7*math.Exp2(-21.0/12)) / s.Inharmonicity(647.7*math.Exp2(-12.0/12))
	nearly(t, "geometry's ratio", ratio, 2.83, 1e-3)
	nearly(t, "published ratio", implied(6)/implied(10), ratio, 0.03)
	nearly(t, "B at fret 12", implied(10), 1.225e-3, 1e-3)
}

func TestTune_GivenTensionMassStiffness(t *testing.T) {
	for name, s := range map[string]neck.String{
		"tension":           {Pitch: "E4", Tension: 72.524},
		"mass":              {Pitch: "E4", Mass: 0.397765},
		"both":              {Pitch: "E4", Tension: 72.524, Mass: 0.397765},
		"tension and gauge": {Pitch: "E4", Tension: 72.524, Gauge: 0.254},
	} {
		got, err := Tune(s, 647.7, ConcertA)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		nearly(t, name+": tension", got.TensionN, 72.524, 1e-4)
		nearly(t, name+": mass", got.MassGPerM, 0.397765, 1e-4)
		nearly(t, name+": stiffness", got.StiffnessNMM2, 40.8634, 3e-4)
	}
	got, err := Tune(neck.String{Pitch: "E4", Gauge: 0.254, Stiffness: 99}, 647.7, ConcertA)
	if err != nil || got.StiffnessNMM2 != 99 {
		t.Errorf("given stiffness became %v (%v)", got.StiffnessNMM2, err)
	}
	low, err := Tune(neck.String{Pitch: "E4", Gauge: 0.254}, 647.7, 432)
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "tension at A4 = 432", low.TensionN, 72.524*432*432/(440*440), 1e-4)
}

func TestTune_Faults(t *testing.T) {
	for want, s := range map[string]neck.String{
		"not a pitch":        {Pitch: "X", Gauge: 0.254},
		"gauge, mass":        {Pitch: "E4"},
		"disagree":           {Pitch: "E4", Tension: 70, Mass: 3},
		"not less than":      {Pitch: "E2", Gauge: 1, Core: 1, Wound: true},
		"is not known":       {Pitch: "E2", Tension: 80, Wound: true},
		"no finite tension,": {Pitch: "E2", Gauge: 1e200},
	} {
		_, err := Tune(s, 640, ConcertA)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want one with %q", s, err, want)
		}
	}
	if _, err := Tune(neck.String{Pitch: "E4", Gauge: 1}, 640, math.NaN()); err == nil {
		t.Error("NaN passed for a pitch of A4")
	}
}

// A heavier string at the same pitch bears more than music wire of its core
// can: the stress says so.
func TestTune_StressBeyondStrength(t *testing.T) {
	s, err := Tune(neck.String{Pitch: "E5", Gauge: 0.254}, 647.7, ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	if !(s.StressMPa > s.StrengthMPa) {
		t.Errorf("%.0f MPa does not pass the strength of %.0f", s.StressMPa, s.StrengthMPa)
	}
}

func TestCoreOf_LeavesRoomForTheWrap(t *testing.T) {
	for _, scale := range []float64{580, 648, BassScaleMM, 864} {
		last := 0.0
		for g := 0.1; g < 4; g += 0.01 {
			c := CoreOf(g, scale)
			if !(c > last && c <= 0.6*g) {
				t.Fatalf("gauge %g mm on %g mm: core %g mm after %g", g, scale, c, last)
			}
			last = c
		}
	}
	nearly(t, "core of 0.046 in", CoreOf(1.1684, 648), 0.4064, 0.02)
}

// TestTune_WoundCore: the core of a wound string is the given one, else the
// rule's, else that which the given stiffness implies; only the rule's counts
// as taken.
func TestTune_WoundCore(t *testing.T) {
	for _, c := range []struct {
		s     neck.String
		core  float64
		taken bool
	}{
		{neck.String{Pitch: "E2", Gauge: 1.1684, Core: 0.45, Wound: true}, 0.45, false},
		{neck.String{Pitch: "E2", Gauge: 1.1684, Wound: true}, CoreOf(1.1684, 647.7), true},
		{neck.String{Pitch: "E2", Tension: 80, Stiffness: SteelModulusMPa * math.Pi * math.Pow(0.4, 4) / 64, Wound: true}, 0.4, false},
	} {
		got, err := Tune(c.s, 647.7, ConcertA)
		if err != nil {
			t.Fatal(err)
		}
		nearly(t, "core", got.CoreMM, c.core, 1e-12)
		nearly(t, "stiffness", got.StiffnessNMM2, SteelModulusMPa*math.Pi*math.Pow(c.core, 4)/64, 1e-12)
		nearly(t, "stress", got.StressMPa, got.TensionN/(math.Pi*c.core*c.core/4), 1e-12)
		if got.CoreTaken != c.taken {
			t.Errorf("%+v: taken by rule %t, want %t", c.s, got.CoreTaken, c.taken)
		}
		if c.s.Gauge > 0 {
			nearly(t, "mass", got.MassGPerM, WoundMass(c.core, c.s.Gauge, WrapGPerMM3("")), 1e-12)
		}
	}
}

// TestAxialStiffness_HookesLaw: 0.01 in of wire at 200 GPa, worked out by hand:
// 200e3 · π/4 · 0.254² = 10134 N; a stretch of a thousandth takes 10.1 N.
func TestAxialStiffness_HookesLaw(t *testing.T) {
	s := plainE(t)
	nearly(t, "E·A", s.AxialStiffnessN(), SteelModulusMPa*math.Pi/4*0.254*0.254, 1e-12)
	nearly(t, "E·A at 200 GPa", s.AxialStiffnessN()*200e3/SteelModulusMPa, 10134.15, 1e-5)
}

// TestSharpened_Mersenne: a string sharpened is the one tuned to that pitch, and
// back again it is itself.
func TestSharpened_Mersenne(t *testing.T) {
	e := plainE(t)
	up := e.Retuned(math.Exp2(1. / 12))
	f, err := Tune(neck.String{Pitch: "F4", Gauge: 0.254}, e.ScaleMM, ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "pitch", up.PitchHz, f.PitchHz, 1e-12)
	nearly(t, "tension", up.TensionN, f.TensionN, 1e-12)
	nearly(t, "stress", up.StressMPa, f.StressMPa, 1e-12)
	nearly(t, "mass", up.MassGPerM, e.MassGPerM, 0)
	nearly(t, "stiffness", up.StiffnessNMM2, e.StiffnessNMM2, 0)
	nearly(t, "back", up.Retuned(math.Exp2(-1./12)).TensionN, e.TensionN, 1e-12)
}
