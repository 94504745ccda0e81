package setup

import (
	"errors"
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Worked by hand and by turning points: 645 mm, joint at fret 14 (x 357.685), the
// line to rise by 3 mm, a heel 95 mm deep.
func TestAngle_SetNeck645(t *testing.T) {
	x := 645 * (1 - math.Exp2(-14.0/12))
	casetest.Near(t, "joint", x, 357.685, 1e-3)
	casetest.Near(t, "radians", TurnRad(3, x, 645), 0.0104415, 1e-7)
	casetest.Near(t, "degrees", TurnRad(3, x, 645)*180/math.Pi, 0.59825, 1e-5)
	casetest.Near(t, "heel cap", HeelCapMM(3, x, 645, 95), 0.99194, 1e-5)
	// by hand: joint at fret 12 of 650 mm
	casetest.Near(t, "degrees at fret 12", TurnRad(3, 325, 650)*180/math.Pi, 0.52888, 1e-5)
	// Second route: the line through crown 1 and the joint, its points turned about the
	// joint's edge; action falls by half of what it rises by at the saddle.
	turn := TurnRad(3, x, 645)
	at := func(px float64) float64 { return -math.Sin(-turn) * (px - x) }
	casetest.Near(t, "rise, points turned", at(645), 3, 1e-3)
	l := laneOf(645, 20, level)
	before, err := l.Rest(byGap(0.45, 2.5))
	if err != nil {
		t.Fatal(err)
	}
	turned := laneOf(645, 20, func(f int) float64 { return at(l.Crowns[f-1].XMM) })
	// the nut turns with the neck, the saddle stays with the body
	_, action := gaps(turned, play.Rest{NutMM: before.NutMM + at(0), SaddleMM: before.SaddleMM})
	casetest.Near(t, "action", action-2.5, -1.5, 1e-3)
}

// By hand: 648 mm, mouth at fret 16, pocket 76 mm, shim 0.5 mm.
func TestAngle_Shim648(t *testing.T) {
	x := 648 * (1 - math.Exp2(-16.0/12))
	casetest.Near(t, "rise", ShimRiseMM(0.5, x, 648, 76), 1.691835, 1e-6)
	casetest.Near(t, "degrees", TurnRad(ShimRiseMM(0.5, x, 648, 76), x, 648)*180/math.Pi, 0.376946, 1e-6)
	casetest.Near(t, "action", -ShimRiseMM(0.5, x, 648, 76)/2, -0.845918, 1e-6)
}

// Filing evenly from 0.2 mm at fret 20 to nothing at fret 1 of 645 mm lowers crown 12
// by 0.14 mm (by hand), which raises the action; from the nut end it raises the line at
// the saddle, and action falls by half of that.
func TestAngle_Metal645(t *testing.T) {
	x := func(f float64) float64 { return 645 * (1 - math.Exp2(-f/12)) }
	casetest.Near(t, "crown 12", MetalRiseMM(0.2, x(20), x(1), x(12)), -0.2*(x(12)-x(1))/(x(20)-x(1)), 1e-12)
	casetest.Near(t, "crown 12 in mm", math.Abs(MetalRiseMM(0.2, x(20), x(1), x(12))), 0.14, 0.005)
	// Second route: crowns filed so, the saddle where it is: how far the line through
	// them passes above where it passed.
	l := laneOf(645, 20, func(f int) float64 { return -0.2 * (x(20) - x(float64(f))) / (x(20) - x(1)) })
	first, last := l.Crowns[0], l.Crowns[19]
	rise := last.ZMM + (last.ZMM-first.ZMM)/(last.XMM-first.XMM)*(645-last.XMM)
	casetest.Near(t, "rise", MetalRiseMM(0.2, x(1), x(20), 645), rise, 1e-12)
}

// acoustic is a neck of 645 mm at 0.45 mm nut and 2.5 mm action, wished to be lower.
func acoustic(t *testing.T, wish float64) Cut {
	t.Helper()
	m := Measured{String: 1, FirstMM: num.Some(0.45 + (4.55-0.45)*(1-math.Exp2(-1.0/12))), ActionMM: num.Some(2.5)}
	c, err := CutOf(m, Over{Lane: laneOf(645, 20, level)}, play.Setup{NutMM: 0.45, ActionMM: wish, ActionFret: 12}, false, exact())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// By hand: saddle 4.55 mm over the crowns' line; it shows 5.05, 4.55 and 2.05 mm where
// the line passes 0.5 above, at, and 2.5 under the bridge's top. Wished 2.0 mm: saddle
// 3.55, shows 1.05 in the last: a reset, 0.4985° for a line at the bridge's top.
func TestAngle_Acoustic645(t *testing.T) {
	x := 645 * (1 - math.Exp2(-14.0/12))
	over := []Over{{Lane: laneOf(645, 20, level)}}
	joint := []Joint{{Fret: 14, XMM: x, HeelMM: 95, Share: 0.5}}
	for p, shows := range map[float64]float64{0.5: 5.05, 0: 4.55, -2.5: 2.05} {
		a, err := AngleOf([]Cut{acoustic(t, 2.5)}, over, joint, Bridge{TopMM: num.Some(p), LeastMM: LeastShowsMM})
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, "shows", a.Strings[0].IsMM, shows, 1e-6)
		if a.Verdict != SaddleHasIt || a.ShortMM != 0 || a.AngleDeg.Known() {
			t.Errorf("top %g: %+v; the saddle has it", p, a)
		}
	}
	a, err := AngleOf([]Cut{acoustic(t, 2.0)}, over, joint, Bridge{TopMM: num.Some(-2.5), LeastMM: LeastShowsMM})
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "shows after", a.Strings[0].AfterMM, 1.05, 1e-6)
	casetest.Near(t, "short", a.ShortMM, 0.95, 1e-6)
	casetest.Near(t, "action short", a.ActionMM, 0.475, 1e-6)
	casetest.Near(t, "degrees", a.AngleDeg.OrNaN(), 0.4985, 1e-4)
	casetest.Near(t, "heel cap", a.HeelMM.OrNaN(), 95*2.5/287.315, 1e-5)
	if a.Verdict != ResetNeck {
		t.Errorf("%+v, want a reset", a)
	}
}

