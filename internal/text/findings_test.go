package text

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/findings"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/wear"
)

// TestFinding: what a maker reads of each kind of finding that no example shows.
func TestFinding(t *testing.T) {
	for _, c := range []struct {
		f             findings.Finding
		words, advice string
	}{
		{findings.Finding{Case: findings.HighIn, Lanes: []float64{3.5}}, "high in lane 3.5", adviseHigh},
		{findings.Finding{Case: findings.LowIn, Lanes: []float64{3}, BesideMM: num.Some(-0.0412)}, "low under string 3 (-0.041 mm from the line of its neighbours)", adviseLow},
		{findings.Finding{Case: findings.WholeHigh, Run: &findings.Whole{Kind: findings.KindHump, Frets: []int{6, 7, 8, 9}}},
			"whole fret high", "part of the hump over frets 6 to 9"},
		{findings.Finding{Case: findings.Pit, Lanes: []float64{2}, MM: -0.0521}, "pit under string 2, 0.052 mm deep",
			"replace the fret, or level to the pit's bottom if the plan leaves enough crown"},
		{findings.Finding{Case: findings.WornUnder, Lanes: []float64{1, 2, 3}, MM: -0.03}, "worn under strings 1, 2 and 3, up to 0.030 mm", adviseWorn},
		{findings.Finding{Case: findings.WornUnder, Lanes: []float64{1.5, 2}}, "worn under lanes 1.5 and 2", adviseWorn},
		{findings.Finding{Case: findings.WornUnder}, "worn in every lane", adviseWorn},
		{findings.Finding{Case: findings.DentOrMisread, Lanes: []float64{2, 5}, MM: 0.04}, "either a burr of 0.040 mm in lanes 2, 5, or a misread", "read it again: if it repeats, it is real"},
		{findings.Finding{Case: findings.OneOfThree, Lanes: []float64{3}, MM: -0.1, Neighbours: [2]int{8, 10}}, "low, or fret 8 or 10 high, under string 3",
			"three crowns don't show which one is off. Read the frets beside them before you press or file"},
	} {
		if words, advice := Finding(c.f); words != c.words || advice != c.advice {
			t.Errorf("%+v: %q, %q", c.f, words, advice)
		}
	}
	for c := findings.HighIn; c <= findings.OneOfThree; c++ {
		f := findings.Finding{Case: c, Lanes: []float64{3}}
		if words, advice := Finding(f); words == "" || advice == "" || f.Kind() == "" {
			t.Errorf("case %d: %q, %q, kind %q", c, words, advice, f.Kind())
		} else {
			isShort(t, words, advice)
		}
	}
}

// isShort: a finding has at most 12 words, numbers apart, its advice two sentences
// of 15.
func isShort(t *testing.T, words, advice string) {
	t.Helper()
	sentences := strings.SplitAfter(advice, ". ")
	long := func(s string) bool { return len(strings.Fields(s)) > 15 }
	if len(regexp.MustCompile(`[a-z.]*[a-z]+`).FindAllString(words, -1)) > 12 || len(sentences) > 2 || slices.ContainsFunc(sentences, long) {
		t.Errorf("too long to read at the bench: %q, %q", words, advice)
	}
}

// TestFretChanged_Short: so is the advice on a fret that changed.
func TestFretChanged_Short(t *testing.T) {
	up := wear.Fret{Verdict: wear.Moved, Ends: wear.Ends{TrebleMM: 0.1, BassMM: 0.1}}
	down := wear.Fret{Verdict: wear.Moved, Ends: wear.Ends{TrebleMM: -0.1, BassMM: -0.1}}
	for _, advice := range []string{FretChanged(up, false, false, false), FretChanged(down, false, false, false),
		FretChanged(down, true, false, false), FretChanged(down, false, true, false), FretChanged(wear.Fret{}, false, false, false), FretChanged(wear.Fret{}, false, false, true)} {
		isShort(t, "", advice)
	}
	_, advice := LowNotWorn("worn under string 1")
	isShort(t, "", advice)
}

