package setup

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// laneOf is a lane of twelve equal divisions with crowns at these heights.
func laneOf(scale float64, frets int, z func(fret int) float64) play.Lane {
	l := play.Lane{String: 1, ScaleMM: scale}
	for f := 1; f <= frets; f++ {
		l.Crowns = append(l.Crowns, play.Crown{Fret: f, XMM: scale * (1 - math.Exp2(-float64(f)/12)), ZMM: z(f), SpareMM: 0.3})
	}
	return l
}

func level(int) float64 { return 0 }

func measured(first, action float64) Measured {
	return Measured{String: 1, FirstMM: num.Some(first), ActionMM: num.Some(action)}
}

func byGap(gap, action float64) play.Setup {
	return play.Setup{ByGap: true, NutGapMM: gap, ActionMM: action, ActionFret: 12}
}

// exact measures without doubt, so that figures come out as worked by hand.
func exact() Doubt { return Doubt{GapMM: 1e-9, ActionMM: 1e-9, SlotMM: 1e-9, SaddleMM: 1e-9} }

// gaps are the gaps over frets 1 and 12 of a string held at these heights.
func gaps(l play.Lane, r play.Rest) (first, action float64) {
	over := func(c play.Crown) float64 {
		return r.NutMM*(1-c.XMM/l.ScaleMM) + r.SaddleMM*c.XMM/l.ScaleMM - c.ZMM
	}
	return over(l.Crowns[0]), over(l.Crowns[11])
}

// Worked by hand and by a program (Python 3, numpy): 648 mm, level crowns, 0.70 over
// fret 1 and 2.20 over fret 12; 0.45 and 1.60 are wanted.
func TestCut_WorkedCase648(t *testing.T) {
	c, err := CutOf(measured(0.70, 2.20), Over{Lane: laneOf(648, 22, level)}, byGap(0.45, 1.60), false, Usual())
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "nut is", c.Slot.IsMM, 0.5103325, 1e-7)
	casetest.Near(t, "saddle is", c.Saddle.IsMM, 3.8896675, 1e-7)
	casetest.Near(t, "nut wanted", c.Slot.WantedMM, 0.3045883, 1e-7)
	casetest.Near(t, "saddle wanted", c.Saddle.WantedMM, 2.8954117, 1e-7)
	casetest.Near(t, "slot deeper", c.Slot.TakeMM, 0.205744, 1e-6)
	casetest.Near(t, "saddle lower", c.Saddle.TakeMM, 0.994256, 1e-6)
	// by hand: x1/(x12 − x1) = 36.36946/287.63054 = 0.1264450
	casetest.Near(t, "u", c.Slot.UMM, math.Hypot(1.1264450*0.01, 0.1264450*0.05), 1e-8)
	if c.Slot.Deed != Take || c.Saddle.Deed != Take || c.Misread {
		t.Errorf("%+v", c)
	}
}

// The naive way, each by itself (nut 0.25/0.94387, saddle 1.2), ends too low; the same
// worked case.
func TestCut_NaiveWayEndsTooLow(t *testing.T) {
	l := laneOf(648, 22, level)
	g, a := gaps(l, play.Rest{NutMM: 0.5103325 - 0.25/0.9438743, SaddleMM: 3.8896675 - 1.2})
	casetest.Near(t, "first gap", g, 0.382649, 1e-5)
	casetest.Near(t, "action", a, 1.467566, 1e-5)
}

// Held down on fret 3, 0.10 mm over fret 1: nut 0.1545027, by hand (factor 1.5450).
func TestCut_HeldGap(t *testing.T) {
	m := Measured{String: 1, HeldMM: num.Some(0.10), ActionMM: num.Some(1.60)}
	c, err := CutOf(m, Over{Lane: laneOf(648, 22, level)}, byGap(0.45, 1.60), false, Usual())
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "nut", c.Slot.IsMM, 0.1545027, 1e-7)
	casetest.Near(t, "u", c.Slot.UMM, 1.5450*0.01, 1e-5)
	if c.Slot.Deed != Raise || c.Slot.NowMM != 0 {
		t.Errorf("%+v: it lies 0.15 mm too low", c.Slot)
	}
}

// Kinks at 10° (workshop sizes; 0.010 in at 72.5 N as in Fletcher's stiff string):
// φλ/2, λ 0.7506 mm.
func TestKink_Fletcher1964(t *testing.T) {
	casetest.Near(t, "0.010 in", KinkMM(40.8634, 72.524, BreakRad), 0.7506*BreakRad/2, 1e-4)
	// What docs/setup.md says: cores of 0.40 and 0.69 mm at usual tensions.
	steel := func(mm float64) float64 { return 200e3 * math.Pi / 64 * math.Pow(mm, 4) }
	casetest.Near(t, "a guitar's E2", KinkMM(steel(0.40), 78, BreakRad), 0.2, 0.05)
	casetest.Near(t, "a bass's E1", KinkMM(steel(0.69), 178, BreakRad), 0.3, 0.05)
}