// What shows under the strings themselves counts before the bridge's top; a neck in a
// pocket is shimmed by no more than the saddle lacks; a little that metal can buy is
// said to be metal's. A heel alone asks for the reset's rule.
func TestAngle_Verdicts(t *testing.T) {
	x := 645 * (1 - math.Exp2(-14.0/12))
	over := []Over{{Lane: laneOf(645, 20, level)}}
	c := acoustic(t, 2.0) // 1 mm to come off the saddle
	for _, k := range []struct {
		shows float64
		joint Joint
		want  Verdict
		raise float64
	}{
		{4, Joint{XMM: x, HeelMM: 95}, SaddleHasIt, 0},
		{2.95, Joint{XMM: x, HeelMM: 95}, MetalHasIt, 0.05},
		{2.5, Joint{XMM: x, PocketMM: 76}, ShimNeck, 0.5},
		{2.5, Joint{XMM: x, HeelMM: 95}, ResetNeck, 2.05},
		{2.5, Joint{XMM: x}, TurnNeck, 0.5},
		{2.5, Joint{}, TurnNeck, 0.5},
	} {
		c.ShowsMM = num.Some(k.shows)
		a, err := AngleOf([]Cut{c}, over, []Joint{k.joint}, Bridge{TopMM: num.Some(9), LeastMM: LeastShowsMM})
		if err != nil || a.Verdict != k.want || a.AngleDeg.Known() != (k.raise > 0 && k.joint.XMM > 0) || a.ShimMM.Known() != (k.want == ShimNeck) {
			t.Errorf("%+v: %+v, %v", k, a, err)
			continue
		}
		casetest.Near(t, "raise", a.RaiseMM, k.raise, 1e-6)
		if mm, known := a.ShimMM.Get(); known {
			casetest.Near(t, "shim", ShimRiseMM(mm, x, 645, 76), k.raise, 1e-9)
		}
	}
	c.ShowsMM = num.Opt{}
	if _, err := AngleOf([]Cut{c}, over, []Joint{{}}, Bridge{}); !errors.Is(err, ErrNoBridge) {
		t.Error(err)
	}
}