// TestWhole: what a maker reads of the neck as a whole.
func TestWhole(t *testing.T) {
	frets := []int{16, 17, 18, 19}
	for _, c := range []struct {
		w    findings.Whole
		want string
	}{
		{findings.Whole{Kind: findings.KindBow, AmountMM: 0.1}, "the whole neck is hollow (up-bow): this neck has no rod. Find what bends it before you file"},
		{findings.Whole{Kind: findings.KindBow, AmountMM: -0.1, Rod: true},
			"the whole neck is humped (back-bow): set the rod and read again before you file. Never file away what the rod can take out"},
		{findings.Whole{Kind: findings.KindTwist, AmountMM: -0.2},
			"twist: bass side rises 0.20 mm towards the body, edge to edge: find what twists it before you file: wood, rod or clamping. Filing a twist out takes most of the crowns"},
		{findings.Whole{Kind: findings.KindRadius, AmountMM: -0.2},
			"all frets flatter than board.radius: edges 0.20 mm proud of the middle: check the board's radius and the bend of the wire. Each lane may still be straight and play well"},
		{findings.Whole{Kind: findings.KindWorn, Frets: frets, Lanes: []float64{2, 3}, DepthMM: 0.05},
			"frets 16 to 19 worn under strings 2 and 3, up to 0.050 mm: level down to the grooves, or replace if too little crown would be left"},
		{findings.Whole{Kind: findings.KindRise, Frets: frets}, "rise at the body joint, frets 16 to 19: check the joint and the glue under the board. " +
			"If they are sound, level it, with fall-away if you like"},
		{findings.Whole{Kind: findings.KindDip, Frets: frets}, "dip over frets 16 to 19: the dip is in the board. Refit these frets higher, or level the rest to them if enough crown is left"},
	} {
		if words, advice := Whole(c.w); words+": "+advice != c.want {
			t.Errorf("%+v: %q, %q", c.w, words, advice)
		} else {
			isShort(t, words, advice)
		}
	}
}

// TestWhyNext: what a maker reads of readings to take next.
func TestWhyNext(t *testing.T) {
	for _, c := range []struct {
		x    findings.Next
		want string
	}{
		{findings.Next{Method: string(reading.Bridge), Frets: []int{4, 5, 6}, Reason: findings.Reason{For: findings.NotDetermined}}, "not determined; every three frets in a row, 4-5-6"},
		{findings.Next{Method: string(reading.Bridge), Frets: []int{4, 5, 6, 7}, Reason: findings.Reason{For: findings.LaneNotRead}},
			"not read yet; every three frets in a row, 4-5-6, 5-6-7 and so on"},
		{findings.Next{Method: string(reading.Beam), Frets: []int{4}, Reason: findings.Reason{For: findings.LaneNotRead, Alone: reading.Rocker}},
			"not read yet. A rocker alone is not enough: use a beam, or a long edge and feelers"},
		{findings.Next{Lanes: []float64{3, 4}, Reason: findings.Reason{For: findings.Retake, Odd: []int{9, 10}, OwnPass: true}},
			"shows whether frets 9, 10 in lanes 3, 4 were misread or are real. Read it as a new pass"},
		{findings.Next{Lanes: []float64{3}, Reason: findings.Reason{For: findings.Retake, Odd: []int{9}}}, "shows whether fret 9 in lane 3 was misread or is real"},
		{findings.Next{Settles: 0.1, Reason: findings.Reason{For: findings.Settle, Doubt: []float64{2}, NoLeaf: true}},
			"lane 2 is right at the limit: even this may not settle it. Leaves can't settle it"},
		{findings.Next{Settles: 0.96, Reach: 3, Frets: []int{1}, Reason: findings.Reason{For: findings.Settle, Doubt: []float64{1, 2}, AllLanes: true}},
			"all lanes are too near the limit to call. This settles it on 9 of 10 such necks. Set the feet 3 frets either side: 1-4-7 and so on"},
		{findings.Next{Lanes: []float64{1, 2}, Reason: findings.Reason{For: findings.OtherLeaf, LeastMM: 0.01, LargestMM: 0.0404, LeafMM: 0.025}},
			"their zones lie between 0.010 and 0.040 mm; a leaf of 0.025 mm that does not enter would settle it"},
		{findings.Next{Lanes: []float64{1}, Reason: findings.Reason{For: findings.FinerSteps, LargestMM: 0.04, LeafMM: 0.1}},
			"its zone lies between 0.000 and 0.040 mm; leaves in steps of 0.10 mm should settle it"},
	} {
		if got := WhyNext(c.x); got != c.want {
			t.Errorf("%+v: %q", c.x, got)
		}
	}
}
