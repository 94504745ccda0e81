package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"testing"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/plan"
	"ringtrue/internal/wood"
)

func woodOf(t testing.TB, pairs ...string) WoodRequest {
	t.Helper()
	m, l := exampleNeck(t, pairs...)
	return WoodRequest{Model: m, Layout: l, Air: wood.Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65}, Limits: wood.Limits{ProudMM: 0.1, BowMM: 0.2}}
}

// TestWood_heron: the answer as its JSON has it, against figures put together
// from the equations of the Wood Handbook (moisture 7.70, 5.36 and 11.96 %).
func TestWood_heron(t *testing.T) {
	a, err := Wood(context.Background(), woodOf(t))
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Moisture float64    `json:"moisture_pct"`
		Ready    bool       `json:"ready"`
		Days     *float64   `json:"days_to_ready"`
		Proud    float64    `json:"frets_end_proud_mm"`
		Width    [2]float64 `json:"width_change_mm"`
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Moisture-7.7014) > 1e-4 || !got.Ready || got.Days == nil || *got.Days != 0 {
		t.Errorf("%s", data)
	}
	if math.Abs(got.Width[0]+0.3644) > 1e-4 || math.Abs(got.Width[1]-1.1037) > 1e-4 || math.Abs(got.Proud-0.1822) > 1e-4 {
		t.Errorf("width %v, proud %g", got.Width, got.Proud)
	}
	if len(a.Listings) != 1 || a.Listings[0].Effective == "" {
		t.Errorf("listings of ebony: %+v", a.Listings)
	}
	if a.BowDry != nil {
		t.Errorf("a bow without a neck's wood: %v", a.BowDry)
	}
}

func TestWood_quarterSawnMovesLess(t *testing.T) {
	flat, err := Wood(context.Background(), woodOf(t))
	if err != nil {
		t.Fatal(err)
	}
	quarter, err := Wood(context.Background(), woodOf(t, `wood = "ebony"`, "wood = \"ebony\"\nsawn = \"quarter\""))
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(quarter.WidthMM[0]) < math.Abs(flat.WidthMM[0])) {
		t.Errorf("quarter %v, flat %v", quarter.WidthMM, flat.WidthMM)
	}
}

func TestWood_curves(t *testing.T) {
	r := woodOf(t, "moisture = 7.0", "moisture = 12")
	r.Curves = true
	a, err := Wood(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	d := a.Curves.Days
	if a.Ready || len(d) != 61 || d[0].LikelyPct != 12 || len(a.Curves.Year) != 53 {
		t.Fatalf("ready %v, %d days, %d weeks", a.Ready, len(d), len(a.Curves.Year))
	}
	if last := d[len(d)-1]; !(last.FastestPct <= last.LikelyPct && last.LikelyPct < last.SlowestPct && last.SlowestPct < a.MoisturePct+1) {
		t.Errorf("at the end %+v; the air's is %g", last, a.MoisturePct)
	}
}

func TestWood_refuses(t *testing.T) {
	r := woodOf(t)
	r.HumidityPct = 120
	if _, err := Wood(context.Background(), r); !errors.Is(err, wood.ErrHumidity) {
		t.Errorf("%v", err)
	}
	r = woodOf(t)
	r.TempC = 80
	if _, err := Wood(context.Background(), r); !errors.Is(err, wood.ErrTemperature) {
		t.Errorf("%v", err)
	}
	r = woodOf(t, `wood = "ebony"`, `wood = "ebny"`)
	if _, err := Wood(context.Background(), r); !fileerr.Is(err) {
		t.Errorf("%v", err)
	}
}

// TestWood_fretEnds: the new fields say what the old one does, and plan says the
// same of the same air.
func TestWood_fretEnds(t *testing.T) {
	m, l := exampleNeck(t)
	air := wood.Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65}
	w, err := Wood(t.Context(), WoodRequest{Model: m, Layout: l, Air: air, Limits: wood.Usual()})
	if err != nil {
		t.Fatal(err)
	}
	if w.Ends.UnderMM != w.ProudMM || w.Ends.UnderRange != w.ProudRange || w.Ends.File != wood.UnderFlush || len(w.Ends.Words) != 2 {
		t.Errorf("%+v of %g mm proud", w.Ends, w.ProudMM)
	}
	p, err := Plan(t.Context(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults(), Air: &air})
	if err != nil {
		t.Fatal(err)
	}
	if p.Ends == nil || p.Ends.UnderMM != w.Ends.UnderMM || p.Ends.DampMM != w.Ends.DampMM {
		t.Errorf("plan says %+v, wood %+v", p.Ends, w.Ends)
	}
	for side, r := range p.Bevel.Room {
		if d := r.LeastMM - r.DriestMM; !(d > 0.1 && d < w.ProudMM) {
			t.Errorf("side %d: the driest takes %g mm at fret %d, %g at the last", side, d, r.DryFret, w.ProudMM)
		}
	}
	air.TempC = 80
	if _, err := Plan(t.Context(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults(), Air: &air}); !errors.Is(err, wood.ErrTemperature) {
		t.Errorf("%v", err)
	}
}
