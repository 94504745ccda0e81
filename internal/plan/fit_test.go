package plan

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/num"
)

// TestFit_hinges is FIT-07 and -08: rotations at tangs of equal temperament.
func TestFit_hinges(t *testing.T) {
	turn := 6 * 2 * 19.0 * 0.01 / (21 * 21 * 21)
	var hinges []Hinge
	x := func(n int) float64 { return 648 * (1 - math.Exp2(-float64(n)/12)) }
	for n := 1; n <= 20; n++ {
		hinges = append(hinges, Hinge{x(n), turn})
	}
	most, at := 0.0, 0
	for n := 1; n <= 20; n++ {
		if b := HingeBow(hinges, x(21), x(n)); b > most {
			most, at = b, n
		}
	}
	casetest.Checked(t, map[string]float64{"FIT-07": turn, "FIT-08": most})
	if at != 8 {
		t.Errorf("deepest at fret %d, want 8", at)
	}
	if a, b := HingeBow(hinges, x(21), 0), HingeBow(hinges, x(21), x(21)); math.Abs(a)+math.Abs(b) > 1e-12 {
		t.Errorf("the ends bow: %g, %g", a, b)
	}
}

// TestFit_crush is FIT-11 to -13.
func TestFit_crush(t *testing.T) {
	force := BarbForce(20, 0.5, 0.25, 54)
	casetest.Checked(t, map[string]float64{
		"FIT-11": 1000 * CrushWedge(54, 12600, 25), "FIT-12": force, "FIT-13": 1000 * BarbWedge(force, 12600, 52, 2, 25),
	})
}

// TestFit_wholeNeck: on an even neck of one wood the plan's back-bow is the
// hinge model's own, and the slot it names brings the bow asked for.
func TestFit_wholeNeck(t *testing.T) {
	even := edit(t, `wood = "ebony"`, `wood = "sugar maple"`, `wood = "maple"`, `wood = "sugar maple"`, `["21 mm", "23 mm"]`, `"21 mm"`, "joint = 16\n", "",
		"hardness = 200", "hardness = 200\ntang_width = \"0.52 mm\"\ntang_depth = \"1.7 mm\"\n[slot]\nwidth = \"0.51 mm\"")
	o := Defaults()
	const wanted = 0.2
	o.BackBowMM = num.Some(wanted)
	p := planned(t, even, o)
	d := p.Frets[0].DepthMM // 2.0
	var hinges []Hinge
	for _, f := range p.Frets {
		hinges = append(hinges, Hinge{f.CentreMM, 6 * d * (21 - d) * 0.01 / (21 * 21 * 21)})
	}
	most := 0.0
	for _, f := range p.Frets {
		most = math.Max(most, HingeBow(hinges, p.Frets[21].CentreMM, f.CentreMM))
	}
	if p.Fit.Verdict != Wedges || math.Abs(casetest.Value(p.Fit.BackBowMM)-most) > 1e-9 {
		t.Fatalf("%+v, want %g", p.Fit, most)
	}
	if !p.Fit.WantedMM.Known() {
		t.Fatalf("no slot for a bow of 0.2: %d", p.Fit.Lacks)
	}
	again := planned(t, strings.Replace(even, "0.51 mm", strconv.FormatFloat(casetest.Value(p.Fit.WantedMM), 'f', 12, 64)+" mm", 1), o)
	if math.Abs(casetest.Value(again.Fit.BackBowMM)-wanted) > 1e-6 {
		t.Errorf("a slot of %g mm bows %g, want %g", casetest.Value(p.Fit.WantedMM), casetest.Value(again.Fit.BackBowMM), wanted)
	}
}

// TestFit_refuses: a slot that the wood cannot bear names the fault and a width
// that it can.
func TestFit_refuses(t *testing.T) {
	m, l := load(t, edit(t, "hardness = 200", "hardness = 200\n[slot]\nwidth = \"0.40 mm\""))
	_, err := Make(m, l, Defaults())
	if !fileerr.Is(err) || !strings.Contains(err.Error(), "slot.width") || !strings.Contains(err.Error(), "crushes") {
		t.Errorf("%v", err)
	}
}
