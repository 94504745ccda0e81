package board

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ringtrue/internal/reading"
)

// TestJudge_Any throws readings of every method at it, sensible and not: no
// failure, no number that is none, and never ready from a few.
func TestJudge_Any(t *testing.T) {
	m, l := heron(t, nil)
	r := rand.New(rand.NewPCG(11, 4))
	methods := reading.Methods()
	for n := range 400 {
		var list []reading.Reading
		scale := []float64{0.01, 1, 50}[r.IntN(3)]
		for range r.IntN(60) {
			k := reading.Reading{Method: methods[r.IntN(len(methods))], Lane: []float64{1, 2, 3.5, 6}[r.IntN(4)], Frets: []int{1 + r.IntN(22)},
				Value: scale * r.NormFloat64(), U: []float64{1e-6, 0.002, 0.005, 1}[r.IntN(4)], Span: 40, X: 600 * r.Float64(), Y: 60 * (r.Float64() - 0.5), Z: scale * r.Float64(),
				Pass: []string{"", "b"}[r.IntN(2)], Turned: r.IntN(4) == 0}
			s := k.Method.Spec()
			switch {
			case s.Frets == 3:
				f := 1 + r.IntN(20)
				k.Frets = []int{f, f + 1, f + 2}
				k.Answer = []reading.Answer{reading.Number, reading.Number, reading.Rocks, reading.Still}[r.IntN(4)]
			case s.Frets == 2:
				k.Frets = []int{1, 2 + r.IntN(21)}
			case k.Method == reading.Arch:
				k.Value, k.Lane = math.Max(-19, math.Min(19, k.Value)), []float64{0, 3.5}[r.IntN(2)]
			}
			if s.Gap {
				k.Value = math.Abs(k.Value)
				if r.IntN(2) == 0 {
					more := k.Value + 0.01 + 0.1*r.Float64()
					k.NoGo = &more
				}
			}
			list = append(list, k)
		}
		a, err := Judge(m, l, list)
		if err != nil {
			t.Fatalf("set %d: %v", n, err)
		}
		bad := func(v float64) bool { return math.IsNaN(v) }
		for _, k := range a.Lanes {
			if bad(k.ZoneMM) || bad(k.UZoneMM) || bad(k.offChance) || bad(k.BowMM) || slices.ContainsFunc(k.offMM, bad) || slices.ContainsFunc(k.Sand, func(s Sand) bool { return !(s.RemoveMM > 0) }) {
				t.Fatalf("set %d: %+v", n, k)
			}
		}
		for _, k := range a.Arches {
			if bad(k.UMM) || bad(k.UConeMM) || bad(k.MiddleMM) {
				t.Fatalf("set %d: %+v", n, k)
			}
		}
		if c := a.Cone; c != nil && (bad(c.NutMM) || bad(c.FromMM) || bad(c.UToMM) || bad(c.offChance)) {
			t.Fatalf("set %d: %+v", n, c)
		}
		if a.Verdict == Ready || a.Verdict == InDoubt && len(a.Next) == 0 {
			t.Errorf("set %d: %s of %d readings", n, a.Verdict, len(list))
		}
	}
}

// TestJudge_Mirror: the board read from the other side, its readings in another
// order and its dials zeroed elsewhere, gets the same answer.
func TestJudge_Mirror(t *testing.T) {
	m, l := heron(t, nil)
	for seed := range uint64(10) {
		w := newWood(t, seed, m, l)
		w.hump(12, 15, 0.05, treble, true)
		list := withFive(six())(w)
		list[70].Value += 0.2
		a, err := Judge(m, l, list)
		if err != nil {
			t.Fatal(err)
		}
		var other []reading.Reading
		for i := range list {
			k := list[len(list)-1-i]
			if k.Method == reading.Beam {
				k.Lane, k.Value = 7-k.Lane, k.Value+3*k.Lane
			}
			other = append(other, k)
		}
		b, err := Judge(m, l, other)
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict != b.Verdict || len(a.Misreads) != len(b.Misreads) || len(a.Findings) != len(b.Findings) {
			t.Errorf("seed %d: %s %+v %+v, mirrored %s %+v %+v", seed, a.Verdict, a.Misreads, a.Findings, b.Verdict, b.Misreads, b.Findings)
		}
		for i, k := range a.Lanes {
			o := b.Lanes[len(b.Lanes)-1-i]
			if k.Verdict != o.Verdict || math.Abs(k.ZoneMM-o.ZoneMM) > 1e-7 || math.Abs(k.BowMM-o.BowMM) > 1e-7 {
				t.Errorf("seed %d, lane %g: %+v, mirrored %+v", seed, k.Lane, k, o)
			}
		}
		if math.Abs(a.Cone.NutMM-b.Cone.NutMM) > 1e-6 {
			t.Errorf("seed %d: cone %+v, mirrored %+v", seed, a.Cone, b.Cone)
		}
	}
}
