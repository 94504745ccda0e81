package heights

import "testing"

func BenchmarkFrom24(b *testing.B) { benchmarkFrom(b, 24, 6) }
func BenchmarkFrom36(b *testing.B) { benchmarkFrom(b, 36, 12) }

// benchmarkFrom estimates a neck with odd frets from two passes a lane.
func benchmarkFrom(b *testing.B, frets, strings int) {
	s := newSimulated(b, 5, frets, strings)
	s.press()
	for _, lane := range s.lanes {
		s.beam(lane, 0.005, "a")
		s.beam(lane, 0.005, "b")
	}
	for b.Loop() {
		s.estimate(b)
	}
}

// BenchmarkFrom_Chained: 24 frets by 6 lanes, a beam pass and a bridge a lane.
func BenchmarkFrom_Chained(b *testing.B) {
	s := newSimulated(b, 5, 24, 6)
	s.press()
	for _, lane := range s.lanes {
		s.beam(lane, 0.005, "a")
		s.bridge(lane, 0.003)
	}
	for b.Loop() {
		s.estimate(b)
	}
}
