package findings

import (
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
)

// BenchmarkNext is what a neck in doubt costs beyond its estimate.
func BenchmarkNext(b *testing.B) {
	for _, m := range []reading.Method{reading.Bridge, reading.Beam} {
		b.Run(string(m), func(b *testing.B) {
			n := newBench(b, 109)
			n.seated(0.0065)
			n.by(m)
			neck := n.judge()
			if neck.doubtful() == 0 {
				b.Fatal("no lane in doubt")
			}
			for b.Loop() {
				neck.Next(n.out, readplan.Usual())
			}
		})
	}
}

// BenchmarkNext_WhileReading is what a neck costs of which three lanes are read.
func BenchmarkNext_WhileReading(b *testing.B) {
	n := newBench(b, 109)
	n.by(reading.Beam)
	n.only(func(r reading.Reading) bool { return r.Lane <= 3 })
	neck := n.judge()
	for b.Loop() {
		neck.Next(n.out, readplan.Usual())
	}
}
