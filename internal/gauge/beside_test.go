package gauge

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// lanesRead are four lanes of 22 crowns read by two hands, each of so many passes, scatter
// and habit (what a hand adds to a crown).
func lanesRead(r *rand.Rand, free bool, passes [2]int, sd [2]float64, habit func(hand, lane, fret int) float64) (all []Stretch) {
	for lane := range 4 {
		s := Stretch{Free: free}
		height := make([]float64, 22)
		for f := range height {
			height[f] = 0.02 * r.NormFloat64()
		}
		for hand, name := range []string{"Ana", "Ines"} {
			for range passes[hand] {
				p, offset, tilt := Pass{Operator: name}, 0.0, 0.0
				if free {
					offset, tilt = r.NormFloat64(), 0.001*r.NormFloat64()
				}
				for f, h := range height {
					x := 20 * float64(f)
					p.Parts = append(p.Parts, Placed{fmt.Sprintf("%d/%d", f+1, lane+1), x, h + offset + tilt*x + sd[hand]*r.NormFloat64() + habit(hand, lane, f)})
				}
				s.Passes = append(s.Passes, p)
			}
		}
		all = append(all, s)
	}
	return all
}

func none(int, int, int) float64 { return 0 }

// Over many pairs whose truth is known: alike hands are told apart one time in twenty; a
// hand of twice the scatter, one that reads a crown otherwise, and one that reads all of
// them higher are found, and their sizes are right.
func TestBesideOf_TruthKnown(t *testing.T) {
	const pairs = 60
	r := rand.New(rand.NewPCG(18, 2))
	ask := func(free bool, passes [2]int, sd [2]float64, habit func(int, int, int) float64) *Beside {
		t.Helper()
		b, err := BesideOf(lanesRead(r, free, passes, sd, habit), "Ana", "Ines", 0.95)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	crown := func(hand, lane, f int) float64 {
		if hand == 1 && lane == 2 && f == 6 {
			return 0.03
		}
		return 0
	}
	above := func(hand, _, _ int) float64 { return 0.002 * float64(hand) }
	for _, free := range []bool{true, false} {
		scatter, differ, named, off, sum := 0, 0, 0, 0, [2]float64{}
		noisier, found, wrong, biased := 0, 0, 0, 0
		for range pairs {
			b := ask(free, [2]int{2, 3}, [2]float64{0.003, 0.003}, none)
			if b.ScatterP.Or(1) < 0.05 {
				scatter++
			}
			if b.DifferP.Or(1) < 0.05 {
				differ++
			}
			if len(b.Differ) > 0 {
				named++
			}
			if low, known := b.Limits.Lower.Get(); known && (low > 0 || b.Limits.Upper.Or(0) < 0) {
				off++
			}
			for i, h := range b.Hands {
				sum[i] += h.SD.Or(0) * h.SD.Or(0) / pairs
			}
			if b = ask(free, [2]int{2, 2}, [2]float64{0.003, 0.006}, none); b.ScatterP.Or(1) < 0.05 && b.Hands[1].SD.Or(0) > b.Hands[0].SD.Or(0) {
				noisier++
			}
			b = ask(free, [2]int{2, 2}, [2]float64{0.003, 0.003}, crown)
			for _, d := range b.Differ {
				if d.Part == "7/3" && d.Off > 0.02 {
					found++
				} else {
					wrong++
				}
			}
			if b = ask(free, [2]int{2, 2}, [2]float64{0.003, 0.003}, above); b.Limits.Lower.Or(-1) > 0 {
				biased++
			}
		}
		t.Logf("free %v: alike: scatter %d, differ %d, named %d, off %d of %d; found: noisier %d, crown %d (%d others), above %d", free, scatter, differ, named, off, pairs, noisier, found, wrong, biased)
		for what, n := range map[string]int{"scatter": scatter, "differ": differ, "named": named, "off": off} {
			if n > 9 { // 3 expected, and three and a half standard deviations
				t.Errorf("free %v: %s told apart on %d of %d alike pairs", free, what, n, pairs)
			}
		}
		if noisier < pairs*95/100 || found < pairs*95/100 || wrong > pairs/10 {
			t.Errorf("free %v: noisier found %d, the crown %d, others %d of %d", free, noisier, found, wrong, pairs)
		}
		if free && biased > 0 || !free && biased < pairs*90/100 {
			t.Errorf("free %v: an offset was seen on %d of %d", free, biased, pairs)
		}
		for i, v := range sum {
			if sd := math.Sqrt(v); math.Abs(sd-0.003) > 0.0001 {
				t.Errorf("free %v: hand %d scatters %.5f, true 0.003", free, i, sd)
			}
		}
	}
}

// Hands that read each once are told by their differences alone.
func TestBesideOf_Once(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	b, err := BesideOf(lanesRead(r, true, [2]int{1, 1}, [2]float64{0.004, 0.004}, none), "Ana", "Ines", 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if b.Hands[0].SD.Known() || b.ScatterP.Known() || b.DifferP.Known() || math.Abs(b.Together.Or(0)-0.004) > 0.001 || b.Parts != 88 {
		t.Errorf("%+v", b)
	}
	if _, err := BesideOf(lanesRead(r, true, [2]int{1, 0}, [2]float64{1, 1}, none), "Ana", "Ines", 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("one hand alone: %v", err)
	}
	all := lanesRead(r, false, [2]int{2, 2}, [2]float64{0.004, 0.004}, none)
	all[0].Passes[0].Parts[3].Value = math.NaN()
	if _, err := BesideOf(all, "Ana", "Ines", 0.95); !errors.Is(err, ErrNotFinite) {
		t.Errorf("not a number: %v", err)
	}
}
