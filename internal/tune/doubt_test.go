package tune

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// TestSaddleRange_OneAtATime: the range holds the saddle of the inputs as they
// are, is that of the modulus alone where nothing was taken by rule, and grows
// with each thing that was.
func TestSaddleRange_OneAtATime(t *testing.T) {
	l := g3(t, stringset.Mixed)
	mid, err := l.SaddleSetback(12)
	if err != nil {
		t.Fatal(err)
	}
	span := func(core, stiff bool) float64 {
		t.Helper()
		low, high, err := l.SaddleRange(12, core, stiff)
		if err != nil || !(low < mid && mid < high) {
			t.Fatalf("core %t, stiffness %t: %v to %v about %v, %v", core, stiff, low, high, mid, err)
		}
		return high - low
	}
	plain, stiff, core, both := span(false, false), span(false, true), span(true, false), span(true, true)
	if !(plain < stiff && plain < core && stiff < both && core < both) {
		t.Errorf("widths %v; with stiffness %v, core %v, both %v", plain, stiff, core, both)
	}
	// E·A enters by the stretch alone: the ends are the saddles of a string that
	// much thicker.
	low, high, _ := l.SaddleRange(12, false, false)
	for _, c := range []struct{ modulus, want float64 }{{0.95, low}, {1.05, high}} {
		x := l
		x.String.CoreMM *= math.Sqrt(c.modulus)
		if mm, err := x.SaddleSetback(12); err != nil || math.Abs(mm-c.want) > 1e-9 {
			t.Errorf("E × %v: %v, %v; want %v", c.modulus, mm, err, c.want)
		}
	}
	if _, _, err := l.SaddleRange(30, true, true); !errors.Is(err, ErrNoFret) {
		t.Errorf("fret 30: %v", err)
	}
}

// TestLeastSquares_SaddleAlone: no place of the saddle near it leaves less, it
// leaves more than saddle and nut together, and the nut stays.
func TestLeastSquares_SaddleAlone(t *testing.T) {
	l := g3(t, stringset.Mixed)
	b, err := l.LeastSquares(false)
	if err != nil || b.NutMM != 0 {
		t.Fatalf("%+v, %v", b, err)
	}
	for _, d := range []float64{0.01, -0.01} {
		if w := l.At(Setback{SaddleMM: b.SaddleMM + d}); !(w.RMSCents > b.RMSCents) {
			t.Errorf("saddle at %v leaves %v, less than %v", w.SaddleMM, w.RMSCents, b.RMSCents)
		}
	}
	if both, err := l.LeastSquares(true); err != nil || !(both.RMSCents < b.RMSCents) {
		t.Errorf("with the nut %v, %v; alone %v", both.RMSCents, err, b.RMSCents)
	}
	l.Frets = l.Frets[:1] // one fret: exact
	if one, err := l.LeastSquares(false); err != nil || one.MaxCents > 1e-6 {
		t.Errorf("one fret: %+v, %v", one, err)
	}
}

// TestLeastSquares_Refuses: frets that nothing within reach puts in tune, and
// two frets in one place, which cannot tell saddle from nut.
func TestLeastSquares_Refuses(t *testing.T) {
	l := g3(t, stringset.Mixed)
	for i := range l.Frets {
		l.Frets[i].Ratio *= 3
	}
	if b, err := l.LeastSquares(false); !errors.Is(err, ErrNoSetback) {
		t.Errorf("two octaves off: %+v, %v", b, err)
	}
	l = g3(t, stringset.Mixed)
	l.Frets = []Fret{l.Frets[4], l.Frets[4]}
	if b, err := l.LeastSquares(true); !errors.Is(err, ErrNoSetback) {
		t.Errorf("one place twice: %+v, %v", b, err)
	}
}

// TestOfNeck_ByGap: a nut given by the gap over fret 1 puts the nut where the
// open string leaves that gap.
func TestOfNeck_ByGap(t *testing.T) {
	m, l := ofNeck(t, strings.Replace(plain, `nut = "0.5 mm"`, `nut_gap = "0.1 mm"`, 1))
	lane, err := OfNeck(m, l, 1, 440)
	if err != nil {
		t.Fatal(err)
	}
	if m.Setup.NutGap == nil {
		t.Fatal("the neck file's gap was not read")
	}
	first := lane.Frets[0]
	over := lane.NutMM + (lane.SaddleMM-lane.NutMM)*first.XMM/648 - first.ZMM
	if math.Abs(over-0.1) > 1e-9 {
		t.Errorf("the open string clears fret 1 by %v mm, want 0.1", over)
	}
}

// TestOfNeck_Faults name the string, and keep the cause.
func TestOfNeck_Faults(t *testing.T) {
	m, l := ofNeck(t, plain)
	m.Strings.Set[1].Gauge = 0
	if _, err := OfNeck(m, l, 2, 440); err == nil || !strings.Contains(err.Error(), "string 2: ") {
		t.Errorf("no gauge: %v", err)
	}
	if _, err := Over(play.Lane{String: 1, ScaleMM: 648}, play.Setup{ActionMM: 1.6, ActionFret: 12}, stringset.String{}, 12); err == nil {
		t.Error("no crowns, and no fault")
	}
}
