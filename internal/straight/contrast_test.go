package straight

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"

	"gonum.org/v1/gonum/mat"
)

// On lanes whose true zone is the limit, read by leaves with an unsure hand,
// `level` and `not level` are each said in at most 5 % of lanes; on lanes far
// within and far beyond it they are said.
func TestContrasts_AtTheLimit(t *testing.T) {
	const limit = 0.03
	for _, c := range []struct {
		u, zone         float64
		maxLevel, maxNo int // of 100
		minSaid         int
	}{{0.001, 1, 6, 6, 0}, {0.003, 1, 6, 6, 0}, {0.001, 0.85, 100, 0, 60}, {0.001, 1.3, 0, 100, 90}, {0.003, 0.5, 100, 0, 60}, {0.003, 1.8, 0, 100, 90}} {
		said := map[Verdict]int{}
		const lanes = 300
		for seed := range uint64(lanes) {
			r := rand.New(rand.NewPCG(seed, 6))
			var x, z []float64
			for i := range 22 {
				x = append(x, 640*(1-math.Exp2(-float64(i+1)/12)))
				z = append(z, 0.004*r.NormFloat64())
			}
			z[3+r.IntN(5)] += 0.03 // so that most of the doubt is one crown's
			zone := mustZone(t, x, z)
			for i := range z {
				z[i] *= c.zone * limit / zone.WidthMM
			}
			b := Brackets{X: x, Rests: true}
			for _, g := range laid(x, z, (x[0]+x[21])/2) {
				const step = 0.0001 // leaves so fine that all the doubt is the hand's
				lo := math.Max(0, math.Floor((g+c.u*r.NormFloat64())/step)*step)
				b.Lo, b.Hi, b.U = append(b.Lo, lo), append(b.Hi, lo+step), append(b.U, c.u)
			}
			said[mustRange(t, b).Verdict(limit)]++
		}
		t.Logf("u %g, zone %g of the limit: %v", c.u, c.zone, said)
		if said[Level] > lanes*c.maxLevel/100 || said[NotLevel] > lanes*c.maxNo/100 || lanes-said[InDoubt] < lanes*c.minSaid/100 {
			t.Errorf("u %g, zone %g of the limit: of %d lanes %v", c.u, c.zone, lanes, said)
		}
	}
}

// Beside brackets of thick leaves an estimate with little noise decides, and
// beside a poor estimate the brackets do.
func TestContrasts_EstimateBeside(t *testing.T) {
	x := []float64{0, 10, 25, 45, 70, 100}
	hollow := box(40, 0, 0, 0, 0, 0, 0)
	say := func(z []float64, u float64) Range {
		c, err := NewContrasts(x)
		if err != nil {
			t.Fatal(err)
		}
		cov := mat.NewSymDense(6, nil)
		for i := range 6 {
			cov.SetSym(i, i, u*u)
		}
		if err := c.AddBrackets(hollow, everyCrown(6)); err != nil {
			t.Fatal(err)
		}
		if err := c.AddEstimates(Estimate{Z: z, Cov: cov}); err != nil {
			t.Fatal(err)
		}
		return c.Range()
	}
	flat := []float64{0, 1, 0, 1, 0, 1}
	if r := say(flat, 2); r.Verdict(30) != Level || r.LargestMM > 2+1.96*2*math.Sqrt2 {
		t.Errorf("a good estimate: %v", r)
	}
	if r := say(flat, 30); r.Verdict(30) != InDoubt || math.Abs(r.LargestMM-40) > 1e-9 {
		t.Errorf("a poor estimate: %v", r)
	}
	if r := say([]float64{0, 0, 38, 0, 0, 0}, 1); r.Verdict(30) != NotLevel {
		t.Errorf("one high by a good estimate: %v", r)
	}
	// They contradict each other: nothing is sure but that it is not level.
	if r := say([]float64{0, 0, 90, 0, 0, 0}, 1); r.Verdict(30) == Level || r.LargestMM < 85 {
		t.Errorf("against the brackets: %v", r)
	}
}

// An estimate that took brackets for readings moves with them: what they may
// all be wrong by together is set against it, and not their variance.
func TestContrasts_Reach(t *testing.T) {
	x := []float64{0, 50, 100}
	// Crown 2 follows two brackets of half width 6 by a half and a quarter.
	reach := mat.NewDense(3, 2, []float64{0, 0, 0.5, 0.25, 0, 0})
	own := 1.0
	cov := mat.NewSymDense(3, []float64{0, 0, 0, 0, own + 36.0/3*(0.25+0.0625), 0, 0, 0, 0})
	c, err := NewContrasts(x)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.AddEstimates(Estimate{Z: []float64{0, 10, 0}, Cov: cov, Reach: reach, Half: []float64{6, 6}}); err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "largest", c.Range().LargestMM, 10+4.5+1.645*own, 1e-3)
	casetest.Near(t, "least", c.Range().LeastMM, 10-4.5-1.96*own, 0.1) // of one contrast, by 300 draws
}

// A rocker over three crowns holds these alone.
func TestContrasts_Rocker(t *testing.T) {
	x := []float64{0, 10, 25, 45, 70, 100}
	c, err := NewContrasts(x)
	if err != nil {
		t.Fatal(err)
	}
	c.AddThree(1, 2, 3, 40, 50, 1)
	c.AddThree(1, 2, 3, 30, math.Inf(1), 1)
	c.AddThree(2, 3, 4, math.Inf(-1), 0, 1)
	r := c.Range()
	casetest.Near(t, "least", r.LeastMM, 40-2.3940, 1e-3) // Φ⁻¹(1 − 0.05/6)
	if !math.IsInf(r.LargestMM, 1) || r.Verdict(30) != NotLevel {
		t.Errorf("three crowns out of six: %v", r)
	}
	if err := c.AddBrackets(box(90, 0, 0, 0, 0, 0, 0), everyCrown(6)); err != nil {
		t.Fatal(err)
	}
	if r := c.Range(); math.Abs(r.LargestMM-90) > 1e-9 {
		t.Errorf("with wide brackets: %v", r)
	}
}

// The place of three crowns agrees with the order in which they are walked.
func TestTriples(t *testing.T) {
	for n := 3; n < 12; n++ {
		count := 0
		eachThree(make([]float64, n), func(at, i, k, j int, _ float64) {
			if tripleAt(n, i, k, j) != at {
				t.Fatalf("%d of %d %d %d: %d, want %d", n, i, k, j, tripleAt(n, i, k, j), at)
			}
			count++
		})
		if count != triples(n) {
			t.Errorf("%d crowns: %d triples, want %d", n, count, triples(n))
		}
	}
}

func BenchmarkContrasts_36(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 7))
	var x, lo, hi, u []float64
	for i := range 36 {
		x = append(x, 640*(1-math.Exp2(-float64(i+1)/12)))
		lo, u = append(lo, 0), append(u, 0.003)
		hi = append(hi, 0.01+0.01*r.Float64())
	}
	pass := Brackets{X: x, Lo: lo, Hi: hi, U: u, Rests: true}
	for b.Loop() {
		mustRange(b, pass)
	}
}
