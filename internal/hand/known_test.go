package hand

import (
	"math"
	"math/rand/v2"
	"testing"
)

// necksOf are necks of one hand: four frets filed alone on each.
func necksOf(by, paper string, theta float64, n int, seed uint64) (out []Neck) {
	for _, spots := range drawn(theta, 0.003, n, rand.New(rand.NewPCG(12, seed))) {
		k := Neck{By: by, Wire: "C75200"}
		for _, s := range spots {
			k.Done = append(k.Done, Done{Tool: File, Paper: paper, Spot: s})
		}
		out = append(out, k)
	}
	return out
}

func TestKnow_HandsApart(t *testing.T) {
	usual := UsualRemoval(File).LogQ
	necks := append(necksOf("Ines", "", usual+0.8, 6, 1), necksOf("Ole", "", usual-0.8, 6, 2)...)
	all := Know(necks, "", Counts{})
	if !all.Several() || len(all.Removals) != 2 {
		t.Fatalf("two hands: %+v", all)
	}
	if _, known := all.For(File, "", "C75200"); known {
		t.Error("nobody said whose hand it is, and one is taken")
	}
	ines, ole := Know(necks, "Ines", Counts{}), Know(necks, "Ole", Counts{})
	a, knownA := ines.For(File, "", "C75200")
	b, knownB := ole.For(File, "", "C75200")
	if !knownA || !knownB || !(a.LogQ > usual+0.4) || !(b.LogQ < usual-0.4) {
		t.Errorf("Ines %+v, Ole %+v", a, b)
	}
	if _, known := ines.For(Beam, "", "C75200"); known {
		t.Error("a beam is known from a file")
	}
	if nobody := Know(necks, "Ida", Counts{}); nobody.By != "Ida" || len(nobody.Removals) != 0 {
		t.Errorf("a hand that is not in the book: %+v", nobody)
	}
}

func TestKnow_PaperAndWireFirst(t *testing.T) {
	usual := UsualRemoval(File).LogQ
	necks := append(necksOf("", "P400", usual, 3, 1), necksOf("", "P800", usual-1, 8, 2)...)
	k := Know(necks, "", Counts{})
	fine, _ := k.For(File, "P800", "C75200")
	coarse, _ := k.For(File, "P400", "C75200")
	any, known := k.For(File, "P1200", "steel")
	if !(fine.LogQ < coarse.LogQ-0.4) || !known || any.LogQ != fine.LogQ {
		t.Errorf("P400 %g, P800 %g, of an unknown paper %g", coarse.LogQ, fine.LogQ, any.LogQ)
	}
}

func TestKnown_Nothing(t *testing.T) {
	var k Known
	r, known := k.For(Beam, "", "")
	if known || r.LogQ != UsualRemoval(Beam).LogQ || k.Minutes()[Look] != 0.25 || k.Eye.Deeper() != 1 {
		t.Errorf("a usual hand: %+v, %v, %v", r, known, k.Minutes())
	}
	if pct, _ := (Eye{Bias: math.Log(1.12)}).DeeperPct(); math.Abs(pct-12) > 1e-9 {
		t.Errorf("12 %% deep is said as %g %%", pct)
	}
}
