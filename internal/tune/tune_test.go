package tune

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// Cases I1 to I7. Their figures were worked out beforehand in another language
// from the model alone: I1, I2, I4 and I7 are plain geometry and Hooke's law; I3
// and I5 add the end series of Morse and Fletcher, JASA 36 (1964) 203, in the
// mixed form of Anderson & Beausoleil, JASA 156 (2024) 683 (abstract), whose aim,
// least squares of saddle and nut, is that of I6.

// lane is the 648 mm lane of cases I1 to I7 in equal temperament.
func lane(t testing.TB, pitch string, gauge float64, nut, saddle float64, ends stringset.Ends, last int) Lane {
	t.Helper()
	s, err := stringset.Tune(neck.String{Pitch: pitch, Gauge: gauge}, 648, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	l := Lane{String: s, Ends: ends, NutMM: nut, SaddleMM: saddle}
	for n := 1; n <= last; n++ {
		p := math.Exp2(float64(n) / 12)
		l.Frets = append(l.Frets, Fret{Number: n, XMM: 648 * (1 - 1/p), Ratio: p})
	}
	return l
}

// soft takes the stiffness away: the string only stretches.
func soft(l Lane) Lane {
	l.String.StiffnessNMM2 = 0
	return l
}

func e4(t testing.TB, ends stringset.Ends) Lane { return lane(t, "E4", 0.254, 0.5, 2.7, ends, 19) }
func g3(t testing.TB, ends stringset.Ends) Lane { return lane(t, "G3", 0.432, 0.5, 2.9, ends, 19) }

// at picks frets 1, 5, 12 and 19.
func at(cents []float64) [4]float64 { return [4]float64{cents[0], cents[4], cents[11], cents[18]} }

func allNear(t *testing.T, what string, got, want [4]float64, tol float64) {
	t.Helper()
	for i := range got {
		casetest.Near(t, what, got[i], want[i], tol)
	}
}

// TestCents_I1 moves the saddle of an ideal string back 2 mm: lengths alone.
func TestCents_I1(t *testing.T) {
	l := soft(lane(t, "E4", 0.254, 0, 0, stringset.Pinned, 19))
	allNear(t, "I1", at(l.Cents(Setback{SaddleMM: 2})), [4]float64{-0.31672, -1.78273, -5.31870, -10.60318}, 1e-5)
}

// TestCents_I2 is stretch by fretting only, with its tension and its stretch.
func TestCents_I2(t *testing.T) {
	l := soft(e4(t, stringset.Pinned))
	allNear(t, "I2", at(l.Cents(Setback{})), [4]float64{1.0634, 0.8421, 1.4431, 2.4080}, 1e-4)
	o := l.openString(Setback{})
	if math.Abs(o.tensionN-72.5920) > 1e-4 {
		t.Errorf("open tension %.5f N, want 72.5920", o.tensionN)
	}
	f := l.Frets[11]
	stretch := l.behind(Setback{}, f) + math.Hypot(648-f.XMM, 2.7) - o.lengthMM
	if math.Abs(stretch-7.901e-3) > 5e-7 {
		t.Errorf("stretch at fret 12 %.7f mm, want 7.901 um", stretch)
	}
	longer := math.Hypot(648-f.XMM, 2.7) - (648 - f.XMM)
	first := 600/math.Ln2*(l.String.AxialStiffnessN()/o.tensionN+1)*stretch/648 - 1200/math.Ln2*longer/(648-f.XMM)
	if math.Abs(first-1.424) > 5e-4 {
		t.Errorf("first order %.4f cents, want 1.424", first)
	}
}

// TestCents_I3 adds the stiffness, one end clamped and both.
func TestCents_I3(t *testing.T) {
	allNear(t, "I3 mixed", at(e4(t, stringset.Mixed).Cents(Setback{})), [4]float64{1.1854, 1.5245, 3.4876, 6.5117}, 1e-4)
	allNear(t, "I3 clamped", at(e4(t, stringset.Clamped).Cents(Setback{})), [4]float64{1.3066, 2.2014, 5.5093, 10.5518}, 1e-4)
}

// TestCents_I4 is a heavy plain string, stretch only and one end clamped.
func TestCents_I4(t *testing.T) {
	allNear(t, "I4 stretch", at(soft(g3(t, stringset.Pinned)).Cents(Setback{})), [4]float64{3.0974, 2.6205, 4.6582, 7.9243}, 1e-4)
	allNear(t, "I4 mixed", at(g3(t, stringset.Mixed).Cents(Setback{})), [4]float64{3.4616, 4.6330, 10.7181, 20.1941}, 1e-4)
}

// TestSaddleSetback_I5 makes fret 12 exact by the saddle alone.
func TestSaddleSetback_I5(t *testing.T) {
	for _, c := range []struct {
		name  string
		l     Lane
		want  float64
		cents [4]float64
	}{
		{"E4", e4(t, stringset.Mixed), 1.2973, [4]float64{0.972, 0.355, 0, -0.453}},
		{"G3", g3(t, stringset.Mixed), 3.9353, [4]float64{2.769, 1.027, 0, -1.230}},
	} {
		mm, err := c.l.SaddleSetback(12)
		if err != nil || math.Abs(mm-c.want) > 1e-3 {
			t.Errorf("%s: %.5f mm, %v; want %.4f", c.name, mm, err, c.want)
		}
		allNear(t, "I5 "+c.name, at(c.l.Cents(Setback{SaddleMM: mm})), c.cents, 1e-3)
	}
}

// TestLeastSquares_I6 places saddle and nut together over frets 1 to 19.
func TestLeastSquares_I6(t *testing.T) {
	for _, c := range []struct {
		name                   string
		l                      Lane
		saddle, nut, rms, most float64
	}{
		{"E4", e4(t, stringset.Mixed), 1.0814, -0.2337, 0.106, 0.388},
		{"G3", g3(t, stringset.Mixed), 3.3322, -0.6703, 0.311, 1.127},
	} {
		b, err := c.l.LeastSquares(true)
		if err != nil || math.Abs(b.SaddleMM-c.saddle) > 2e-3 || math.Abs(b.NutMM-c.nut) > 2e-3 ||
			math.Abs(b.RMSCents-c.rms) > 1e-3 || math.Abs(b.MaxCents-c.most) > 2e-3 {
			t.Errorf("%s: %+v, %v; want %g, %g, rms %g, max %g", c.name, b, err, c.saddle, c.nut, c.rms, c.most)
		}
		// No place near it leaves less.
		for _, d := range []Setback{{0.01, 0}, {-0.01, 0}, {0, 0.01}, {0, -0.01}} {
			if w := c.l.At(Setback{b.SaddleMM + d.SaddleMM, b.NutMM + d.NutMM}); !(w.RMSCents > b.RMSCents) {
				t.Errorf("%s: %+v leaves %g, less than %g", c.name, d, w.RMSCents, b.RMSCents)
			}
		}
	}
}

// TestCents_I7 presses 0.8 mm below the crowns, 8 mm behind the fret.
func TestCents_I7(t *testing.T) {
	l := soft(e4(t, stringset.Pinned))
	l.Finger = Finger{0.8, 8}
	allNear(t, "I7", at(l.Cents(Setback{})), [4]float64{13.4884, 9.2299, 9.3740, 10.2204}, 1e-4)
}

// TestCents_lift: raising nut, saddle and crowns together changes nothing, and
// a neck in inches sounds as in millimetres.
func TestCents_lift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, err := stringset.Tune(neck.String{Pitch: "B3", Gauge: 0.33}, 640, 440)
		if err != nil {
			t.Fatal(err)
		}
		l := Lane{String: s, Ends: stringset.Mixed, NutMM: rapid.Float64Range(0.2, 1).Draw(t, "nut"), SaddleMM: rapid.Float64Range(1, 5).Draw(t, "saddle")}
		lift := rapid.Float64Range(-3, 3).Draw(t, "lift")
		up := l
		up.NutMM, up.SaddleMM = l.NutMM+lift, l.SaddleMM+lift
		for n := 1; n <= 22; n++ {
			p := math.Exp2(float64(n) / 12)
			z := rapid.Float64Range(-0.2, 0.05).Draw(t, "z")
			l.Frets = append(l.Frets, Fret{n, 640 * (1 - 1/p), z, p})
			up.Frets = append(up.Frets, Fret{n, 640 * (1 - 1/p), z + lift, p})
		}
		a, b := l.Cents(Setback{}), up.Cents(Setback{})
		for i := range a {
			if math.Abs(a[i]-b[i]) > 1e-6 {
				t.Fatalf("fret %d: %g and lifted %g", i+1, a[i], b[i])
			}
		}
		mm, err := l.SaddleSetback(12)
		if err != nil {
			t.Fatal(err)
		}
		if c := l.Cents(Setback{SaddleMM: mm})[11]; math.Abs(c) > 1e-6 {
			t.Fatalf("fret 12 is %g cents off at its own setback", c)
		}
	})
}

func TestSetback_refuses(t *testing.T) {
	l := e4(t, stringset.Mixed)
	if _, err := l.SaddleSetback(30); !errors.Is(err, ErrNoFret) {
		t.Errorf("fret 30: %v", err)
	}
	l.Frets = l.Frets[:1]
	if _, err := l.LeastSquares(true); !errors.Is(err, ErrNoSetback) {
		t.Errorf("two places from one fret: %v", err)
	}
	l.Frets[0].Ratio = 3 // nothing within reach sounds that
	if mm, err := l.SaddleSetback(1); !errors.Is(err, ErrNoSetback) {
		t.Errorf("%g, %v", mm, err)
	}
}

func BenchmarkSaddleSetback(b *testing.B) {
	l := e4(b, stringset.Mixed)
	for b.Loop() {
		if _, err := l.SaddleSetback(12); err != nil {
			b.Fatal(err)
		}
	}
}
