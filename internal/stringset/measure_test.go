package stringset

// What tests alone measure.

import "math"

// PartialHz is the frequency of partial n over a sounding length in mm, both
// ends pinned.
func (t String) PartialHz(n int, lengthMM float64) float64 {
	m := float64(n)
	return m * t.WaveMMPerS() / (2 * lengthMM) * math.Sqrt(1+t.Inharmonicity(lengthMM)*m*m)
}
