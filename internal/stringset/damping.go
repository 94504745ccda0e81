package stringset

import (
	"math"

	"ringtrue/internal/neck"
)

// Decay tells how fast a partial of frequency f in Hz dies away: its amplitude
// falls by e in 1/Rate seconds.
type Decay interface{ RatePerS(fHz float64) float64 }

// Law is the decay rate base + perHz·f + square·f² in 1/s. PerHz is π/Q of a
// constant quality factor Q, and what the finger takes each period.
type Law struct{ Base, PerHz, Square float64 }

// RatePerS is the decay rate in 1/s at f in Hz.
func (d Law) RatePerS(fHz float64) float64 { return d.Base + d.PerHz*fHz + d.Square*fHz*fHz }

// LawsOf are the decay of an open string and of one stopped by a finger, by a neck
// file's damping.
func LawsOf(d neck.Damping) (open, stopped Law) {
	open = Law{Base: d.Base, Square: d.Square}
	if d.Q > 0 {
		open.PerHz = math.Pi / d.Q
	}
	stopped = open
	stopped.PerHz += d.Finger
	return open, stopped
}

// Losses is the decay of a bare wire by air, bending and a constant part.
// Source: the law of Valette and Cuesta as used by Issanchou, Bilbao, Le
// Carrou, Touzé and Doaré, JSV 393 (2017) 229.
type Losses struct {
	TensionN, MassKGPerM, StiffnessNM2 float64
	DiameterM                          float64
	AirPaS, AirKGPerM3                 float64 // viscosity and density of air
	Bending                            float64 // loss angle of bending
	Rest                               float64 // inverse of the constant quality factor
}

// RatePerS is the decay rate in 1/s at f in Hz.
func (l Losses) RatePerS(fHz float64) float64 {
	air := 2*math.Pi*l.AirPaS + 2*math.Pi*l.DiameterM*math.Sqrt(math.Pi*l.AirPaS*l.AirKGPerM3*fHz)
	inverseQ := air/(2*math.Pi*l.MassKGPerM*fHz) +
		4*math.Pi*math.Pi*l.MassKGPerM*l.StiffnessNM2*l.Bending*fHz*fHz/(l.TensionN*l.TensionN) +
		l.Rest
	return math.Pi * fHz * inverseQ
}
