package play

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// TestJudgeOne_Judge: one stop alone is judged as among all.
func TestJudgeOne_Judge(t *testing.T) {
	s, err := stringset.Tune(neck.String{Pitch: "E4", Gauge: 0.254}, 640, 440)
	if err != nil {
		t.Fatal(err)
	}
	l := Lane{String: 1, ScaleMM: 640}
	for f := 1; f <= 12; f++ {
		c := Crown{Fret: f, XMM: 640 * (1 - math.Exp2(-float64(f)/12))}
		if f == 7 {
			c.ZMM = 0.07
		}
		l.Crowns = append(l.Crowns, c)
	}
	c := Case{Lane: l, Setup: Setup{NutMM: 0.35, ActionMM: 1.4, ActionFret: 12}, String: s, Decay: stringset.Law{Base: 0.5, Square: 5e-8},
		Touches: []neck.Touch{{Name: "firm", Force: 0.4, FromSaddle: 110}}, Graze: 0.1}
	all, err := Judge(context.Background(), []Case{c})
	if err != nil {
		t.Fatal(err)
	}
	met := 0
	for i, stop := range all[0].Stops {
		one, at, err := JudgeOne(context.Background(), c, stop.Fret)
		if err != nil || at != i || !reflect.DeepEqual(one.Notes[i], all[0].Notes[i]) || !reflect.DeepEqual(one.Own[i], all[0].Own[i]) || one.Rest != all[0].Rest {
			t.Errorf("fret %d: %+v, %v; among all %+v", stop.Fret, one.Notes[i], err, all[0].Notes[i])
		}
		if one.Notes[i][0].Contact != nil {
			met++
		}
	}
	if met == 0 {
		t.Error("no note met anything: nothing was compared")
	}
	if _, _, err := JudgeOne(context.Background(), c, 13); !errors.Is(err, ErrNoCrown) {
		t.Errorf("fret 13: %v", err)
	}
}
