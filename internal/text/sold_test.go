package text

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/board"
	"ringtrue/internal/findings"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Beside the exact size stands the one that an inch shop can buy: a leaf no thicker,
// the nearest block and cutter, none where there is none.
func TestInches_Sold(t *testing.T) {
	block := func(nut, last float64) string {
		return BoardWork(&board.Answer{Sanding: &board.Sanding{NutMM: num.Some(nut), LastMM: num.Some(last), Tied: true,
			Lanes: []board.SandLane{{Lane: 1, Sand: []board.Sand{{Fret: 3, RemoveMM: 0.07}}}}, MaxMM: 0.07}})[0]
	}
	fret := 9
	for _, c := range []struct{ mm, in string }{
		{BoardNext(board.Next{Why: board.ReadLeaf, Lanes: []float64{1}, LeafMM: 0.04}, 5), "try a 1.6 thou leaf (in an inch set 1.5 thou) along lane 1"},
		{BoardNext(board.Next{Why: board.ReadLeaf, Lanes: []float64{1}, LeafMM: 0.1}, 5), "try a 4 thou leaf (in an inch set 4 thou) along lane 1"},
		{whyLeaf(findings.Next{Lanes: []float64{1}, Reason: findings.Reason{For: findings.OtherLeaf, LeastMM: 0.01, LargestMM: 0.02, LeafMM: 0.02}}),
			"a leaf of 0.8 thou (thinner than usual inch sets) that does not enter"},
		{whyLeaf(findings.Next{Lanes: []float64{1}, Reason: findings.Reason{For: findings.OtherLeaf, LeastMM: 0.01, LargestMM: 0.02, LeafMM: 0.055}}),
			"a leaf of 2.2 thou (in an inch set 2 thou) that does not enter"},
		{whyLeaf(findings.Next{Lanes: []float64{1}, Reason: findings.Reason{For: findings.FinerSteps, LeastMM: 0.01, LargestMM: 0.02, LeafMM: 0.01}}),
			"leaves in steps of 0.4 thou (finer than usual inch sets) should"},
		{block(300, 400), "11.81 in (nearest block 12 in) at the nut to 15.75 in at the last slot (nearest block 16 in): at most 2.8 thou"},
		{block(184, 184), "as listed, 7.24 in (nearest block 7 1/4 in): at most"},
		{block(500, 700), "19.69 in (nearest block 20 in) at the nut to 27.56 in at the last slot: at most"},
		{Bend(play.Bend{String: 1, Fret: 12, PushMM: 10, Verdict: play.Strikes, NearestFret: &fret, AcrossMM: num.Some(3.0), SaveRadiusMM: num.Some(305.0), SaveFallMM: num.Some(0.1)}),
			"to clear it: a radius of 12.01 in (next flatter block 14 in) at the stop"},
		{"for the back-bow you want: a slot of 0.563 mm", "a slot of 22.2 thou (nearest cutter 22 thou)"},
		{"2 leaves fell", "2 leaves fell"},
	} {
		got := Inches(c.mm)
		if !strings.Contains(got, c.in) {
			t.Errorf("%q\n  gives %q\n  lacks %q", c.mm, got, c.in)
		}
		if again := Inches(got); again != got {
			t.Errorf("turned twice: %q", again)
		}
	}
}

// A leaf that is named beside the exact one is never thicker: what it proves, the
// exact one would.
func TestInches_LeafNoThicker(t *testing.T) {
	sold := regexp.MustCompile(`in an inch set ([\d.]+) thou`)
	rapid.Check(t, func(t *rapid.T) {
		mm := float64(rapid.IntRange(1, 199).Draw(t, "leaf")) * 0.005
		said := Inches(whyLeaf(findings.Next{Lanes: []float64{1}, Reason: findings.Reason{For: findings.OtherLeaf, LeafMM: mm}}))
		m := sold.FindStringSubmatch(said)
		if m == nil {
			if mm > 1.02*0.0254+0.0025 {
				t.Fatalf("no leaf for %g mm: %s", mm, said)
			}
			return
		}
		v, err := strconv.ParseFloat(m[1], 64)
		if err != nil || v*0.0254 > mm+0.003 || v*0.0254 < 0.65*mm {
			t.Fatalf("%g thou for %g mm: %s", v, mm, said)
		}
	})
}
