package hand

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/filing"
)

// neckOf makes a neck's crowns, 22 frets by 6 lanes: so much comes off each, the two
// sets of readings in lines of their own, with errors of u.
func neckOf(off func(fret int, lane float64) float64, u float64, r *rand.Rand) []Crown {
	var out []Crown
	for lane := 1.0; lane <= 6; lane++ {
		a, b := 0.1*r.NormFloat64(), 1e-4*r.NormFloat64()
		for f := 1; f <= 22; f++ {
			x := 648 * (1 - math.Exp2(-float64(f)/12))
			z := 0.02 * r.NormFloat64()
			t := (x - 36) / (466 - 36)
			c := Crown{Fret: f, Lane: lane, XMM: x, UMM: u, BeforeMM: z, BowMM: -4 * t * (1 - t)}
			c.AfterMM = z - off(f, lane) - a - b*x + u*r.NormFloat64()
			out = append(out, c)
		}
	}
	return out
}

func bench6() Bench { return Bench{Lanes: 6, RadiusMM: 1.2, StripMM: 8, BoardMM: 300} }

// What came off is found though each set of readings has a line of its own, as exactly
// as it says.
func TestPair_FindsDepths(t *testing.T) {
	strokes, err := Parse("file 7: 40, flat 0.45 mm; beam 12-22: 120, paper P400")
	if err != nil {
		t.Fatal(err)
	}
	off := func(f int, lane float64) float64 {
		switch {
		case f == 7:
			return 0.02
		case f >= 12:
			return 0.01
		}
		return 0
	}
	held, all := 0, 0
	for seed := range 100 {
		r := rand.New(rand.NewPCG(4, uint64(seed)))
		done, blind := Pair(bench6(), neckOf(off, 0.004, r), strokes)
		if blind != 0 || len(done) != 2 || done[0].Tool != File || done[1].Paper != "P400" || done[0].FlatMM != 0.45 {
			t.Fatalf("found %+v, blind %d", done, blind)
		}
		for i, want := range []float64{0.02, 0.01} {
			all++
			if math.Abs(done[i].DepthMM-want) < 2*done[i].UMM {
				held++
			}
			if done[i].UMM > 0.009 {
				t.Errorf("entry %d is known to %.4f mm only", i, done[i].UMM)
			}
		}
	}
	// The bow's share is in the u but not in the draws.
	if held < all*94/100 {
		t.Errorf("two standard uncertainties held the depth in %d of %d", held, all)
	}
}

// A beam over the whole neck tells what it took where some crowns kept their ink.
func TestPair_Ink(t *testing.T) {
	off := func(f int, lane float64) float64 {
		if f == 3 || f == 12 || f == 20 {
			return 0
		}
		return 0.01
	}
	s, err := Parse("beam 1-22: 300, ink 20 3 12")
	if err != nil {
		t.Fatal(err)
	}
	done, blind := Pair(bench6(), neckOf(off, 0.002, rand.New(rand.NewPCG(3, 9))), s)
	if blind != 0 || len(done) != 1 || done[0].Crowns != 19*6 {
		t.Fatalf("found %+v, blind %d", done, blind)
	}
	casetest.Near(t, "depth", done[0].DepthMM, 0.01, 2*done[0].UMM)
	if done[0].UMM > 0.005 {
		t.Errorf("known to %.4f mm only", done[0].UMM)
	}
}

func TestPair_Blind(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	crowns := neckOf(func(int, float64) float64 { return 0.01 }, 0.003, r)
	whole, _ := Parse("beam 1-22: 300")
	if done, blind := Pair(bench6(), crowns, whole); len(done) != 0 || blind != 1 {
		t.Errorf("a beam over all frets: %+v, blind %d", done, blind)
	}
	grits, _ := Parse("beam 10-22: 60, paper P320; beam 10-22: 60, paper P800")
	if done, blind := Pair(bench6(), crowns, grits); len(done) != 0 || blind != 2 {
		t.Errorf("two papers on the same crowns: %+v, blind %d", done, blind)
	}
}

// Entries of one tool that share crowns are one; a pressed fret is left out of the line.
func TestPair_Joined(t *testing.T) {
	off := func(f int, lane float64) float64 {
		switch {
		case f == 3:
			return 0.3 // pressed
		case f >= 14:
			return 0.012
		}
		return 0
	}
	strokes, _ := Parse("press 3; beam 14-22: 50; beam 16-22: 30")
	done, blind := Pair(bench6(), neckOf(off, 0.001, rand.New(rand.NewPCG(2, 2))), strokes)
	if blind != 0 || len(done) != 1 || done[0].Spot.Strokes != 80 || done[0].Crowns != 9*6 {
		t.Fatalf("found %+v, blind %d", done, blind)
	}
	casetest.Near(t, "depth", done[0].DepthMM, 0.012, 0.006)
	unsaid, _ := Parse("beam 14-22: 80")
	again, _ := Pair(bench6(), neckOf(off, 0.001, rand.New(rand.NewPCG(2, 2))), unsaid)
	casetest.Near(t, "depth, the press not written down", again[0].DepthMM, done[0].DepthMM, 1e-9)
}

// Depths that differ hold more metal than their mean.
func TestEven(t *testing.T) {
	casetest.Near(t, "all alike", even([]float64{0.01, 0.01, 0.01}, 0), 1, 1e-12)
	var halves []float64
	volume := 0.0
	for i := range 40 {
		d := 0.02 * float64(i%2)
		halves = append(halves, d)
		volume += filing.StripVolume(1.2, 8, d)
	}
	shared := filing.StripDepth(1.2, 8, volume/40)
	casetest.Near(t, "half of them bare", even(halves, 0), 0.01/shared, 0.03)
	if e := even([]float64{-0.001, 0.001, 0, 0.0005}, 1e-6); !(e > 0 && e <= 1) {
		t.Errorf("of noise: %g", e)
	}
}
