package answer

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

func example(t testing.TB, neckFile, readings string) FretsRequest {
	t.Helper()
	dir := filepath.Join("..", "..", "examples")
	data, err := os.ReadFile(filepath.Join(dir, neckFile))
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse(neckFile, data)
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(filepath.Join(dir, readings))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	set, err := reading.Parse(readings, f, reading.Bounds{FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings()})
	if err != nil {
		t.Fatal(err)
	}
	return FretsRequest{Model: m, Layout: l, Readings: set.Readings}
}

func answer(t testing.TB, r FretsRequest) *FretsAnswer {
	t.Helper()
	a, err := Frets(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestFrets_Heron: the beam and the simple gauges tell the same of one neck,
// and the beam's misread is found, left out and named.
func TestFrets_Heron(t *testing.T) {
	beam := answer(t, example(t, "heron.toml", "heron-seated.csv"))
	shop := answer(t, example(t, "heron.toml", "heron-shop.csv"))
	for _, a := range []*FretsAnswer{beam, shop} {
		if a.Verdict != "not level" || len(a.Crowns) != 132 || len(a.Undetermined) != 0 || a.Passed() {
			t.Errorf("verdict %q, %d crowns, undetermined %v", a.Verdict, len(a.Crowns), a.Undetermined)
		}
		var got []string
		for _, f := range a.Frets {
			got = append(got, f.Finding)
		}
		if !slices.Equal(got, []string{"treble end not seated", "whole fret high", "whole fret low"}) {
			t.Errorf("findings %q", got)
		}
		if n := len(a.Plan.Options); n != 4 || !slices.Equal(a.Plan.Options[3].Refit, []int{7, 14, 19}) || a.Plan.Options[3].TotalRemoveMM != 0 {
			t.Errorf("options %+v", a.Plan.Options)
		}
	}
	if len(shop.Recheck) != 0 {
		t.Errorf("recheck %+v", shop.Recheck)
	}
	if len(beam.Recheck) != 1 || beam.Recheck[0].Fret != 9 || beam.Recheck[0].Lane != 4 || beam.Recheck[0].Line != 78 || beam.Recheck[0].ReadingMM != 0.472 {
		t.Fatalf("recheck %+v", beam.Recheck)
	}
	if e := beam.Recheck[0].ExpectedMM; math.Abs(e-0.38) > 0.01 {
		t.Errorf("expected %.3f mm", e)
	}
	// The two sets of gauges agree within their uncertainties.
	far := 0
	for i, c := range beam.Crowns {
		d := shop.Crowns[i]
		if math.Abs(c.OffMM-d.OffMM) > 2.5*math.Hypot(c.UMM, d.UMM) {
			far++
		}
	}
	if far > 4 {
		t.Errorf("%d of 132 crowns differ by more than 2.5 u", far)
	}
}

// random is a neck read by a beam, with faults.
func random(seed uint64, frets, strings int) FretsRequest {
	rnd := rand.New(rand.NewPCG(seed, 3))
	m := neck.Model{
		Name:    "random",
		Scale:   neck.Scale{Bass: 640, Treble: 640, Frets: frets, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{43, 56.5}},
		Strings: neck.Strings{Spread: neck.Pair{35, 51}, Set: make([]neck.String, strings)},
		Wire:    neck.Wire{CrownWidth: 2.4, CrownHeight: 1.2},
		Level:   neck.Level{Zone: 0.03, LeastCrown: 0.9, FallAway: &neck.FallAway{From: 15, Depth: neck.Pair{0.1, 0.1}}},
		Minutes: neck.Minutes{Reseat: 12, File: 2},
	}
	l, err := geometry.New(m)
	if err != nil {
		panic(err)
	}
	r := FretsRequest{Model: m, Layout: l, Fair: true}
	whole, tilt := make([]float64, frets+1), make([]float64, frets+1)
	for f := range whole {
		whole[f], tilt[f] = 0.01*rnd.NormFloat64(), 0.01*rnd.NormFloat64()
		if rnd.IntN(8) == 0 {
			whole[f] += 0.06 * rnd.NormFloat64()
		}
	}
	for lane := 1; lane <= strings; lane++ {
		for f := 1; f <= frets; f++ {
			v := 0.4 + whole[f] + tilt[f]*(l.Fraction(float64(lane))-0.5) + 0.004*rnd.NormFloat64()
			r.Readings = append(r.Readings, reading.Reading{Method: reading.Beam, Lane: float64(lane), Frets: []int{f}, Value: v, U: 0.004})
		}
	}
	return r
}

// zoneAfter is the worst lane's zone once removals are carried out.
func zoneAfter(t testing.TB, r FretsRequest, a *FretsAnswer, crowns []PlanCrown, refit []int) float64 {
	worst := 0.0
	for _, lane := range a.Lanes {
		var x, d []float64
		for _, c := range a.Crowns {
			if c.Lane != lane.Lane || slices.Contains(refit, c.Fret) {
				continue
			}
			off := c.OffMM
			for _, p := range crowns {
				if p.Fret == c.Fret && p.Lane == c.Lane {
					off -= p.RemoveMM
				}
			}
			x, d = append(x, r.Layout.LaneX(c.Fret, c.Lane)), append(d, off)
		}
		z, err := straight.Zone(x, d)
		if err != nil {
			t.Fatal(err)
		}
		worst = max(worst, z.WidthMM)
	}
	return worst
}

// TestFrets_PlanKeepsItsWord: whatever the neck, carrying the plan out leaves
// every lane in its zone, no option costs more than the one before, and sums,
// crown left and flat agree with what is taken off.
func TestFrets_PlanKeepsItsWord(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := random(rapid.Uint64Range(0, 1e6).Draw(rt, "seed"), rapid.IntRange(5, 24).Draw(rt, "frets"), rapid.IntRange(1, 7).Draw(rt, "strings"))
		a := answer(t, r)
		if z := zoneAfter(t, r, a, a.Plan.Crowns, nil); z > 0.03+1e-9 {
			rt.Fatalf("zone after the plan %.12f mm", z)
		}
		if f := a.Plan.Fair; f != nil {
			if z := zoneAfter(t, r, a, f.Crowns, nil); z > 0.03+1e-7 {
				rt.Fatalf("zone after the fair plan %.12f mm", z)
			}
			if f.TotalRemoveMM < a.Plan.TotalRemoveMM-1e-9 {
				rt.Fatalf("the fair plan takes %.9f mm, less than the least %.9f mm", f.TotalRemoveMM, a.Plan.TotalRemoveMM)
			}
		}
		sum, most, least := 0.0, 0.0, 1.2
		for _, c := range a.Plan.Crowns {
			sum, most = sum+c.RemoveMM, max(most, c.RemoveMM)
			least = min(least, c.LeftMM)
			if math.Abs(c.LeftMM+c.RemoveMM-1.2) > 1e-12 || math.Abs(c.LandMM-2*math.Sqrt(2*1.2*c.RemoveMM-c.RemoveMM*c.RemoveMM)) > 1e-12 {
				rt.Fatalf("%+v", c)
			}
		}
		if math.Abs(sum-a.Plan.TotalRemoveMM) > 1e-9 || math.Abs(most-a.Plan.MaxRemoveMM) > 1e-12 || math.Abs(least-a.Plan.LeastCrownMM) > 1e-12 {
			rt.Fatalf("sum %g, most %g, least %g: %+v", sum, most, least, a.Plan)
		}
		for i, o := range a.Plan.Options {
			if len(o.Refit) != i || !o.Minutes.Known() {
				rt.Fatalf("option %d: %+v", i, o)
			}
			if i > 0 && o.TotalRemoveMM > a.Plan.Options[i-1].TotalRemoveMM+1e-12 {
				rt.Fatalf("refitting more takes more: %+v", a.Plan.Options)
			}
			if o.TotalRemoveMM == 0 && zoneAfter(t, r, a, nil, o.Refit) > 0.03+1e-9 {
				rt.Fatalf("option %d takes nothing, yet the rest is not level", i)
			}
		}
	})
}