// near is casetest.Near for a property.
func near(t *rapid.T, what string, got, want, tol float64) {
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// However nut and saddle lie, over whatever crowns: the sheet's cuts, both made,
// give the wanted gaps; so do they in the other order, and measured again nothing is
// left to do.
func TestCut_GivesWhatIsWanted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-0.1, 0.1), 23, 23).Draw(t, "z")
		l := laneOf(rapid.Float64Range(400, 900).Draw(t, "scale"), 22, func(f int) float64 { return z[f] })
		rest := play.Rest{NutMM: rapid.Float64Range(0.2, 2).Draw(t, "nut"), SaddleMM: rapid.Float64Range(1, 9).Draw(t, "saddle")}
		want := byGap(rapid.Float64Range(0.2, 0.8).Draw(t, "gap"), rapid.Float64Range(1, 3).Draw(t, "action"))
		if rapid.Bool().Draw(t, "by height") {
			want = play.Setup{NutMM: want.NutGapMM, ActionMM: want.ActionMM, ActionFret: 12}
		}
		g, a := gaps(l, rest)
		c, err := CutOf(measured(g, a), Over{Lane: l}, want, false, exact())
		if err != nil {
			t.Fatal(err)
		}
		wanted, err := l.Rest(want)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "nut as play has it", c.Slot.WantedMM, wanted.NutMM, 1e-9)
		near(t, "saddle as play has it", c.Saddle.WantedMM, wanted.SaddleMM, 1e-9)
		slotFirst := play.Rest{NutMM: rest.NutMM - c.Slot.TakeMM, SaddleMM: rest.SaddleMM}
		// measured again between the two, the saddle's cut is still the same
		g, a = gaps(l, slotFirst)
		again, err := CutOf(measured(g, a), Over{Lane: l}, want, false, exact())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "slot done", again.Slot.TakeMM, 0, 1e-8)
		near(t, "saddle unmoved", again.Saddle.TakeMM, c.Saddle.TakeMM, 1e-8)
		slotFirst.SaddleMM -= again.Saddle.TakeMM
		g, a = gaps(l, slotFirst)
		near(t, "action", a, want.ActionMM, 1e-8)
		near(t, "first gap", g, c.FirstWantedMM.OrNaN(), 1e-8)
	})
}

// Measured with the doubt stated, over crowns read with theirs, the errors of the
// cuts are as large as said, the wanted height lies within them, and one pass ends
// too deep in 5 % at most.
func TestCut_DoubtIsAsStated(t *testing.T) {
	d, rng := Usual(), rand.New(rand.NewPCG(17, 1))
	const draws, uCrown = 20000, 0.006
	l := laneOf(640, 22, level)
	cov := func(a, b int) float64 {
		if a == b {
			return uCrown * uCrown
		}
		return 0
	}
	for name, m := range map[string]Measured{"two gaps": measured(0.7, 2.2),
		"three": {String: 1, FirstMM: num.Some(0.7), ActionMM: num.Some(2.2), HeldMM: num.Some(0.33)}} {
		var slot, saddle, deep float64
		for range draws {
			truth := laneOf(640, 22, func(int) float64 { return uCrown * rng.NormFloat64() })
			rest, err := truth.Rest(byGap(0.7, 2.2))
			if err != nil {
				t.Fatal(err)
			}
			read := m
			read.FirstMM, read.ActionMM = num.Some(0.7+d.GapMM*rng.NormFloat64()), num.Some(2.2+d.ActionMM*rng.NormFloat64())
			if m.HeldMM.Known() {
				k := truth.Crowns[0].XMM / truth.Crowns[2].XMM
				read.HeldMM = num.Some(rest.NutMM*(1-k) - truth.Crowns[0].ZMM + truth.Crowns[2].ZMM*k + d.GapMM*rng.NormFloat64())
			}
			want := play.Setup{NutMM: 0.3, ActionMM: 1.6, ActionFret: 12}
			c, err := CutOf(read, Over{Lane: l, Cov: cov}, want, false, d)
			if err != nil {
				t.Fatal(err)
			}
			wanted, err := truth.Rest(want)
			if err != nil {
				t.Fatal(err)
			}
			slot += math.Pow((c.Slot.TakeMM-(rest.NutMM-wanted.NutMM))/c.Slot.UMM, 2)
			saddle += math.Pow((c.Saddle.TakeMM-(rest.SaddleMM-wanted.SaddleMM))/c.Saddle.UMM, 2)
			if rest.NutMM-c.Slot.NowMM-d.SlotMM*rng.NormFloat64() < wanted.NutMM {
				deep++
			}
		}
		casetest.Near(t, name+": slot error over u", math.Sqrt(slot/draws), 1, 0.05)
		casetest.Near(t, name+": saddle error over u", math.Sqrt(saddle/draws), 1, 0.05)
		if share := deep / draws; share > 0.05 || share < 0.005 {
			t.Errorf("%s: %.3f of first passes end too deep, want 0.05 at most and not nothing", name, share)
		}
	}
}

