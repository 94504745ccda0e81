package wood

import (
	"math"
	"testing"

	"ringtrue/internal/material"
)

// Cut quarter-sawn, wood moves by its radial shrinkage, which is the lesser one
// in every species of the handbook's tables; and a span holds its own middle.
func TestBoardChange_QuarterMovesLess(t *testing.T) {
	seen := 0
	for _, s := range material.AllSpecies() {
		w := material.Wood{Species: s}
		if !(s.RadialPct > 0) || !(s.TangentialPct > 0) {
			continue
		}
		seen++
		quarter, flat := BoardChange(w, true, 56.5, 8, 12), BoardChange(w, false, 56.5, 8, 12)
		if want := Change(56.5, s.RadialPct, s.SaturationPct, 8, 12); quarter.Likely != want {
			t.Errorf("%s: %g mm quarter-sawn, want %g by the radial shrinkage", s.Name, quarter.Likely, want)
		}
		if !(quarter.Likely < flat.Likely) {
			t.Errorf("%s: %g mm quarter-sawn, %g flat-sawn", s.Name, quarter.Likely, flat.Likely)
		}
		for _, span := range []Span{quarter, flat} {
			if !(span.Low <= span.Likely && span.Likely <= span.High) || span.Low <= 0 {
				t.Errorf("%s: %+v", s.Name, span)
			}
		}
	}
	if seen < 20 {
		t.Fatalf("only %d species", seen)
	}
}

// A surface that holds moisture back slows the slab; one that hardly does, a
// large Biot number, dries like one whose faces follow the air at once.
func TestSlab_SurfaceSlowsIt(t *testing.T) {
	free := Slab{ThicknessMM: 6}
	bare, err := free.Days(0.9)
	if err != nil {
		t.Fatal(err)
	}
	last := math.Inf(1)
	for _, biot := range []float64{0.1, 1, 10, 1000} {
		s := Slab{ThicknessMM: 6, Biot: biot}
		d, err := s.Days(0.9)
		if err != nil {
			t.Fatalf("Biot %g: %v", biot, err)
		}
		if !(d.Likely < last) || d.Likely < bare.Likely*(1-1e-9) {
			t.Errorf("Biot %g: %g days, bare %g, before %g", biot, d.Likely, bare.Likely, last)
		}
		if f := s.Fraction(d.Likely, LikelyM2S()); math.Abs(f-0.9) > 1e-9 {
			t.Errorf("Biot %g: after its days the fraction is %g", biot, f)
		}
		last = d.Likely
	}
	if last > bare.Likely*1.01 {
		t.Errorf("Biot 1000: %g days, bare %g", last, bare.Likely)
	}
}
