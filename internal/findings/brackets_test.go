package findings

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
)

// feel lays an edge along every lane, held up by its crowns, and feels the gaps
// with leaves in steps, the first of them being thin.
func (b *bench) feel(thin, step, u float64) {
	for lane := 1.0; lane <= 6; lane++ {
		var x, z []float64
		for f := 1; f <= 22; f++ {
			x, z = append(x, b.l.LaneX(f, lane)), append(z, b.z[f][lane])
		}
		middle, best, base, slope := (x[0]+x[21])/2, math.Inf(-1), 0.0, 0.0
		for i := range x {
			for j := range x {
				if s := (z[j] - z[i]) / (x[j] - x[i]); x[i] <= middle && x[j] > middle && z[i]+s*(middle-x[i]) > best {
					best, base, slope = z[i]+s*(middle-x[i]), z[i]-s*x[i], s
				}
			}
		}
		for i := range x {
			gap := math.Max(0, base+slope*x[i]-z[i]+u*b.rnd.NormFloat64())
			r := reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{i + 1}, U: u, UGiven: true}
			no := thin
			if gap >= thin {
				r.Value = thin + step*math.Floor((gap-thin)/step)
				no = r.Value + step
			}
			r.NoGo = &no
			b.out = append(b.out, r)
		}
	}
}

// TestJudge_Hollow: a neck so hollow that it is beyond the limit, but no leaf
// enters, is in doubt in every lane; a leaf is named that would settle it, no
// fret is blamed and nothing is called level.
func TestJudge_Hollow(t *testing.T) {
	for _, leaf := range []float64{0.03, 0.04, 0.05, 0.06} {
		b := newBench(t, 31)
		for f := 1; f <= 22; f++ {
			p := float64(f-1) / 21
			b.raise(f, func(float64) float64 { return -4 * p * (1 - p) * (leaf - 0.001) })
		}
		b.feel(leaf, 0.01, 1e-4)
		n := b.judge()
		if n.Verdict != straight.InDoubt || len(n.Lanes) != 6 {
			t.Fatalf("leaf %g: %s, %d lanes", leaf, n.Verdict, len(n.Lanes))
		}
		for _, l := range n.Lanes {
			r := l.Brackets.Range
			if l.Verdict != straight.InDoubt || r.LeastMM > 0 || r.LargestMM < leaf-1e-9 {
				t.Errorf("leaf %g, lane %g: %s, %v", leaf, l.Lane.Lane, l.Verdict, r)
			}
			if l.Judged.Zone.WidthMM != r.MiddleMM() || math.Abs(leaf-0.001-l.Judged.Zone.WidthMM) > 2*l.Judged.UZoneMM {
				t.Errorf("leaf %g, lane %g: zone %v ± %v", leaf, l.Lane.Lane, l.Judged.Zone.WidthMM, l.Judged.UZoneMM)
			}
			for i, v := range l.Crown {
				if v == straight.High || v == straight.Low {
					t.Errorf("leaf %g, lane %g, fret %d: %s", leaf, l.Lane.Lane, l.Frets[i], v)
				}
			}
		}
		if found := n.Frets(); len(found) > 0 {
			t.Errorf("leaf %g: %+v", leaf, found)
		}
		next := n.Next(b.out, readplan.Usual())
		if len(next) == 0 || len(next) > maxChoices {
			t.Fatalf("leaf %g: %+v", leaf, next)
		}
		if x := next[0]; x.Method != string(reading.Edge) || len(x.Lanes) != 6 || len(x.Frets) != 22 || !(x.Minutes > 0) ||
			x.For != OtherLeaf || x.LargestMM <= x.LeastMM || math.Abs(x.LeafMM-0.02) > 1e-9 {
			t.Errorf("leaf %g: %+v", leaf, x)
		}
		for _, x := range next[1:] {
			if x.Method == string(reading.Edge) {
				t.Errorf("leaf %g: the same leaves again: %+v", leaf, x)
			}
		}
	}
}

// TestJudge_Leaves: fine leaves call a good neck level and find its faults; what
// brackets may hide is in every crown's uncertainty, and the joint covariance agrees.
func TestJudge_Leaves(t *testing.T) {
	b := newBench(t, 32)
	for f := 1; f <= 22; f++ {
		b.raise(f, func(float64) float64 { return 0.003 * b.rnd.NormFloat64() })
	}
	b.feel(0.01, 0.01, 0.001)
	if n := b.judge(); n.Verdict != straight.Level {
		t.Errorf("a good neck: %s, lane 1 %v", n.Verdict, n.Lanes[0].Brackets.Range)
	}
	b.out = nil
	b.raise(7, func(at float64) float64 { return 0.07 * (0.5 - at) })
	b.raise(14, func(float64) float64 { return 0.06 })
	b.feel(0.01, 0.01, 0.001)
	n := b.judge()
	if n.Verdict != straight.NotLevel {
		t.Errorf("with two frets up: %s", n.Verdict)
	}
	var at []int
	for _, f := range n.Frets() {
		at = append(at, f.Fret)
	}
	if !slices.Equal(at, []int{7, 14}) {
		t.Errorf("found %v", at)
	}
	m := len(n.Lanes)
	cov := mat.NewSymDense(m, nil)
	for a := range m {
		for c := a; c < m; c++ {
			cov.SetSym(a, c, n.covBetween(a, 10, c, 10))
			if other := n.covBetween(a, 10, c, 11); math.Abs(other-n.Estimate.CovBetween(a, 10, c, 11)) > 1e-15 {
				t.Errorf("lanes %d and %d: frets 11 and 12 share the error of a bracket", a, c)
			}
		}
		if u := n.Lanes[a].U[10]; math.Abs(cov.At(a, a)-u*u) > 1e-12 || math.Abs(n.Lanes[a].Cov.At(10, 10)-u*u) > 1e-12 {
			t.Errorf("lane %d: variance %v, u² %v", a, cov.At(a, a), u*u)
		}
		if e := n.Estimate.Lanes[a].Cov.At(10, 10); cov.At(a, a) < 1.5*e {
			t.Errorf("lane %d: variance %v is little more than that of independent brackets, %v", a, cov.At(a, a), e)
		}
	}
	var c mat.Cholesky
	if !c.Factorize(cov) {
		t.Error("a fret's covariance is none")
	}
}

// TestJudge_LeafSteps: where gaps lie between leaves, finer steps are asked for,
// and where even these do not help, another gauge.
func TestJudge_LeafSteps(t *testing.T) {
	for _, c := range []struct {
		thin, step, u float64
		want          func(x Next) bool
	}{
		{0.02, 0.02, 0.001, func(x Next) bool {
			return x.For == FinerSteps && x.Method == string(reading.Edge) && math.Abs(x.LeafMM-0.01) < 1e-9
		}},
		{0.005, 0.005, 0.012, func(x Next) bool { return x.For == Settle && x.Method != string(reading.Edge) && x.NoLeaf }},
	} {
		b := newBench(t, 33)
		for f := 1; f <= 22; f++ {
			p := float64(f-1) / 21
			b.raise(f, func(float64) float64 { return -4*p*(1-p)*0.018 + 0.001*b.rnd.NormFloat64() })
		}
		b.feel(c.thin, c.step, c.u)
		found := 0
		for _, x := range b.judge().Next(b.out, readplan.Usual()) {
			if c.want(x) && x.Passes == 1 {
				found++
			}
		}
		if found == 0 {
			t.Errorf("steps of %g: %+v", c.step, b.judge().Next(b.out, readplan.Usual()))
		}
	}
}
