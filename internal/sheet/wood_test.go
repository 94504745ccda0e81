package sheet

import (
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/material"
	"ringtrue/internal/wood"
)

// woodSample is a rosewood board with its curves.
func woodSample(t *testing.T) *answer.WoodAnswer {
	t.Helper()
	w, err := material.FindWood("rosewood")
	if err != nil {
		t.Fatal(err)
	}
	c := wood.Case{Board: w, MoisturePct: 11, WidthMM: 56.5, ThicknessMM: 6,
		Air: wood.Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65}, Limits: wood.Limits{ProudMM: 0.1, BowMM: 0.2}}
	var days []float64
	for i := range 31 {
		days = append(days, float64(i)*float64(i)/45)
	}
	moist, err := c.Drying(days)
	if err != nil {
		t.Fatal(err)
	}
	year, err := c.Year()
	if err != nil {
		t.Fatal(err)
	}
	return &answer.WoodAnswer{Neck: "Heron 22", Board: w.Species, MoisturePct: 7.7, BoardWidthMM: 56.5, Air: c.Air,
		Curves: &wood.Curves{Days: moist, Year: year}}
}

func TestWood_Golden(t *testing.T) {
	p, err := Wood(woodSample(t), Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1.13)
	golden(t, p, "wood.svg")
}
