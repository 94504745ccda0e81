package text

import (
	"strings"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
)

// What a neck file gives is not asked for.
func TestLeftOut_AsksOnlyForWhatLacks(t *testing.T) {
	for _, c := range []struct {
		body        neck.Body
		asks, gives []string // what the sentence has, and what it must not have
	}{
		{neck.Body{}, []string{`wood = "maple" and thickness = `}, nil},
		{neck.Body{Wood: "mahogany"}, []string{"thickness = "}, []string{"wood"}},
		{neck.Body{Thickness: neck.Pair{20, 23}}, []string{`wood = "maple"`}, []string{"thickness"}},
	} {
		words := PlanLacks(plan.LacksNeck, c.body)
		for _, ask := range c.asks {
			if !strings.Contains(words, ask) {
				t.Errorf("%+v: %q does not ask for %q", c.body, words, ask)
			}
		}
		for _, given := range c.gives {
			if strings.Contains(words, given) {
				t.Errorf("%+v: %q asks for %q, which is given", c.body, words, given)
			}
		}
	}
}

// Only what was left to its default is assumed.
func TestWoodAssumed(t *testing.T) {
	for _, c := range []struct {
		left                     []string
		verdict, seasons, toGive string
	}{
		{nil, "", "", ""},
		{[]string{"board.sawn", "board.thickness"}, "", "assumed: flat-sawn, thickness", ""},
		{[]string{"board.moisture", WoodHumidity, WoodDriest}, "assumed: moisture, humidity", "assumed: the driest season", "to be sure, measure and add: board.moisture, --humidity"},
		{[]string{"board.wood", WoodTemperature}, "assumed: wood, temperature", "", "to be sure, measure and add: board.wood, --at"},
	} {
		if v, s, g := WoodAssumed(c.left), WoodSeasonsAssumed(c.left, "flat-sawn"), WoodMeasure(c.left); v != c.verdict || s != c.seasons || g != c.toGive {
			t.Errorf("%v: %q, %q, %q", c.left, v, s, g)
		}
	}
}
