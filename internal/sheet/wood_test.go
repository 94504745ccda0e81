package sheet

import (
	"testing"

	"ringtrue/internal/material"
	"ringtrue/internal/wood"
)

func TestWood_Golden(t *testing.T) {
	w, err := material.FindWood("rosewood")
	if err != nil {
		t.Fatal(err)
	}
	c := wood.Case{Board: w, MoisturePct: 11, WidthMM: 56.5, ThicknessMM: 6, TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65, ProudMM: 0.1, BowMM: 0.2}
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
	p, err := Wood{Name: "Heron 22", Species: w.Species.Name, AirPct: 7.7, WithinPct: 1, Days: days, Moisture: moist, Year: year, WidthMM: 56.5,
		Air: "21 °C; the shop at 40 %, the seasons from 25 to 65 % humidity"}.Page()
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "wood.svg")
}
