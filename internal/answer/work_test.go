package answer

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/level"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/trial"
)

// drawn is an invented neck and what is asked of it.
func drawn(t testing.TB, class string, seed uint64, o trial.Options) (*trial.Neck, FretsRequest) {
	t.Helper()
	c, err := trial.ClassOf(class)
	if err != nil {
		t.Fatal(err)
	}
	n, err := c.Draw(seed, o)
	if err != nil {
		t.Fatal(err)
	}
	return n, FretsRequest{Model: n.Model, Layout: n.Layout, Readings: n.Readings}
}

// carriedOut is the truth after work: metal off, frets that were to be pressed or
// replaced in line with their neighbours. A hand that is not exact scatters by
// level.HandMM.
func carriedOut(n *trial.Neck, w *Work, hand float64, r *rand.Rand) [][]float64 {
	z := make([][]float64, len(n.Truth.Z))
	var first []int
	for _, f := range w.First {
		first = append(first, f.Fret)
	}
	for k := range z {
		z[k] = slices.Clone(n.Truth.Z[k])
		for _, c := range w.Crowns {
			if c.Lane == n.Truth.Lanes[k] {
				z[k][c.Fret-n.Truth.Frets[0]] -= c.RemoveMM + hand*r.NormFloat64()
			}
		}
		var x, off []float64
		for i, f := range n.Truth.Frets {
			if !slices.Contains(first, f) {
				x, off = append(x, n.Truth.X[k][i]), append(off, z[k][i]-n.Truth.Shape[k][i])
			}
		}
		for i, f := range n.Truth.Frets {
			if slices.Contains(first, f) {
				z[k][i] = n.Truth.Shape[k][i] + level.InLine(x, off, n.Truth.X[k][i])
			}
		}
	}
	return z
}

// beamed reads crowns by beam, some passes a lane.
func beamed(n *trial.Neck, z [][]float64, passes int, u float64, r *rand.Rand) []reading.Reading {
	var out []reading.Reading
	for p := range passes {
		for k, lane := range n.Truth.Lanes {
			a, b := 0.3+0.1*r.NormFloat64(), 0.0005*r.NormFloat64()
			for i, f := range n.Truth.Frets {
				out = append(out, reading.Reading{Line: len(out) + 2, Method: reading.Beam, Lane: lane, Frets: []int{f}, U: u, UGiven: true,
					Pass: string(rune('a' + p)), Value: z[k][i] + a + b*n.Truth.X[k][i] + u*r.NormFloat64()})
			}
		}
	}
	return out
}

// trulyLevel reports whether every lane of crowns z keeps the limit.
func trulyLevel(t testing.TB, n *trial.Neck, z [][]float64) bool {
	for k := range z {
		d := make([]float64, len(z[k]))
		for i := range d {
			d[i] = z[k][i] - n.Truth.Shape[k][i]
		}
		v, err := straight.Zone(n.Truth.X[k], d)
		if err != nil {
			t.Fatal(err)
		}
		if v.WidthMM > n.Model.Level.Zone {
			return false
		}
	}
	return true
}

// TestWork_Arrives: necks with a hump, some with a bad fret, are filed as asked,
// every other one by a hand true to 4 µm, and read again: nearly all are then
// called level, and none that is not. Filed to the limit itself hardly one is.
func TestWork_Arrives(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	const u = 0.005
	reached, filed, atLimit, tried, foretold := 0, 0, 0, 0, 0.0
	for seed := uint64(9100); filed < 24 && seed < 9200; seed++ {
		n, r := drawn(t, "humped", seed, trial.Options{Passes: 2, UMM: u})
		rnd := rand.New(rand.NewPCG(seed, 17))
		a := answer(t, r)
		if a.Work == nil || len(a.Work.Crowns) == 0 {
			continue
		}
		foretold += a.Work.Arrives
		z := carriedOut(n, a.Work, level.HandMM*float64(filed%2), rnd)
		filed++
		r.After = beamed(n, z, 2, u, rnd)
		switch b := answer(t, r).After; {
		case b.Verdict != "level":
			t.Logf("seed %d: planned to %.4f, arrives %.3f: %s", seed, a.Work.PlannedToMM, a.Work.Arrives, b.Verdict)
		case !trulyLevel(t, n, z):
			t.Errorf("seed %d: called level and is not", seed)
		default:
			reached++
		}
		if filed%4 == 0 {
			r.PlanToMM = 0
			full := *a.Work
			full.First, full.Crowns = nil, a.Plan.Crowns
			r.Readings, r.After = beamed(n, carriedOut(n, &full, 0, rnd), 2, u, rnd), nil
			tried++
			if answer(t, r).Verdict == "level" {
				atLimit++
			}
		}
	}
	t.Logf("%d filed, %d level, foretold %.1f; %d of %d at the limit itself", filed, reached, foretold, atLimit, tried)
	if filed < 24 || reached < 22 {
		t.Errorf("%d of %d necks are level after the work", reached, filed)
	}
	if atLimit > 1 || tried < 6 {
		t.Errorf("%d of %d necks filed to the limit are called level", atLimit, tried)
	}
}

