package play

import (
	"math"
	"math/rand/v2"
	"testing"
)

// numbers draws n values between −1 and 1, and leaves a NaN behind them where
// nothing may look: whatever reads past the end gives it away.
func numbers(r *rand.Rand, n int) []float64 {
	v := make([]float64, n+2*block)
	for i := range v {
		v[i] = math.NaN()
		if i < n {
			v[i] = 2*r.Float64() - 1
		}
	}
	return v[:n]
}

// aheadAgrees holds lookAhead to plainAhead, bit for bit, on drawn numbers: m
// modes, p crowns. It says nothing where lookAhead is plainAhead.
func aheadAgrees(t *testing.T, m, p int, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 1))
	stride := m + r.IntN(2*block)
	rows, q, before, a, b := numbers(r, stride*p), numbers(r, m), numbers(r, m), numbers(r, m), numbers(r, m)
	var which []int
	for j := range p {
		if r.IntN(2) == 0 {
			which = append(which, j)
		}
	}
	got, want := numbers(r, ahead*len(which)), make([]float64, ahead*len(which))
	lookAhead(got, rows, stride, which, q, before, a, b, make([]float64, ahead*m))
	plainAhead(want, rows, stride, which, q, before, a, b, make([]float64, ahead*m))
	for i, w := range want {
		if math.Float64bits(got[i]) != math.Float64bits(w) {
			t.Fatalf("%d modes, %d crowns: height %d is %.17g, plain %.17g", m, p, i, got[i], w)
		}
	}
	for _, x := range got[len(got):cap(got)] {
		if !math.IsNaN(x) {
			t.Fatalf("%d modes, %d crowns: written past the end", m, p)
		}
	}
}

// Every length up to some blocks, none and odd ones among them.
func TestLookAhead_SameBitsAsPlain(t *testing.T) {
	for m := range 20*block + 1 {
		for _, p := range []int{0, 1, 2, 3, 13, 24} {
			aheadAgrees(t, m, p, uint64(m*100+p))
		}
	}
}

func FuzzLookAhead(f *testing.F) {
	f.Add(uint8(0), uint8(0), uint64(0))
	f.Add(uint8(8), uint8(1), uint64(1))
	f.Add(uint8(220), uint8(24), uint64(2))
	f.Fuzz(func(t *testing.T, m, p uint8, seed uint64) { aheadAgrees(t, int(m), int(p)%40, seed) })
}

// The plain heights against each mode followed by itself.
func TestPlainAhead_Sums(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	const m, stride = 7, 9
	rows, q, before, a, b := numbers(r, 2*stride), numbers(r, m), numbers(r, m), numbers(r, m), numbers(r, m)
	out := make([]float64, ahead)
	plainAhead(out, rows, stride, []int{1}, q, before, a, b, make([]float64, ahead*m))
	for k, got := range out {
		sum := 0.0
		for n := range m {
			was, now := before[n], q[n]
			for range k + 1 {
				was, now = now, a[n]*now-b[n]*was
			}
			sum += rows[stride+n] * now
		}
		if math.Abs(got-sum) > 1e-14 {
			t.Errorf("height %d is %.17g, mode by mode %.17g", k, got, sum)
		}
	}
}

// A caller's wrong length must stop in Go, before any vector code reads on.
func TestLookAhead_WrongLengthsPanic(t *testing.T) {
	const m = 4 * block
	of := func(n int) []float64 { return make([]float64, n) }
	for name, call := range map[string]func(){
		"heights": func() { lookAhead(of(ahead), of(2*m), m, []int{0, 1}, of(m), of(m), of(m), of(m), of(ahead*m)) },
		"rows":    func() { lookAhead(of(ahead), of(m), m, []int{1}, of(m), of(m), of(m), of(m), of(ahead*m)) },
		"before":  func() { lookAhead(of(ahead), of(m), m, []int{0}, of(m), of(m-1), of(m), of(m), of(ahead*m)) },
		"a":       func() { lookAhead(of(ahead), of(m), m, []int{0}, of(m), of(m), of(m-1), of(m), of(ahead*m)) },
		"b":       func() { lookAhead(of(ahead), of(m), m, []int{0}, of(m), of(m), of(m), of(m-1), of(ahead*m)) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s too short: no panic", name)
				}
			}()
			call()
		}()
	}
}

// BenchmarkLookAhead times both on the modes of a low string over all crowns.
func BenchmarkLookAhead(b *testing.B) {
	const m, p = 220, 22
	r := rand.New(rand.NewPCG(1, 1))
	rows, q, before, a, c := numbers(r, m*p), numbers(r, m), numbers(r, m), numbers(r, m), numbers(r, m)
	which, out, room := make([]int, p), make([]float64, ahead*p), make([]float64, ahead*m)
	for j := range which {
		which[j] = j
	}
	for name, look := range map[string]func(out, rows []float64, stride int, which []int, q, before, a, b, room []float64){"here": lookAhead, "plain": plainAhead} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				look(out, rows, m, which, q, before, a, c, room)
			}
		})
	}
}
