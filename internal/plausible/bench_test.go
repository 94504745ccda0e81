package plausible

import "testing"

// What `frets` waits for: 264 readings of a neck, two passes of a beam.
func BenchmarkGross(b *testing.B) {
	for _, kind := range []string{sound, mixed} {
		b.Run(kind, func(b *testing.B) {
			s := simulate(b, kind, 7)
			all := s.beams(2, 0.005)
			m := model()
			for b.Loop() {
				Gross(s.l, m, all)
			}
		})
	}
}