// TestWork_BridgeAlone: a bridge adds its errors up along the neck: from its
// readings alone nothing is filed, and a reading that helps is named.
func TestWork_BridgeAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	for seed := range uint64(8) {
		_, r := drawn(t, "bridge", 700+seed, trial.Options{})
		a := answer(t, r)
		if a.Work != nil && len(a.Work.Crowns) > 0 {
			t.Errorf("seed %d: %d crowns to file", seed, len(a.Work.Crowns))
		}
		if a.Work == nil && a.WhyNot == "" || a.Verdict == "level" {
			t.Errorf("seed %d: %s, no work and no reason", seed, a.Verdict)
		}
	}
}

// TestWork_Sound: frets put in well want no work.
func TestWork_Sound(t *testing.T) {
	for seed := range uint64(8) {
		_, r := drawn(t, "new", 40+seed, trial.Options{})
		a := answer(t, r)
		if w := a.Work; w == nil || len(w.Crowns)+len(w.First) > 0 || w.TotalRemoveMM != 0 || w.LeastCrownMM <= 0 || a.WhyNot != "" {
			t.Errorf("seed %d: %s, %+v, %q", seed, a.Verdict, w, a.WhyNot)
		}
	}
}

func firstOf(w *Work) []int {
	out := []int{}
	for _, f := range w.First {
		out = append(out, f.Fret)
	}
	return out
}

// TestWork_First: frets that sit wrong come first and lose no metal; one that
// already sits is filed instead; a reading set aside keeps the file off.
func TestWork_First(t *testing.T) {
	a := answer(t, example(t, "heron.toml", "heron-seated.csv"))
	if a.Work == nil || !slices.Equal(firstOf(a.Work), []int{7, 14, 19}) || len(a.Work.Crowns) > 0 || !strings.Contains(a.WhyNot, "Fret 9 in lane 4") {
		t.Errorf("seated: %+v, %q", a.Work, a.WhyNot)
	}
	r := example(t, "heron.toml", "heron-refitted.csv")
	a = answer(t, r)
	if a.Work == nil || !slices.Equal(firstOf(a.Work), []int{19}) || len(a.Work.Crowns) > 0 || a.WhyNot != "" || !a.Work.First[0].OrFile {
		t.Errorf("refitted: %+v, %q", a.Work, a.WhyNot)
	}
	r.Seated = []int{19}
	a = answer(t, r)
	on19 := 0
	for _, c := range a.Work.Crowns {
		if c.Fret == 19 {
			on19++
		}
	}
	if len(a.Work.First) > 0 || on19 != 6 || a.Frets[0].Advice != text.SitsDown || a.Work.Arrives < 0.95 {
		t.Errorf("19 sits: %+v", a.Work)
	}
}

