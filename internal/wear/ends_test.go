package wear

import (
	"math"
	"testing"
)

// TestEnds_Line: the ends are those of the least-squares line, and the fret has
// tilted only where they differ by more than their noise; a worn lane has no part.
func TestEnds_Line(t *testing.T) {
	a := across{t: []float64{-0.5, -0.3, -0.1, 0.1, 0.3, 0.5}, r: []float64{-0.030, -0.028, -0.026, -0.024, -0.122, -0.020}}
	in := []bool{true, true, true, true, false, true}
	for _, c := range []struct {
		u      float64
		tilted bool
	}{{0.002, true}, {0.006, false}} {
		a.u = []float64{c.u, c.u, c.u, c.u, c.u, c.u}
		e := a.ends(in)
		if math.Abs(e.TrebleMM+0.030) > 1e-12 || math.Abs(e.BassMM+0.020) > 1e-12 || e.Tilted != c.tilted {
			t.Errorf("u %g: %+v", c.u, e)
		}
		// By hand, with t's mean -0.06 and Σ(t-mean)² = 0.592: u² (1/5 + (end-mean)²/0.592).
		if want := c.u * math.Sqrt(0.2+0.1936/0.592); math.Abs(e.UTrebleMM-want) > 1e-12 {
			t.Errorf("u %g: treble %g, want %g", c.u, e.UTrebleMM, want)
		}
		if want := c.u * math.Sqrt(0.2+0.3136/0.592); math.Abs(e.UBassMM-want) > 1e-12 {
			t.Errorf("u %g: bass %g, want %g", c.u, e.UBassMM, want)
		}
	}
	if e := a.ends([]bool{true, true, false, false, false, false}); e != (Ends{}) {
		t.Errorf("two lanes give ends: %+v", e)
	}
}

// TestLeaning_LineOrGrooves: crowns on a slanted line may be an end pressed
// down; grooves of one depth under three strings are none.
func TestLeaning_LineOrGrooves(t *testing.T) {
	a := across{t: []float64{-0.5, -0.3, -0.1, 0.1, 0.3, 0.5}, u: []float64{0.004, 0.004, 0.004, 0.004, 0.004, 0.004}}
	a.r = []float64{-0.057, -0.046, -0.037, -0.025, -0.013, 0.001}
	sound := []bool{false, false, false, true, true, true}
	if e := a.leaning(sound); !e.Tilted || e.TrebleMM > -0.05 || e.BassMM < -0.01 {
		t.Errorf("a line: %+v", e)
	}
	a.r = []float64{-0.020, -0.018, -0.019, 0.002, -0.003, 0.001} // a line would do, grooves do better
	if e := a.leaning(sound); e != (Ends{}) {
		t.Errorf("grooves: %+v", e)
	}
}