// TestFrets_After: a crown left proud and one taken too far are named.
func TestFrets_After(t *testing.T) {
	r := example(t, "heron.toml", "heron-refitted.csv")
	r.Seated = []int{19}
	work := answer(t, r).Work
	rnd := rand.New(rand.NewPCG(1, 4))
	later := func(more func(lane int) float64) []reading.Reading {
		out := slices.Clone(r.Readings)
		for i, k := range out {
			for _, c := range work.Crowns {
				if c.Fret == k.Frets[0] && c.Lane == k.Lane {
					out[i].Value -= c.RemoveMM
				}
			}
			if k.Frets[0] == 19 {
				out[i].Value -= more(int(k.Lane))
			}
			out[i].Value += 0.001 * rnd.NormFloat64()
			out[i].U = 0.002
		}
		return out
	}
	r.After = later(func(int) float64 { return 0.08 })
	a := answer(t, r).After
	beyond := 0
	for _, c := range a.Beyond {
		if c.Fret == 19 && c.TakenMM-c.PlannedMM > 0.05 {
			beyond++
		}
	}
	if a.Reached || beyond != 6 || a.BeyondMM < 0.4 {
		t.Errorf("reached %v, beyond %+v", a.Reached, a.Beyond)
	}
	r.After = later(func(lane int) float64 { return -0.01 * float64(7-lane) })
	a = answer(t, r).After
	proud := false
	for _, c := range a.Proud {
		proud = proud || c.Fret == 19 && c.Lane == 1 && c.TakenMM < c.PlannedMM
	}
	if a.Reached || !proud {
		t.Errorf("reached %v, proud %+v", a.Reached, a.Proud)
	}
	r.After = later(func(int) float64 { return 0 })
	if a = answer(t, r).After; !a.Reached || len(a.Beyond)+len(a.Proud)+len(a.FiledByMistake) > 0 || a.Earlier == 0 {
		t.Errorf("as planned: reached %v, beyond %+v, proud %+v, by mistake %+v, %d earlier", a.Reached, a.Beyond, a.Proud, a.FiledByMistake, a.Earlier)
	}
	// What is left of a crown is less by what was planned off it before.
	if least := a.Work.LeastCrownMM; math.Abs(least-work.LeastCrownMM) > 1e-12 {
		t.Errorf("%.4f mm of crown left, after the work %.4f", least, work.LeastCrownMM)
	}
}

