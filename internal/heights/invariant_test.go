package heights

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/reading"
)

// sameEstimate compares two estimates crown by crown.
func sameEstimate(t *rapid.T, what string, a, b *Estimate, tol float64, mirror func(lane float64) float64) {
	if len(a.Lanes) != len(b.Lanes) || len(a.Misreads) != len(b.Misreads) || len(a.Dents) != len(b.Dents) {
		t.Fatalf("lanes %d %d, misreads %d %d, dents %d %d", len(a.Lanes), len(b.Lanes), len(a.Misreads), len(b.Misreads), len(a.Dents), len(b.Dents))
	}
	for _, l := range a.Lanes {
		for _, m := range b.Lanes {
			if m.Lane != mirror(l.Lane) {
				continue
			}
			for i := range l.Z {
				u, v := math.Sqrt(l.Cov.At(i, i)), math.Sqrt(m.Cov.At(i, i))
				if math.Abs(l.Z[i]-m.Z[i]) > tol+nearU*u || math.Abs(u-v) > tol+nearU*u {
					t.Fatalf("%s: lane %g crown %d: %.12f ± %.12f, %.12f ± %.12f", what, l.Lane, i, l.Z[i], l.Cov.At(i, i), m.Z[i], m.Cov.At(i, i))
				}
			}
		}
	}
}

// settledMM is how far two searches that differ in rounding alone may end apart:
// they stop where set-ups settle, and explanations far behind are dropped.
const settledMM = 1e-4

// nearU is the share of a crown's uncertainty by which they may differ: where two
// explanations are near, which unlikely ones are dropped on the way moves it.
const nearU = 0.25

// TestFrom_Invariant: no answer changes under an offset and tilt of any pass,
// with the order of the rows, or with the strings counted from the other side.
func TestFrom_Invariant(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := newSimulated(t, rapid.Uint64Range(0, 1000).Draw(r, "seed"), 14, 6)
		bridged := rapid.IntRange(0, 3).Draw(r, "bridged") == 0
		s.press()
		for _, lane := range s.lanes {
			s.beam(lane, 0.004, "a")
			if bridged && s.rnd.IntN(2) == 0 {
				s.bridge(lane, 0.003)
			}
		}
		s.out[s.rnd.IntN(len(s.out))].Value += 0.08
		a := s.estimate(t)
		same := func(l float64) float64 { return l }

		tilted := *s
		tilted.out = slices.Clone(s.out)
		lane := float64(rapid.IntRange(1, 6).Draw(r, "lane"))
		offset := rapid.Float64Range(-20, 20).Draw(r, "offset")
		tilt := rapid.Float64Range(-0.01, 0.01).Draw(r, "tilt")
		for i, k := range tilted.out {
			if k.Method == reading.Beam && k.Lane == lane {
				tilted.out[i].Value += offset + tilt*s.layout.LaneX(k.Frets[0], lane)
			}
		}
		sameEstimate(r, "tilted", a, tilted.estimate(t), settledMM, same)

		mixed := *s
		mixed.out = slices.Clone(s.out)
		s.rnd.Shuffle(len(mixed.out), func(i, j int) { mixed.out[i], mixed.out[j] = mixed.out[j], mixed.out[i] })
		sameEstimate(r, "other order", a, mixed.estimate(t), settledMM, same)

		mirrored := *s
		mirrored.out = slices.Clone(s.out)
		for i := range mirrored.out {
			mirrored.out[i].Lane = 7 - mirrored.out[i].Lane
		}
		sameEstimate(r, "mirrored", a, mirrored.estimate(t), settledMM, func(l float64) float64 { return 7 - l })
	})
}

// BenchmarkFrom: 24 frets by 6 lanes from 288 readings.
func BenchmarkFrom(b *testing.B) {
	s := newSimulated(b, 1, 24, 6)
	s.press()
	for _, lane := range s.lanes {
		s.beam(lane, 0.004, "a")
		s.beam(lane, 0.004, "b")
	}
	if len(s.out) != 288 {
		b.Fatal(len(s.out))
	}
	b.ReportAllocs()
	for b.Loop() {
		s.estimate(b)
	}
}

// BenchmarkFrom_Large: 36 frets by 12 lanes, one pass a lane.
func BenchmarkFrom_Large(b *testing.B) {
	s := newSimulated(b, 1, 36, 12)
	s.press()
	for _, lane := range s.lanes {
		s.beam(lane, 0.004, "a")
	}
	for b.Loop() {
		s.estimate(b)
	}
}
