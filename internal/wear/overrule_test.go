package wear

import (
	"slices"
	"testing"

	"ringtrue/internal/num"
)

// TestOverrule: what circumstances explain as well is put in doubt, each for its
// reason; what they do not touch stands.
func TestOverrule(t *testing.T) {
	at := Place{9, 3}
	here := map[Place]bool{at: true}
	beside := Change{Fret: 10, Lane: 3, Verdict: Worn}
	for name, c := range map[string]struct {
		by      Circumstances
		verdict Verdict
		others  []Change
		want    Verdict
		why     Reason
		held    bool
	}{
		"nothing against it":              {Circumstances{SameState: true}, Worn, nil, Worn, NoReason, false},
		"read earlier":                    {Circumstances{SameState: true, Backwards: true}, Worn, nil, InDoubt, ReadEarlier, true},
		"another state":                   {Circumstances{}, Worn, nil, InDoubt, OtherState, true},
		"first read too high":             {Circumstances{SameState: true, From: Suspects{High: here}}, Worn, nil, InDoubt, FirstMisread, false},
		"one low reading":                 {Circumstances{SameState: true, To: Suspects{Low: here}}, Worn, nil, InDoubt, LowAlone, true},
		"one low reading beside worn":     {Circumstances{SameState: true, To: Suspects{Low: here}}, Worn, []Change{beside}, Worn, LowOnce, false},
		"one low reading far from worn":   {Circumstances{SameState: true, To: Suspects{Low: here}}, Worn, []Change{{Fret: 12, Lane: 3, Verdict: Worn}}, InDoubt, LowAlone, true},
		"two low readings beside":         {Circumstances{SameState: true, To: Suspects{Low: map[Place]bool{at: true, {10, 3}: true}}}, Worn, []Change{beside}, InDoubt, LowAlone, true},
		"raised from a low reading":       {Circumstances{From: Suspects{Low: here}}, Raised, nil, InDoubt, FirstMisread, false},
		"raised by one reading":           {Circumstances{To: Suspects{High: here}}, Raised, nil, InDoubt, HighOnce, true},
		"raised":                          {Circumstances{}, Raised, nil, Raised, NoReason, false},
		"moved, whatever is read":         {Circumstances{Backwards: true, To: Suspects{Low: here}, From: Suspects{High: here}}, Moved, nil, Moved, NoReason, false},
		"unchanged, though read too high": {Circumstances{From: Suspects{High: here}, To: Suspects{High: here}}, Unchanged, nil, Unchanged, NoReason, false},
	} {
		r := Result{Changes: append(slices.Clone(c.others), Change{Fret: at.Fret, Lane: at.Lane, Verdict: c.verdict})}
		reasons, held := r.Overrule(c.by)
		k := slices.IndexFunc(r.Changes, func(x Change) bool { return x.Fret == at.Fret && x.Lane == at.Lane })
		if r.Changes[k].Verdict != c.want || reasons[k] != c.why || held != c.held || len(reasons) != len(r.Changes) {
			t.Errorf("%s: %s, reasons %v, held %t; want %s, %d, %t", name, r.Changes[k].Verdict, reasons, held, c.want, c.why, c.held)
		}
		if !slices.IsSortedFunc(r.Changes, func(a, b Change) int { return a.Fret - b.Fret }) {
			t.Errorf("%s: not by fret: %+v", name, r.Changes)
		}
	}
}

// TestNeck_Gravest: the neck is called by the gravest of its crowns; one held back
// leaves it in doubt.
func TestNeck_Gravest(t *testing.T) {
	all := []Change{{Verdict: Unchanged}, {Verdict: Raised}, {Verdict: Moved}, {Verdict: Worn}}
	for n, want := range []Verdict{Unchanged, Unchanged, Raised, Moved, Worn} {
		if got := (&Result{Changes: all[:n]}).Neck(false); got != want {
			t.Errorf("%d crowns: %s, want %s", n, got, want)
		}
	}
	if (&Result{Changes: all[:1]}).Neck(true) != InDoubt || (&Result{InDoubt: true}).Neck(false) != InDoubt || (&Result{Changes: all[:2], InDoubt: true}).Neck(true) != Raised {
		t.Error("held back, or in doubt together")
	}
}

// TestFret_Motion: how a fret moved, by its ends; and whether it may have leaned.
func TestFret_Motion(t *testing.T) {
	tilted := Ends{Tilted: true}
	for want, f := range map[Motion]Fret{
		Sank: {TrebleMM: -0.05, BassMM: -0.05}, SankTilted: {TrebleMM: -0.05, BassMM: -0.05, Ends: tilted}, Rose: {TrebleMM: 0.05, BassMM: 0.04, Ends: tilted},
		TrebleRose: {TrebleMM: 0.05, BassMM: 0.01}, BassRose: {TrebleMM: 0.01, BassMM: 0.05},
	} {
		if got := f.Motion(); got != want {
			t.Errorf("%+v: %d, want %d", f, got, want)
		}
	}
	worn := Fret{Verdict: Worn, Ends: tilted}
	if !worn.MayHaveLeaned(num.Opt{}) || !worn.MayHaveLeaned(num.Some(0.1)) || worn.MayHaveLeaned(num.Some(1)) || (Fret{Verdict: Moved, Ends: tilted}).MayHaveLeaned(num.Opt{}) {
		t.Error("an end that was pressed takes no months, and what moved is no wear")
	}
	r := Result{Changes: []Change{{Fret: 9, Lane: 2, Verdict: Worn}, {Fret: 9, Lane: 3, Verdict: InDoubt}}}
	for f := 4; f <= 6; f++ {
		r.Frets = append(r.Frets, Fret{Fret: f, Verdict: Moved, TrebleMM: 0.05, BassMM: 0.05})
	}
	down := Fret{Fret: 5, Verdict: Moved, TrebleMM: -0.05, BassMM: -0.05}
	if got := r.WornLanes(Fret{Fret: 9, Worn: []float64{2, 3}}); !slices.Equal(got, []float64{2}) || !r.InRun(r.Frets[0]) || r.InRun(down) {
		t.Errorf("worn lanes %v, in a run %t, %t", got, r.InRun(r.Frets[0]), r.InRun(down))
	}
}
