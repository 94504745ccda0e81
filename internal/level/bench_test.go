package level

import (
	"context"
	"testing"
)

// BenchmarkTarget is the least removal of one lane of 24 crowns.
func BenchmarkTarget(b *testing.B) {
	var lanes []Lane
	r := seeded(7)
	for range 200 {
		lanes = append(lanes, fretted(r, 24, 6, 0.008, r.IntN(5))...)
	}
	var s Solver
	sum := 0.0
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		l := &lanes[i%len(lanes)]
		_, total := s.Target(l.X, l.D, 0.03)
		sum += total
	}
	if sum == 0 {
		b.Fatal("no lane solved")
	}
}

func benchOptions(b *testing.B, frets, lanes int, scatter float64) {
	r := seeded(11)
	var necks [][]Lane
	for k := range 50 {
		necks = append(necks, fretted(r, frets, lanes, scatter, k%5))
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := Options(context.Background(), necks[i%len(necks)], 0.03, 3); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFair is a whole neck of 24 frets and six lanes.
func BenchmarkFair(b *testing.B) {
	r := seeded(11)
	var necks [][]Lane
	for k := range 20 {
		necks = append(necks, fretted(r, 24, 6, 0.006, k%5))
	}
	for i := 0; b.Loop(); i++ {
		if _, err := Fair(necks[i%len(necks)], 0.03); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOptions_Typical(b *testing.B)   { benchOptions(b, 24, 6, 0.008) }
func BenchmarkOptions_Worn(b *testing.B)      { benchOptions(b, 24, 6, 0.020) }
func BenchmarkOptions_36x12(b *testing.B)     { benchOptions(b, 36, 12, 0.008) }
func BenchmarkOptions_36x12Worn(b *testing.B) { benchOptions(b, 36, 12, 0.020) }
func BenchmarkOptions_60x18Worn(b *testing.B) { benchOptions(b, 60, 18, 0.020) }