// TestWork_Premature: crowns that nobody read, and doubt, keep the file off; a zone
// asked for is filed to in doubt too, but not one that would not arrive.
func TestWork_Premature(t *testing.T) {
	n, r := drawn(t, "humped", 9101, trial.Options{})
	all := r.Readings
	r.Readings = slices.DeleteFunc(slices.Clone(all), func(k reading.Reading) bool { return k.Lane == 2 && k.Frets[0] == 5 })
	if a := answer(t, r); a.Work != nil || !strings.HasPrefix(a.WhyNot, "1 crown is not determined. Read it before filing.") {
		t.Errorf("a crown not read: %+v, %q", a.Work, a.WhyNot)
	}
	r.Readings = all
	r.PlanToMM = n.Model.Level.Zone
	if a := answer(t, r); a.Work != nil || !strings.Contains(a.WhyNot, "Without --plan-to") {
		t.Errorf("to the limit: %+v, %q", a.Work, a.WhyNot)
	}
	r.PlanToMM = 0.4 * n.Model.Level.Zone
	if a := answer(t, r); a.Work == nil || a.Work.PlannedToMM != r.PlanToMM || a.Work.Arrives < 0.5 || len(a.Work.Crowns) == 0 {
		t.Errorf("to %g: %+v, %q", r.PlanToMM, a.Work, a.WhyNot)
	}
	// A neck at the limit is in doubt: read on. Who asks for a zone means to file.
	flat := make([][]float64, len(n.Truth.Z))
	for k := range flat {
		flat[k] = slices.Clone(n.Truth.Shape[k])
		for i := range flat[k] {
			flat[k][i] += n.Model.Level.Zone / 2 * math.Sin(2*math.Pi*float64(i)/11)
		}
	}
	r = FretsRequest{Model: n.Model, Layout: n.Layout, Readings: beamed(n, flat, 1, 0.005, rand.New(rand.NewPCG(3, 3)))}
	if a := answer(t, r); a.Verdict != "in doubt" || a.Work != nil || !strings.Contains(a.WhyNot, "in doubt") || !strings.Contains(a.WhyNot, "Next: ") {
		t.Errorf("at the limit: %s, %+v, %q", a.Verdict, a.Work, a.WhyNot)
	}
	r.PlanToMM = 0.2 * n.Model.Level.Zone
	if a := answer(t, r); a.Work == nil || len(a.Work.Crowns) == 0 {
		t.Errorf("in doubt, to %g: %+v, %q", r.PlanToMM, a.Work, a.WhyNot)
	}
}

// TestWork_Bound: whatever the neck, no less metal than the limit itself takes of
// the same frets, every lane within what was planned to, and sums that agree.
func TestWork_Bound(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	filed := 0
	classes := []string{"humped", "played", "slanted", "bass"}
	for seed := range uint64(16) {
		n, r := drawn(t, classes[seed%4], 60+seed, trial.Options{})
		r.Fair = seed%8 >= 4
		a := answer(t, r)
		w := a.Work
		if w == nil || len(w.Crowns) == 0 {
			continue
		}
		filed++
		first := firstOf(w)
		if w.TotalRemoveMM < w.ToLimit.TotalRemoveMM-1e-9 || w.PlannedToMM > 0.03 || w.PlannedToMM <= 0 || w.Arrives < 0.5 || w.Arrives > 1 {
			t.Errorf("seed %d: %+v, to the limit %+v", seed, w, w.ToLimit)
		}
		if z := zoneAfter(t, r, a, w.Crowns, first); z > w.PlannedToMM+1e-7 {
			t.Errorf("seed %d: zone after the work %.9f, planned to %.9f", seed, z, w.PlannedToMM)
		}
		sum, most, frets := 0.0, 0.0, map[int]bool{}
		for _, c := range w.Crowns {
			sum, most = sum+c.RemoveMM, max(most, c.RemoveMM)
			frets[c.Fret] = true
			if slices.Contains(first, c.Fret) || math.Abs(c.LeftMM+c.RemoveMM-n.Model.Wire.CrownHeight) > 1e-12 {
				t.Errorf("seed %d: %+v, first %v", seed, c, first)
			}
		}
		if math.Abs(sum-w.TotalRemoveMM) > 1e-9 || math.Abs(most-w.MaxRemoveMM) > 1e-12 || casetest.Value(w.Minutes) != 3*float64(len(frets)) {
			t.Errorf("seed %d: sum %g, most %g, %g minutes: %+v", seed, sum, most, casetest.Value(w.Minutes), w)
		}
		for _, o := range w.Options {
			for _, f := range o.Refit {
				if slices.Contains(first, f) {
					t.Errorf("seed %d: fret %d is seen to first and refitted too", seed, f)
				}
			}
		}
	}
	if filed < 8 {
		t.Errorf("only %d necks were filed: the test shows nothing", filed)
	}
}

// TestWork_LeastCrown: crowns that would end too low are named, and what to replace
// instead.
func TestWork_LeastCrown(t *testing.T) {
	r := example(t, "heron-slant.toml", "heron-slant-seated.csv")
	r.Model.Level.LeastCrown = 1.17
	w := answer(t, r).Work
	if w == nil || len(w.Warnings) < 2 || !strings.Contains(w.Warnings[0], "lane 5") || !strings.HasPrefix(w.Warnings[len(w.Warnings)-1], "replace fret 2 instead") {
		t.Fatalf("%+v", w)
	}
	r.Model.Level.LeastCrown = 1.2
	if w := answer(t, r).Work; w == nil || !strings.HasPrefix(w.Warnings[len(w.Warnings)-1], "replacing three frets is not enough") {
		t.Errorf("%+v", w)
	}
}
