package wood

import (
	"errors"
	"math"
	"testing"

	"ringtrue/internal/material"
)

func heron(t testing.TB, woodName string) Case {
	t.Helper()
	w, err := material.FindWood(woodName)
	if err != nil {
		t.Fatal(err)
	}
	n, err := material.FindWood("maple")
	if err != nil {
		t.Fatal(err)
	}
	return Case{
		Board: w, Neck: &n, MoisturePct: 7, WidthMM: 56.5, ThicknessMM: 6, NeckMM: 15, LengthMM: 460.4,
		Air: Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65}, Limits: Limits{ProudMM: 0.1, BowMM: 0.2},
	}
}

// TestLook_heron: an ebony board slotted at 7 % and kept in air of 25 to 65 %,
// put together by hand from the published equations.
func TestLook_heron(t *testing.T) {
	c := heron(t, "ebony")
	o, err := Look(c)
	if err != nil {
		t.Fatal(err)
	}
	if !o.Ready || o.Days != (Span{}) || math.Abs(o.MoisturePct-7.7) > 0.01 {
		t.Errorf("moisture %g, ready %v, days %v", o.MoisturePct, o.Ready, o.Days)
	}
	dry := 56.5 * (o.DriestPct - 7) / (3000/10.83 - 23)
	if math.Abs(o.Drier.Likely-dry) > 1e-9 || math.Abs(o.Proud.Likely+dry/2) > 1e-9 || math.Abs(o.Drier.Likely+0.364) > 0.001 {
		t.Errorf("drier %v, proud %v; want %.4f and half of it", o.Drier, o.Proud, dry)
	}
	if math.Abs(o.Damper.Likely-1.104) > 0.001 {
		t.Errorf("damper %v", o.Damper)
	}
	// At the window's edges the worst of fret ends and bow stands at its limit.
	m, err := Equilibrium(21, o.Window.Low)
	if err != nil {
		t.Fatal(err)
	}
	worst := math.Max(proud(c.width(m)).High/c.ProudMM, math.Max(c.bow(m).High, -c.bow(m).Low)/c.BowMM)
	if math.Abs(worst-1) > 1e-6 || o.Window.Low < 25 || o.Window.Low > 40 {
		t.Errorf("window from %g %%: worst %g of the limit", o.Window.Low, worst)
	}
	if !o.Bows || !(o.BowDry.High > 0 && o.BowDry.Low < 0) {
		t.Errorf("bow %v", o.BowDry)
	}
}

func TestLook_notReady(t *testing.T) {
	c := heron(t, "rosewood")
	c.MoisturePct = 11
	o, err := Look(c)
	if err != nil {
		t.Fatal(err)
	}
	if o.Ready || !(o.Days.Low > 0 && o.Days.Low < o.Days.Likely && o.Days.Likely < o.Days.High) {
		t.Errorf("ready %v, days %v", o.Ready, o.Days)
	}
	// After that many days the mean is one point from the air's.
	d, err := c.Drying([]float64{o.Days.Likely})
	if err != nil || math.Abs(d[0].LikelyPct-o.MoisturePct-1) > 1e-6 {
		t.Errorf("after %g days %v, %v; want %g", o.Days.Likely, d, err, o.MoisturePct+1)
	}
	if !(o.Drier.Low < o.Drier.Likely) || !(o.Proud.High > o.Proud.Likely) {
		t.Errorf("two rosewoods give one figure: %v", o.Drier)
	}
	c.OneFace = true
	slow, err := Look(c)
	if err != nil || math.Abs(slow.Days.Likely/o.Days.Likely-4) > 1e-6 {
		t.Errorf("one face: %v days after %v, %v; want four times", slow.Days, o.Days, err)
	}
}

// TestYear: the air's curve reaches the season's ends, wood that lags swings
// less, and the year closes on itself.
func TestYear(t *testing.T) {
	c := heron(t, "ebony")
	o, err := Look(c)
	if err != nil {
		t.Fatal(err)
	}
	weeks, err := c.Year()
	if err != nil || len(weeks) != 53 {
		t.Fatalf("%d weeks, %v", len(weeks), err)
	}
	swing := func(of func(Week) float64) (lo, hi float64) {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, w := range weeks {
			lo, hi = math.Min(lo, of(w)), math.Max(hi, of(w))
		}
		return lo, hi
	}
	lo, hi := swing(func(w Week) float64 { return w.Air })
	if math.Abs(lo-o.Drier.Likely) > 1e-9 || math.Abs(hi-o.Damper.Likely) > 1e-9 {
		t.Errorf("the air's year runs from %g to %g, want %g to %g", lo, hi, o.Drier.Likely, o.Damper.Likely)
	}
	l2, h2 := swing(func(w Week) float64 { return w.Likely })
	l3, h3 := swing(func(w Week) float64 { return w.Slowest })
	if !(h2-l2 < hi-lo && h3-l3 < h2-l2) {
		t.Errorf("swings %g, %g, %g do not fall with the lag", hi-lo, h2-l2, h3-l3)
	}
	if a, b := weeks[0].Slowest, weeks[52].Slowest; math.Abs(a-b) > 0.01 {
		t.Errorf("the year does not close: %g and %g", a, b)
	}
}

func TestSlab_refuses(t *testing.T) {
	for _, s := range []struct {
		slab Slab
		f    float64
	}{{Slab{}, 0.5}, {Slab{ThicknessMM: 6}, 1}, {Slab{ThicknessMM: math.NaN()}, 0.5}, {Slab{ThicknessMM: 6}, math.NaN()}} {
		if d, err := s.slab.Days(s.f); !errors.Is(err, ErrSlab) {
			t.Errorf("%+v: %v, %v", s, d, err)
		}
	}
}

func BenchmarkLook(b *testing.B) {
	c := heron(b, "ebony")
	for b.Loop() {
		if _, err := Look(c); err != nil {
			b.Fatal(err)
		}
	}
}