// One pass after the other, measured between, comes down on the wanted height from
// above; no pass takes more than is there.
func TestCut_PassesComeDownFromAbove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, want := laneOf(640, 22, level), byGap(0.4, 1.6)
		rest := play.Rest{NutMM: rapid.Float64Range(0.3, 1.5).Draw(t, "nut"), SaddleMM: rapid.Float64Range(2.9, 6).Draw(t, "saddle")}
		wanted, _ := l.Rest(want)
		for range 3 {
			g, a := gaps(l, rest)
			c, err := CutOf(measured(g, a), Over{Lane: l}, want, false, Usual())
			if err != nil {
				t.Fatal(err)
			}
			if c.Slot.NowMM > 0 && c.Slot.NowMM > rest.NutMM-wanted.NutMM-leastShortMM+1e-9 ||
				c.Saddle.NowMM > 0 && c.Saddle.NowMM > rest.SaddleMM-wanted.SaddleMM-leastShortMM+1e-9 {
				t.Fatalf("%+v takes too much", c)
			}
			rest.NutMM, rest.SaddleMM = rest.NutMM-c.Slot.NowMM, rest.SaddleMM-c.Saddle.NowMM
		}
		g, a := gaps(l, rest)
		if c, _ := CutOf(measured(g, a), Over{Lane: l}, want, false, Usual()); c.Slot.Deed == Take || c.Saddle.Deed == Take {
			t.Fatalf("%+v after three passes", c)
		}
	})
}

// Two gaps of one string that contradict each other are seen, those that agree not.
func TestCut_Misread(t *testing.T) {
	for held, misread := range map[float64]bool{0.5103325 / 1.5450: false, 0.45: true} {
		m := measured(0.70, 2.20)
		m.HeldMM = num.Some(held)
		c, err := CutOf(m, Over{Lane: laneOf(648, 22, level)}, byGap(0.45, 1.60), false, Usual())
		if err != nil || c.Misread != misread {
			t.Errorf("held gap %g: misread %v, want %v (%v)", held, c.Misread, misread, err)
		}
	}
}

func TestCut_Errors(t *testing.T) {
	l, want := laneOf(648, 22, level), byGap(0.45, 1.60)
	first := want
	first.ActionFret = 1
	for name, c := range map[string]struct {
		m    Measured
		lane play.Lane
		want play.Setup
		zero bool
		err  error
	}{
		"no action":      {Measured{FirstMM: num.Some(0.7)}, l, want, false, ErrNoAction},
		"no nut":         {Measured{ActionMM: num.Some(2)}, l, want, false, ErrNoNut},
		"zero fret":      {measured(0.7, 2), l, want, true, ErrZeroFret},
		"one site":       {measured(0.7, 2), l, first, false, ErrSameSite},
		"no such crown":  {measured(0.7, 2), laneOf(648, 11, level), want, false, play.ErrNoCrown},
		"no third crown": {Measured{HeldMM: num.Some(0.1), ActionMM: num.Some(2)}, laneOf(648, 2, level), play.Setup{ActionFret: 2, NutMM: 0.3, ActionMM: 1}, false, play.ErrNoCrown},
	} {
		if _, err := CutOf(c.m, Over{Lane: c.lane}, c.want, c.zero, Usual()); !errors.Is(err, c.err) {
			t.Errorf("%s: %v, want %v", name, err, c.err)
		}
	}
}

// Over a zero fret the saddle alone is worked out: height over the zero fret's crown
// times scale over distance, by hand.
func TestCut_ZeroFret(t *testing.T) {
	l := laneOf(648, 22, level)
	l.Crowns = append([]play.Crown{{Fret: 0, ZMM: 0.05}}, l.Crowns...)
	want := play.Setup{ActionMM: 1.5, ActionFret: 12}
	c, err := CutOf(Measured{ActionMM: num.Some(2)}, Over{Lane: l}, want, true, Usual())
	if err != nil || c.Slot != nil {
		t.Fatal(c, err)
	}
	casetest.Near(t, "saddle is", c.Saddle.IsMM, 0.05+(2-0.05)*2, 1e-9)
	casetest.Near(t, "saddle lower", c.Saddle.TakeMM, 1, 1e-9)
}
