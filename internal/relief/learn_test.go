package relief

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/casetest"
	"ringtrue/internal/heights"
	"ringtrue/internal/num"
)

// pairOf reads a neck slack and strung: the factor's bend, a line, noise.
func pairOf(n *Neck, factor, u float64, r *rand.Rand) (slack, strung []heights.Lane) {
	for _, number := range []float64{1, 3, 6} {
		a := heights.Lane{Lane: number}
		for f := 1; f <= 22; f++ {
			a.Frets, a.X = append(a.Frets, f), append(a.X, n.Layout.LaneX(f, number))
		}
		b := a
		a.Cov, b.Cov = mat.NewSymDense(22, nil), mat.NewSymDense(22, nil)
		for i := range 22 {
			own := 0.03 * r.NormFloat64()
			a.Z = append(a.Z, own+u*r.NormFloat64())
			b.Z = append(b.Z, own+u*r.NormFloat64()+factor*n.ByStrings(n.Layout.At(i+1, number).X)+0.2-0.001*a.X[i])
			a.Cov.SetSym(i, i, u*u)
			b.Cov.SetSym(i, i, u*u)
		}
		num.Detrend(a.X, a.Z)
		num.Detrend(b.X, b.Z)
		slack, strung = append(slack, a), append(strung, b)
	}
	return slack, strung
}

// TestPairOf_Simulated: the factor comes back within its doubt.
func TestPairOf_Simulated(t *testing.T) {
	base := load(t, electric())
	r := rand.New(rand.NewPCG(412, 1))
	sum, most := 0.0, 0.0
	const necks = 60
	for range necks {
		want := 0.7 + 0.6*r.Float64()
		p, err := base.PairOf(pairOf(base, want, 0.005, r))
		if err != nil {
			t.Fatal(err)
		}
		e := (p.Factor - want) / p.U
		sum, most = sum+e*e, math.Max(most, p.U)
	}
	if rms := math.Sqrt(sum / necks); rms < 0.7 || rms > 1.2 {
		t.Errorf("errors are %.2f of what is stated", rms)
	}
	if most > 0.02 {
		t.Errorf("a factor is uncertain by %.3f", most)
	}
	a, b := pairOf(base, 1, 0.005, r)
	if _, err := base.PairOf(a[:1], b[1:]); err != ErrNoPair {
		t.Errorf("lanes apart: %v", err)
	}
}

// TestLearn_Weights: a sharp pair outweighs the theory, a blunt one does not; each makes
// it surer, and pairs that disagree less so.
func TestLearn_Weights(t *testing.T) {
	none := Learn(nil)
	casetest.Near(t, "the theory's doubt of a neck", none.UNext, 0.2, 1e-12)
	one := Learn([]Pair{{1.3, 0.02}})
	if one.Mean < 1.15 || one.Mean > 1.3 || one.UNext >= none.UNext {
		t.Errorf("a pair of 1.3: %+v", one)
	}
	if blunt := Learn([]Pair{{1.3, 1}}); math.Abs(blunt.Mean-1) > 0.02 {
		t.Errorf("a blunt pair of 1.3: %+v", blunt)
	}
	five := Learn([]Pair{{1.3, 0.02}, {1.28, 0.02}, {1.31, 0.02}, {1.3, 0.02}, {1.29, 0.02}})
	if math.Abs(five.Mean-1.296) > 0.02 || five.UNext >= one.UNext || five.Pairs != 5 {
		t.Errorf("five pairs: %+v", five)
	}
	apart := Learn([]Pair{{1.3, 0.02}, {0.9, 0.02}, {1.5, 0.02}, {1.1, 0.02}, {0.8, 0.02}})
	if apart.UNext < 2*five.UNext {
		t.Errorf("pairs apart: %+v, alike: %+v", apart, five)
	}
	// Of necks that truly scatter by 0.1, the next one's factor lies within 2 u.
	r := rand.New(rand.NewPCG(412, 2))
	within := 0.0
	const draws = 2000
	for range draws {
		var pairs []Pair
		for range 6 {
			pairs = append(pairs, Pair{1.1 + 0.1*r.NormFloat64(), 0.01})
		}
		f := Learn(pairs)
		if math.Abs(1.1+0.1*r.NormFloat64()-f.Mean) < 2*f.UNext {
			within += 1.0 / draws
		}
	}
	if within < 0.9 || within > 0.98 {
		t.Errorf("the next neck's factor lies within 2 u in %.3f of cases", within)
	}
}

// TestOneNeck_Once: a neck read three times is one neck, and no surer than its surest
// reading, nor than its readings agree.
func TestOneNeck_Once(t *testing.T) {
	if got := OneNeck(nil); len(got) != 0 {
		t.Errorf("of no pairs %v", got)
	}
	alike := OneNeck([]Pair{{1.3, 0.02}, {1.3, 0.04}, {1.3, 0.02}})
	if len(alike) != 1 {
		t.Fatalf("three readings of one neck are %v", alike)
	}
	casetest.Near(t, "the factor", alike[0].Factor, 1.3, 1e-12)
	casetest.Near(t, "its doubt", alike[0].U, 0.02, 1e-12)
	apart := OneNeck([]Pair{{1.1, 0.02}, {1.5, 0.02}})
	casetest.Near(t, "the middle of two", apart[0].Factor, 1.3, 1e-12)
	casetest.Near(t, "what they differ", apart[0].U, 0.2, 1e-12)
	weighed := OneNeck([]Pair{{1, 0.01}, {2, 0.1}})
	casetest.Near(t, "by their doubt", weighed[0].Factor, (1*10000+2*100)/10100.0, 1e-12)
}

// TestDoubt_Small: with the relief held by the rod, the theory's doubt moves a guitar's
// strung shape by 3 µm at most, and widens the crowns by that.
func TestDoubt_Small(t *testing.T) {
	base := load(t, electric())
	b := base.Bowed(0.12, base.Joint, Theory())
	lanes, _ := pairOf(base, 1, 0.005, rand.New(rand.NewPCG(1, 1)))
	before := lanes[1].Cov.At(21, 21)
	most := 0.0
	for _, z := range b.Doubt(3, lanes[1].Frets) {
		most = math.Max(most, math.Abs(z))
	}
	if most == 0 || most > 0.003 {
		t.Errorf("doubt of %g mm", most)
	}
	b.Widen(lanes)
	if !(lanes[1].Cov.At(21, 21) > before) {
		t.Error("the crowns' covariance stays")
	}
	base2 := *base
	base2.Model.Body.Rod = false
	for _, z := range base2.Bowed(0.12, base.Joint, Theory()).Doubt(3, []int{1, 8, 22}) {
		if z != 0 {
			t.Errorf("without a rod the wanted shape is in doubt by %g", z)
		}
	}
}
