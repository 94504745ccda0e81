package wood

import (
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/material"
)

// TestEnds_coefficients: half of the change in width by a published coefficient
// of 56.5 mm, worked out by hand: flat-sawn ebony (.00389) and Indian rosewood
// (.00201) from 7 % to 5.4 % and to 12 %.
func TestEnds_coefficients(t *testing.T) {
	for _, c := range []struct{ coefficient, to, proud, under float64 }{
		{0.00389, 5.4, 0.18, 0}, {0.00389, 12, 0, 0.55}, {0.00201, 5.4, 0.09, 0}, {0.00201, 12, 0, 0.28},
	} {
		change := at(ChangeLinear(56.5, c.coefficient, 7, c.to))
		casetest.Near(t, "proud", proud(change).Likely, c.proud, 0.005)
		if c.under > 0 {
			casetest.Near(t, "under", change.Likely/2, c.under, 0.006)
		}
	}
}

func ebony(t testing.TB) Case {
	t.Helper()
	w, err := material.FindWood("ebony")
	if err != nil {
		t.Fatal(err)
	}
	return Case{Board: w, MoisturePct: 7, WidthMM: 56.5, FirstWidthMM: 44, ThicknessMM: 6, LengthMM: 450,
		Air: Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65}, Limits: Limits{ProudMM: 0.1, BowMM: 0.2}}
}

// TestEnds_ebony: a board at 7 % whose driest is 25 % humidity asks for the ends
// under flush by 0.18 mm, less where it is narrow; one filed flush in the dampest
// stands proud by both changes together.
func TestEnds_ebony(t *testing.T) {
	c := ebony(t)
	o, err := Look(c)
	if err != nil {
		t.Fatal(err)
	}
	e := o.Ends
	if e.File != UnderFlush || e.Under != o.Proud || e.DriestPct != o.DriestPct {
		t.Errorf("%+v", e)
	}
	casetest.Near(t, "under", e.Under.Likely, 0.18, 0.005)
	casetest.Near(t, "first", e.FirstMM, e.Under.Likely*44/56.5, 1e-12)
	casetest.Near(t, "swing", e.DrySwing.Likely, (o.Damper.Likely-o.Drier.Likely)/2, 1e-9)
	casetest.Near(t, "share", o.EndShare(c), o.Proud.High/56.5, 1e-12)
	for _, dry := range []struct {
		moisture float64
		want     Filing
	}{{o.DriestPct, Flush}, {o.DriestPct + 0.1, Flush}, {o.DriestPct + 0.3, UnderFlush}, {o.DriestPct - 1, Flush}} {
		c.MoisturePct = dry.moisture
		if o, err := Look(c); err != nil || o.Ends.File != dry.want {
			t.Errorf("at %.2f %%: %s by %.3f mm, want %s; %v", dry.moisture, o.Ends.File, o.Ends.Under.High, dry.want, err)
		}
	}
}

// An end filed under flush by Under is flush in the driest, whatever the air.
func TestEnds_flushInTheDriest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, err := material.FindWood(rapid.SampledFrom([]string{"ebony", "maple", "Indian rosewood", "pau ferro"}).Draw(t, "wood"))
		if err != nil {
			t.Fatal(err)
		}
		dry := rapid.Float64Range(10, 60).Draw(t, "dry")
		c := Case{Board: w, MoisturePct: rapid.Float64Range(5, 12).Draw(t, "now"), WidthMM: 56, FirstWidthMM: 44, ThicknessMM: 6, LengthMM: 450,
			Air: Air{TempC: 21, HumidityPct: 40, DriestPct: dry, DampestPct: dry + 30}, Limits: Limits{ProudMM: 0.1, BowMM: 0.2}}
		o, err := Look(c)
		if err != nil {
			t.Fatal(err)
		}
		half := (c.WidthMM + o.Drier.Likely) / 2
		end := c.WidthMM/2 - o.Ends.Under.Likely
		if out := end - half; out > 1e-9 || o.Drier.Likely < 0 && out < -1e-9 {
			t.Fatalf("%g mm proud", out)
		}
		if s := o.Ends.DrySwing; s.Likely < o.Ends.Under.Likely-1e-9 && c.MoisturePct <= o.DampestPct {
			t.Fatalf("from the dampest %g mm, from now %g", s.Likely, o.Ends.Under.Likely)
		}
	})
}
