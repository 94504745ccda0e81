package answer

import (
	"context"
	"math"
	"slices"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// usualNeck is a new neck file's neck with a change.
func usualNeck(t *testing.T, like string, change func(*neck.Model)) PlayRequest {
	t.Helper()
	text, err := neck.Template(like)
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse(like+".toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	change(&m)
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return PlayRequest{Model: m, Layout: l}
}

// lowest is how low each string of a neck can go, all notes clear.
func lowest(t *testing.T, a *PlayAnswer) (all []float64) {
	t.Helper()
	for _, s := range a.Strings {
		all = append(all, casetest.Value(s.LowestClearActionMM))
	}
	return all
}

// Set-ups that makers call usual (common practice, no source): action over fret 12
// at the treble and at the bass side, relief, gauges in thousandths. Every note of
// them is clear at "firm", and the last string needs the higher action.
func TestPlay_UsualSetUps(t *testing.T) {
	for _, c := range []struct {
		like         string
		treble, bass float64
		relief       float64
		gauges       []float64
	}{
		{"electric", 1.5, 1.9, 0.15, nil}, // as the new neck file has it
		{"electric", 1.3, 1.7, 0.20, nil},
		{"electric", 1.5, 2.0, 0.20, []float64{9, 11, 16, 24, 32, 42}},
		{"electric", 1.4, 1.8, 0.15, []float64{11, 14, 18, 28, 38, 49}},
		{"acoustic", 1.8, 2.4, 0.18, nil},
		{"acoustic", 1.6, 2.2, 0.20, nil},
		{"acoustic", 1.8, 2.4, 0.15, []float64{11, 15, 22, 32, 42, 52}},
		{"acoustic", 1.8, 2.3, 0.20, []float64{13, 17, 26, 35, 45, 56}},
		{"bass", 1.9, 2.4, 0.25, nil},
		{"bass", 1.8, 2.3, 0.30, nil},
		{"bass", 1.8, 2.4, 0.20, []float64{50, 70, 90, 110}},
	} {
		a := mustPlay(t, usualNeck(t, c.like, func(m *neck.Model) {
			last := len(m.Setup.Action) - 1
			for i := range m.Setup.Action {
				m.Setup.Action[i] = c.treble + (c.bass-c.treble)*float64(i)/float64(last)
			}
			m.Setup.Relief = c.relief
			for i, g := range c.gauges {
				m.Strings.Set[i].Gauge = 0.0254 * g
			}
		}))
		if n, all := a.Count("firm"); n["clear"] != all || all < 80 {
			t.Errorf("%s %v: %v of %d notes", c.like, c, n, all)
		}
		low := lowest(t, a)
		if last := len(low) - 1; !(low[last] > low[0]+0.05) || slices.Max(low) != low[last] {
			t.Errorf("%s %v: lowest clear actions %.2f", c.like, c, low)
		}
		t.Logf("%s, action %g to %g, relief %g: lowest %.2f", c.like, c.treble, c.bass, c.relief, low)
	}
}

// The relief that lets the strings go lowest, in the mean over the strings, is what
// makers set: 0.1 to 0.3 mm (common practice, no source).
func TestPlay_BestRelief(t *testing.T) {
	for _, like := range neck.Templates() {
		best, at := math.Inf(1), 0.0
		for relief := 0.0; relief < 0.42; relief += 0.05 {
			n, _, err := strung(context.Background(), usualNeck(t, like, func(m *neck.Model) {
				m.Setup.Relief, m.Setup.Touch = relief, m.Setup.Touch[1:2]
				m.Setup.Action = slices.Repeat([]float64{8}, len(m.Setup.Action)) // nothing to run: the lowest is the same from any
			}))
			if err != nil {
				t.Fatal(err)
			}
			report, err := n.Judge(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for _, s := range report.Strings {
				sum += casetest.Value(s.LowestClearActionMM) / float64(len(report.Strings))
			}
			if sum < best {
				best, at = sum, relief
			}
		}
		t.Logf("%s: relief %.2f mm, lowest action %.3f mm in the mean", like, at, best)
		if at < 0.1 || at > 0.3 {
			t.Errorf("%s goes lowest at a relief of %.2f mm", like, at)
		}
	}
}

// What a new neck file does not say is said to be assumed, and nothing else; a neck
// file from before the keys were there says all of it.
func TestPlay_Assumed(t *testing.T) {
	keys := func(a *PlayAnswer) (all []string) {
		for _, x := range a.Assumed {
			if x.Says == "" {
				t.Errorf("%s says nothing", x.Key)
			}
			all = append(all, x.Key)
		}
		return all
	}
	for _, like := range neck.Templates() {
		a := mustPlay(t, usualNeck(t, like, func(m *neck.Model) { m.Setup.Touch = m.Setup.Touch[1:2] }))
		if got := keys(a); !slices.Equal(got, []string{"strings.set.core"}) {
			t.Errorf("%s: assumed %v", like, got)
		}
	}
	m, l := heronNeck(t)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l})
	if got := keys(a); !slices.Equal(got, []string{"strings.set.wrap", "strings.set.core", "strings.damping", "setup.relief_to"}) {
		t.Errorf("Heron 22: assumed %v", got)
	}
	if s := a.Strings[5]; s.Wrap != neck.NickelPlatedSteel || !s.WrapTaken || math.Abs(s.UCoreMM/s.CoreMM-0.15) > 1e-12 {
		t.Errorf("string 6: %q, taken %v, core %g ± %g", s.Wrap, s.WrapTaken, s.CoreMM, s.UCoreMM)
	}
	if s := a.Strings[0]; s.Wrap != "" || s.WrapTaken || s.UCoreMM != 0 {
		t.Errorf("string 1, plain: %+v", s)
	}
	g, _ := heronNeck(t, `{ pitch = "B3", gauge = "0.013 in", kind = "plain" }`, `{ pitch = "B3" }`)
	if got := mustPlay(t, PlayRequest{Model: g, Layout: l}).Assumed[0]; got.Key != "strings.set.gauge" || !slices.Equal(got.Strings, []int{2}) {
		t.Errorf("without a gauge: assumed %+v", got)
	}
	d, _ := heronNeck(t, "[wire]", "damping = { base = 1 }\n\n[wire]")
	for i := range d.Strings.Set {
		d.Strings.Set[i].Mass = a.Strings[i].MassGPerM
	}
	d.Setup.Relief = 0
	if got := keys(mustPlay(t, PlayRequest{Model: d, Layout: l})); !slices.Equal(got, []string{"strings.set.core"}) {
		t.Errorf("with masses, damping and no relief: assumed %v", got)
	}
}
