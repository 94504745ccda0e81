package hand

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/filing"
)

// flats are a hand's flats, four a neck, aimed at 20 µm.
func flats(bias, sd, uMM float64, necks int, r *rand.Rand) [][]Spot {
	var out [][]Spot
	for range necks {
		var spots []Spot
		for range 4 {
			s := Spot{RadiusMM: 1.2, FlatMM: 0.436, UMM: uMM}
			s.DepthMM = filing.Depth(1.2, s.FlatMM)*math.Exp(bias+sd*r.NormFloat64()) + uMM*r.NormFloat64()
			spots = append(spots, s)
		}
		out = append(out, spots)
	}
	return out
}

// Three necks of four flats at 20 µm, read to 4 µm, of a hand of ±23 %: the bias comes
// out to about ±9 %, and two standard errors hold it 19 times in 20.
func TestLearnEye_Bias(t *testing.T) {
	const hands = 300
	held, u, off, scatter := 0, 0.0, 0.0, 0.0
	for h := range hands {
		r := rand.New(rand.NewPCG(9, uint64(h)))
		e := LearnEye(flats(0.11, 0.23, 0.004, 3, r))
		u, off, scatter = u+e.U, off+e.Bias-0.11, scatter+e.SD
		if math.Abs(e.Bias-0.11) < 2*e.U {
			held++
		}
	}
	t.Logf("held %d of %d, mean u %.3f, mean error %.3f, mean scatter %.3f", held, hands, u/hands, off/hands, scatter/hands)
	casetest.Near(t, "standard error of the bias", u/hands, 0.09, 0.012)
	casetest.Near(t, "mean error of the bias", off/hands, 0, 0.015)
	casetest.Near(t, "scatter", scatter/hands, 0.23, 0.05)
	if held < hands*90/100 || held > hands*98/100 {
		t.Errorf("two standard errors held the bias in %d of %d", held, hands)
	}
}

// A true eye is seldom corrected, one that ends 12 % deep is once there are enough
// flats.
func TestEye_CorrectedOnceSure(t *testing.T) {
	wrong, found := 0, 0
	const hands = 200
	for h := range hands {
		r := rand.New(rand.NewPCG(10, uint64(h)))
		if LearnEye(flats(0, 0.23, 0.004, 5, r)).Deeper() != 1 {
			wrong++
		}
		if d := LearnEye(flats(math.Log(1.12), 0.1, 0.001, 12, r)).Deeper(); d > 1.04 && d < 1.2 {
			found++
		}
	}
	if wrong > hands*9/100 {
		t.Errorf("a true eye was corrected %d times in %d", wrong, hands)
	}
	if found < hands*95/100 {
		t.Errorf("12 %% deep was found %d times in %d", found, hands)
	}
	few := LearnEye([][]Spot{{{RadiusMM: 1.2, FlatMM: 0.436, UMM: 0.0001, DepthMM: 0.04}}})
	if few.Sure() || few.Deeper() != 1 {
		t.Errorf("one flat corrects: %+v", few)
	}
	if none := LearnEye(nil); none.Sure() || none.Spots != 0 {
		t.Errorf("no flat: %+v", none)
	}
}

// A flat that runs out stands for the mean of its lanes' depths.
func TestFlatDepth_RunsOut(t *testing.T) {
	s := Spot{RadiusMM: 1.2, FlatMM: 0.6, FlatTo: 0.2, Lanes: 3}
	want := (filing.Depth(1.2, 0.6) + filing.Depth(1.2, 0.4) + filing.Depth(1.2, 0.2)) / 3
	casetest.Near(t, "depth", s.FlatDepth(), want, 1e-12)
	casetest.Near(t, "width", s.FlatMean(), 0.4, 1e-12)
	one := Spot{RadiusMM: 1.2, FlatMM: 0.5, FlatTo: 0.5, Lanes: 6}
	casetest.Near(t, "depth of an even flat", one.FlatDepth(), filing.Depth(1.2, 0.5), 1e-12)
}

func TestEye_ScatterMM(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	if _, known := LearnEye(flats(0, 0.2, 0.001, 2, r)).ScatterMM(); known {
		t.Error("two necks tell the scatter")
	}
	mm, known := LearnEye(flats(0, 0.2, 0.001, 10, r)).ScatterMM()
	if !known {
		t.Fatal("ten necks do not tell the scatter")
	}
	casetest.Near(t, "scatter of a width", mm, 0.1*0.436, 0.012)
}
