package gauge

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/straight"
)

// JCGM 106:2012, table 1: one-sided z.
func TestNewDecisionRule_GuardBand(t *testing.T) {
	s := NewDecisionRule(0, 1, 100, 1)
	casetest.Near(t, "guard band at 95 %", s.OffBeyond-50, 1.64, 0.006)
	for p, z := range map[float64]float64{.8: .84, .9: 1.28, .95: 1.64, .99: 2.33, .999: 3.09} {
		casetest.Near(t, "z", distuv.UnitNormal.Quantile(p), z, .006)
	}
}

// JCGM 106:2012, clause 7: the breakdown voltage of a Zener diode against one
// limit, the kinematic viscosity of an oil between two.
func TestConformanceProbability_JCGM106(t *testing.T) {
	const far = 1e6
	level, _, _ := straight.ConformanceProbability(5.40-(5.47-far/2), .05, far)
	casetest.Near(t, "Zener diode", level, .92, .005)
	level, _, _ = straight.ConformanceProbability(13.6-(12.5+16.3)/2, 1.8, 16.3-12.5)
	casetest.Near(t, "oil", level, .66, .005)
}

// D. Deaver, "Guardbanding with confidence" (1994): global risks where the
// reading's standard uncertainty is a quarter, and half, of the parts' spread.
func TestWrongVerdicts_Deaver(t *testing.T) {
	r := WrongVerdicts(1, .25, 2, 2)
	casetest.Near(t, "passed wrongly", r.PassedWrongly, .008, 5e-4)
	casetest.Near(t, "refused wrongly", r.RefusedWrongly, .015, 1e-3)
	r = WrongVerdicts(1, .5, 2, .91*2) // half the spread, limits drawn in
	casetest.Near(t, "passed wrongly, drawn in", r.PassedWrongly, .008, 5e-4)
	casetest.Near(t, "refused wrongly, drawn in", r.RefusedWrongly, .066, 1e-3)
}

// NCSLI RP-19, draft table (quoted): per cent passed wrongly for the given
// share of parts within, the reading's uncertainty a quarter of the spread.
func TestWrongVerdicts_RP19(t *testing.T) {
	for within, want := range map[float64]float64{
		.6: 4.83860326, .7: 3.92234109, .8: 2.85583037, .9: 1.59995312, .95: .87100925, .99: .19991684,
	} {
		half := distuv.UnitNormal.Quantile(.5 + within/2)
		casetest.Near(t, "passed wrongly, %", 100*WrongVerdicts(1, .25, half, half).PassedWrongly, want, 2e-5)
	}
}

// Numbers as in JCGM 106:2012, 9.5 (from memory); answers by quadrature of an
// independent program.
func TestWrongVerdicts_JCGM106(t *testing.T) {
	const spread, u, half = .12, .04, .2
	for accept, want := range map[float64]Risks{
		half:          {.018942, .037208},
		half - 1.64*u: {.001145, .193562},
		half + 1.64*u: {.061557, .001727},
	} {
		r := WrongVerdicts(spread, u, half, accept)
		casetest.Near(t, "passed wrongly", r.PassedWrongly, want.PassedWrongly, 2e-6)
		casetest.Near(t, "refused wrongly", r.RefusedWrongly, want.RefusedWrongly, 2e-6)
	}
}

// Whatever is passed or refused, rightly or wrongly, adds up.
func TestWrongVerdicts_AddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spread := rapid.Float64Range(.01, 10).Draw(t, "spread")
		u := rapid.Float64Range(.01, 10).Draw(t, "u")
		half := rapid.Float64Range(.01, 10).Draw(t, "half")
		r := WrongVerdicts(spread, u, half, half)
		// Readings are normal with both variances, so that their share within is
		// known: passed = within − refused wrongly + passed wrongly.
		within := 1 - 2*distuv.UnitNormal.Survival(half/spread)
		passed := 1 - 2*distuv.UnitNormal.Survival(half/math.Hypot(spread, u))
		if got := within - r.RefusedWrongly + r.PassedWrongly; math.Abs(got-passed) > 1e-9 {
			t.Errorf("passed %g, want %g", got, passed)
		}
	})
}

// Nothing is level above LargestU; just below it only the middle of the zone
// is; and both bounds of a DecisionRule are where straight's own verdict turns.
func TestNewDecisionRule_AgreesWithVerdicts(t *testing.T) {
	const zone = .03
	casetest.Near(t, "largest u", LargestU(zone), .00765, 5e-6)
	casetest.Near(t, "level within at the sharp u", NewDecisionRule(0, SharpU(zone), zone, 1).LevelWithin.OrNaN(), zone/4, 1e-5)
	if s := NewDecisionRule(0, LargestU(zone)*1.001, zone, 1); s.LevelWithin.Known() {
		t.Errorf("level within %v above the largest u", s.LevelWithin)
	}
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(1e-5, .0076).Draw(t, "u")
		s := NewDecisionRule(0, u, zone, 1)
		within, ever := s.LevelWithin.Get()
		if !ever || within > zone/2 || s.OffBeyond < zone/2 {
			t.Fatalf("u %g: level within %v, off beyond %g", u, s.LevelWithin, s.OffBeyond)
		}
		const hair = 1e-9
		for _, c := range []struct {
			off  float64
			want straight.Verdict
		}{
			{within - hair, straight.Level}, {within + hair, straight.InDoubt},
			{s.OffBeyond - hair, straight.InDoubt}, {s.OffBeyond + hair, straight.High},
		} {
			if got := straight.CrownVerdict(math.Max(0, c.off), u, zone); got != c.want && c.off > 0 {
				t.Errorf("u %g: %g is %s, want %s", u, c.off, got, c.want)
			}
		}
	})
}

func TestPasses(t *testing.T) {
	for _, c := range []struct {
		fixed, free, u float64
		want           int
	}{
		{0, 4, 4, 1}, {0, 4, 2, 4}, {0, 4, 1.99, 5}, {3, 4, 5, 1}, {3, 4, 4, 3}, {3, 4, 3, 0}, {3, 4, 2, 0}, {0, 0, 1, 1}, {2, 0, 1, 0}, {1, 0, 1, 1},
	} {
		if got := Passes(c.fixed, c.free, c.u); got != c.want {
			t.Errorf("Passes(%g, %g, %g) = %d, want %d", c.fixed, c.free, c.u, got, c.want)
		}
		if c.want > 0 && NewDecisionRule(c.fixed, c.free, 1, c.want).U > c.u*(1+1e-9) {
			t.Errorf("%d passes leave more than %g", c.want, c.u)
		}
	}
}