// TestFrets_NothingToJudge: an answer is whole even where nothing is known.
func TestFrets_NothingToJudge(t *testing.T) {
	r := example(t, "heron.toml", "heron-seated.csv")
	r.Readings = r.Readings[:2]
	a := answer(t, r)
	if a.Verdict != "in doubt" || len(a.Undetermined) != 132 || len(a.Lanes) != 1 || a.Lanes[0].ZoneMM.Known() || a.Passed() {
		t.Errorf("%+v", a)
	}
	data, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"neck", "verdict", "zone_limit_mm", "lanes", "crowns", "frets", "recheck", "undetermined", "plan"} {
		if back[key] == nil {
			t.Errorf("%s is missing or null", key)
		}
	}
}

// BenchmarkFrets: 24 frets by 6 lanes with the options up to three refits.
func BenchmarkFrets(b *testing.B) { benchmarkFrets(b, 24, 6) }

// BenchmarkFrets_Large: 36 frets by 12 lanes.
func BenchmarkFrets_Large(b *testing.B) { benchmarkFrets(b, 36, 12) }

func benchmarkFrets(b *testing.B, frets, strings int) {
	r := random(5, frets, strings)
	r.Fair = false
	for b.Loop() {
		answer(b, r)
	}
}

// TestFrets_FileInstead: a high fret may be filed at once where nothing else is
// to be mended first; beside a low fret the plan's depth is no advice.
func TestFrets_FileInstead(t *testing.T) {
	a := answer(t, example(t, "heron.toml", "heron-refitted.csv"))
	if len(a.Frets) != 1 || !a.Frets[0].FileMM.Known() || casetest.Value(a.Frets[0].FileMM) != a.Plan.MaxRemoveMM || casetest.Value(a.Frets[0].FileLeftMM) != a.Plan.LeastCrownMM {
		t.Errorf("%+v, plan %g, %g", a.Frets, a.Plan.MaxRemoveMM, a.Plan.LeastCrownMM)
	}
	a = answer(t, example(t, "heron.toml", "heron-seated.csv"))
	if len(a.Frets) != 3 {
		t.Fatalf("%+v", a.Frets)
	}
	for _, f := range a.Frets {
		if f.FileMM.Known() {
			t.Errorf("fret %d: file %g beside a low fret", f.Fret, casetest.Value(f.FileMM))
		}
	}
}
