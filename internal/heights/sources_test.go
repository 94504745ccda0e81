package heights

import (
	"math"
	"math/bits"
	"testing"

	"ringtrue/internal/casetest"
)

// TestObserved_Linkage: 197 animals in four classes with chances (2 + θ)/4, (1 − θ)/4,
// (1 − θ)/4 and θ/4, counts 125, 18, 20 and 34, the first class being a mixture
// (Rao 1965; Dempster, Laird and Rubin 1977). θ = 0.6268; information 435.3 with the
// mixture known, 57.8 missing, 377.5 observed (Louis 1982; McLachlan and Krishnan,
// The EM Algorithm and Extensions, 4.2). All from memory.
func TestObserved_Linkage(t *testing.T) {
	theta := 0.5
	for range 60 {
		x := 125 * theta / (2 + theta)
		theta = (x + 34) / (x + 18 + 20 + 34)
	}
	casetest.Near(t, "θ", theta, 0.6268, 5e-5)
	share := theta / (2 + theta)
	complete := (125*share+34)/(theta*theta) + 38/((1-theta)*(1-theta))
	missing := 125 * share * (1 - share) / (theta * theta)
	casetest.Near(t, "information with the mixture known", complete, 435.3, 0.05)
	casetest.Near(t, "information missing", missing, 57.8, 0.05)
	v, err := observed([]float64{complete}, []float64{missing}, 1)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "observed information", 1/v.At(0, 0), 377.5, 0.05)
}

// TestComponents_Grubbs: eight mass-spectrometer readings of one quantity, of which
// 245.57 is the published outlier (NIST/SEMATECH e-Handbook 1.3.5.17.1). Taken as
// readings of one crown, the likeliest explanation sets aside that one alone.
func TestComponents_Grubbs(t *testing.T) {
	var list []one
	for _, v := range casetest.Numbers(t, casetest.Columns(t, "metro_outlier_grubbs_nist")["y"]) {
		list = append(list, one{v, 1.5, misreadChance})
	}
	lost := setAside(list)
	if len(lost) != 1 || list[lost[0]].value != 245.57 {
		t.Errorf("set aside %v", lost)
	}
}

// setAside are the readings that the likeliest component of a crown drops.
func setAside(list []one) (lost []int) {
	best := component{log: math.Inf(-1)}
	for _, c := range components(list, 1e-9, 1e-9, nil) {
		if c.dent == noDent && c.log > best.log {
			best = c
		}
	}
	for i := range list {
		if best.kept>>i&1 == 0 {
			lost = append(lost, i)
		}
	}
	if bits.OnesCount64(best.kept)+len(lost) != len(list) {
		panic("a reading is neither kept nor set aside")
	}
	return lost
}
