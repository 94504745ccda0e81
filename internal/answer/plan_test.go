package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
)

// exampleNeck reads the Heron's file, with words replaced.
func exampleNeck(t testing.TB, pairs ...string) (neck.Model, *geometry.Layout) {
	t.Helper()
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	s := string(data)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(s, pairs[i]) {
			t.Fatalf("%q is not in the example", pairs[i])
		}
		s = strings.Replace(s, pairs[i], pairs[i+1], 1)
	}
	m, err := neck.Parse("heron.toml", []byte(s))
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

// TestPlan_heron: the fields that others build on carry what they say.
func TestPlan_heron(t *testing.T) {
	m, l := exampleNeck(t)
	a, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults(), Alloys: true})
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Frets   []map[string]any `json:"frets"`
		Total   float64          `json:"wire_total_mm"`
		Strings []struct {
			Setback float64   `json:"saddle_setback_mm"`
			Cents   []float64 `json:"left_over_cents"`
		} `json:"strings"`
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Frets) != 22 || len(got.Strings) != 6 {
		t.Fatalf("%d frets, %d strings", len(got.Frets), len(got.Strings))
	}
	sum := 0.0
	for _, f := range got.Frets {
		for _, key := range []string{"fret", "from_nut_mm", "from_previous_mm", "bass_mm", "treble_mm", "board_radius_mm", "board_width_mm", "wire_cut_mm", "bend_radius_mm", "slot_depth_centre_mm", "glue_mm3"} {
			if _, ok := f[key].(float64); !ok {
				t.Fatalf("fret %v: %s is %v", f["fret"], key, f[key])
			}
		}
		sum += f["wire_cut_mm"].(float64)
		if want := (0.58*1.8 - 0.52*1.5) * f["board_width_mm"].(float64); math.Abs(f["glue_mm3"].(float64)-want) > 1e-9 {
			t.Errorf("glue %v, want %g", f["glue_mm3"], want)
		}
	}
	if math.Abs(sum-got.Total) > 1e-9 {
		t.Errorf("total %g, cuts sum to %g", got.Total, sum)
	}
	for i, s := range got.Strings {
		if len(s.Cents) != 22 || math.Abs(s.Cents[11]) > 1e-6 || s.Setback < 0.5 || s.Setback > 5 {
			t.Errorf("string %d: setback %g, fret 12 off %g of %d", i+1, s.Setback, s.Cents[11], len(s.Cents))
		}
	}
	if len(a.Alloys) < 5 || len(a.Cautions) < 4 {
		t.Errorf("%d alloys, %d cautions", len(a.Alloys), len(a.Cautions))
	}
}

func TestPlan_flat(t *testing.T) {
	m, l := exampleNeck(t, `radius = ["300 mm", "400 mm"]`, `radius = "flat"`)
	a, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults()})
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(a.Frets[0])
	if err != nil || !strings.Contains(string(data), `"bend_radius_mm":null`) || !strings.Contains(string(data), `"board_radius_mm":null`) {
		t.Errorf("%s, %v", data, err)
	}
}

func TestPlan_stops(t *testing.T) {
	m, l := exampleNeck(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Plan(ctx, PlanRequest{Model: m, Layout: l, Options: plan.Defaults()}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	m.Board.Wood = "ebny"
	if _, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults()}); !fileerr.Is(err) {
		t.Errorf("%v", err)
	}
}

// BenchmarkPlan_24 is a whole plan of 24 frets.
func BenchmarkPlan_24(b *testing.B) {
	m, l := exampleNeck(b, "frets = 22", "frets = 24")
	for b.Loop() {
		if _, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults()}); err != nil {
			b.Fatal(err)
		}
	}
}

// TestPlan_notes: what is wrong with a neck or asked too much is said, and how
// glue gets into closed slots.
func TestPlan_notes(t *testing.T) {
	m, l := exampleNeck(t, `wood = "ebony"`, "wood = \"ebony\"\nbinding = \"1.5 mm\"")
	o := plan.Defaults()
	o.BevelDeg, o.CoilMM = 80, 50
	a, err := Plan(t.Context(), PlanRequest{Model: m, Layout: l, Options: o})
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(append(a.Notes, a.Glue.Put), "\n")
	for _, want := range []string{"string 1 runs off the bevel at fret 1 by", "a coil of 50 mm is shorter", "glue before pressing"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not said:\n%s", want, said)
		}
	}
}
