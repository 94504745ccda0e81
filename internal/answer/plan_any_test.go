package answer

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/plan"
	"ringtrue/internal/wood"
)

// anyNeck draws a neck file that may or may not be sound.
func anyNeck(t *rapid.T) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	scale := rapid.IntRange(300, 1100).Draw(t, "scale")
	line("[scale]")
	if rapid.Bool().Draw(t, "slanted") {
		line("bass = \"%d mm\"\ntreble = \"%d mm\"", scale+rapid.IntRange(0, 60).Draw(t, "more"), scale)
	} else {
		line("length = \"%d mm\"", scale)
	}
	line("frets = %d", rapid.IntRange(1, 36).Draw(t, "frets"))
	line("divisions = %d", rapid.SampledFrom([]int{5, 12, 19, 24}).Draw(t, "divisions"))
	line("zero_fret = %v", rapid.Bool().Draw(t, "zero"))
	line("[board]")
	if rapid.Bool().Draw(t, "flat") {
		line("radius = \"flat\"")
	} else {
		line("radius = [\"%d mm\", \"%d mm\"]", rapid.IntRange(40, 800).Draw(t, "r0"), rapid.IntRange(40, 800).Draw(t, "r1"))
	}
	line("width = [\"%d mm\", \"%d mm\"]", rapid.IntRange(30, 60).Draw(t, "w0"), rapid.IntRange(40, 75).Draw(t, "w1"))
	line("wood = %q", rapid.SampledFrom([]string{"ebony", "persimmon", "wenge", "pau ferro", "maple"}).Draw(t, "wood"))
	line("moisture = %d", rapid.IntRange(0, 30).Draw(t, "moisture"))
	line("binding = \"%d mm\"", rapid.IntRange(0, 2).Draw(t, "binding"))
	if rapid.Bool().Draw(t, "neck") {
		line("[neck]\nwood = \"mahogany\"\nthickness = [\"%d mm\", \"24 mm\"]", rapid.IntRange(7, 24).Draw(t, "thick"))
	}
	line("[strings]\nspread = \"25 mm\"")
	count := rapid.IntRange(1, 6).Draw(t, "strings")
	line("set = [")
	for i := range count {
		line("{ pitch = %q, gauge = \"0.0%d in\" },", []string{"E4", "B3", "G3", "D3", "A2", "E2"}[i], 10+6*i)
	}
	line("]\n[wire]\nalloy = %q", rapid.SampledFrom([]string{"C75200", "stainless", "bronze", "C77000", "C50710", "C19500", "CW452K", "304"}).Draw(t, "alloy"))
	line("crown_height = \"%.1f mm\"", rapid.Float64Range(0.6, 1.6).Draw(t, "crown"))
	line("[slot]\nwidth = \"%.2f mm\"", rapid.Float64Range(0.45, 0.9).Draw(t, "slot"))
	line("[level]\nzone = \"0.03 mm\"")
	return b.String()
}

// TestPlan_anyNeck: whatever the neck, plan and wood either name a fault or give
// an answer that JSON can hold: no panic, nothing that is no number.
func TestPlan_anyNeck(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		m, err := neck.Parse("neck.toml", []byte(anyNeck(t)))
		if err != nil {
			return
		}
		l, err := geometry.New(m)
		if err != nil {
			return
		}
		bow := rapid.Float64Range(0, 1).Draw(t, "bow")
		o := plan.Defaults()
		o.BackBowMM, o.CoilMM = num.Some(bow), 500
		a, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: o, Alloys: true})
		switch {
		case err != nil && !fileerr.Is(err):
			t.Fatalf("a fault without a key: %v", err)
		case err == nil:
			answered++
			if _, err := json.Marshal(a); err != nil {
				t.Fatal(err)
			}
		}
		w, err := Wood(context.Background(), WoodRequest{Model: m, Layout: l, Air: wood.Air{HumidityPct: rapid.Float64Range(0, 100).Draw(t, "rh"), TempC: rapid.Float64Range(0, 50).Draw(t, "t"),
			DriestPct: rapid.Float64Range(0, 50).Draw(t, "dry"), DampestPct: rapid.Float64Range(50, 100).Draw(t, "damp")}, Limits: wood.Limits{ProudMM: 0.1, BowMM: 0.2}, Curves: true})
		if err != nil {
			t.Fatalf("wood: %v", err)
		}
		if _, err := json.Marshal(w); err != nil {
			t.Fatal(err)
		}
	})
	if answered == 0 {
		t.Error("not one neck got a plan")
	}
	t.Logf("%d plans", answered)
}

// TestPlan_inches: the same neck in inches gets the same plan.
func TestPlan_inches(t *testing.T) {
	of := func(length, width string) *WorkPlan {
		m, l := exampleNeck(t, `"640 mm"`, length, `["43 mm", "56.5 mm"]`, width)
		a, err := Plan(context.Background(), PlanRequest{Model: m, Layout: l, Options: plan.Defaults()})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	mm, in := of(`"647.7 mm"`, `["44.45 mm", "57.15 mm"]`), of(`"25.5 in"`, `["1.75 in", "2.25 in"]`)
	for i := range mm.Frets {
		a, b := mm.Frets[i], in.Frets[i]
		for _, d := range []float64{a.CentreMM - b.CentreMM, a.CutMM - b.CutMM, casetest.Value(a.LoadedMM) - casetest.Value(b.LoadedMM), a.GlueMM3 - b.GlueMM3} {
			if d > 1e-9 || d < -1e-9 {
				t.Fatalf("fret %d: %+v and %+v", a.Number, a, b)
			}
		}
	}
}
