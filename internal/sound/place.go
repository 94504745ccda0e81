package sound

import (
	"fmt"
	"math"

	"ringtrue/internal/play"
)

// Place is where the string is listened to: at the saddle, or by a pickup that
// sees its speed. The zero Place is the saddle.
type Place struct {
	FromSaddleMM float64 // of a pickup; 0 is the saddle itself
}

// String says in words what is heard.
func (p Place) String() string {
	if p.FromSaddleMM == 0 {
		return "the force on the saddle"
	}
	return fmt.Sprintf("the string's speed %.4g mm from the saddle", p.FromSaddleMM)
}

// On reports whether the place lies on a string of this length.
func (p Place) On(lengthMM float64) error {
	if p.FromSaddleMM < 0 || p.FromSaddleMM >= lengthMM {
		return fmt.Errorf("the pickup is %.4g mm from the saddle, but the string is only %.4g mm long there; place it nearer", p.FromSaddleMM, lengthMM)
	}
	return nil
}

// headroom is how much louder than its pluck alone a note may become by what it
// strikes before the file would clip: 12 dB.
const headroom = 4

// FullScale is what the largest number of the file stands for: four times the
// pluck's force T·h·L/(x0·(L − x0)) in N at the saddle, and four times the speed
// c·F/(2T) in mm/s, at which an ideal string under that force starts, for a
// pickup. It hangs on string, stop and touch alone, not on the crowns: two files
// of one note before and after levelling have one scale.
func (p Place) FullScale(s play.Span, pluck play.Pluck) float64 {
	force := s.TensionN * pluck.HeightMM * s.LengthMM / (pluck.AtMM * (s.LengthMM - pluck.AtMM))
	if p.FromSaddleMM == 0 {
		return headroom * force
	}
	return headroom * force * s.Wave() / (2 * s.TensionN)
}

// weights are what the place takes of each mode: now·q(t) + before·q(t − k).
//
// The force on the saddle is that of a stiff, pinned string, −T·u' + EI·u‴ at L:
// mode n gives (−1)^(n+1)·(nπ/L)·(T + EI(nπ/L)²). A pickup gets the speed
// Σ q'·sin(nπx/L). Mode n being Re z, z turning by e^((−σ + iω_d)k) in a step,
// its speed −σ·Re z − ω_d·Im z follows without error from two steps; of a mode
// that decays too fast to swing their difference is taken.
func (p Place) weights(m *play.Modes) (now, before []float64) {
	now, before = make([]float64, len(m.Omega)), make([]float64, len(m.Omega))
	for n := range now {
		wave := float64(n+1) * math.Pi / m.Span.LengthMM
		if p.FromSaddleMM == 0 {
			now[n] = wave * (m.Span.TensionN + m.Span.StiffnessNMM2*wave*wave)
			if n%2 == 1 {
				now[n] = -now[n]
			}
			continue
		}
		at := math.Sin(wave * (m.Span.LengthMM - p.FromSaddleMM))
		w, s, k := m.Omega[n], m.Sigma[n], m.StepS
		if s >= w {
			now[n], before[n] = at/k, -at/k
			continue
		}
		wd := math.Sqrt(w*w - s*s)
		sin, cos := math.Sincos(wd * k)
		now[n] = at * (wd*cos/sin - s)
		before[n] = -at * wd * math.Exp(-s*k) / sin
	}
	return now, before
}
