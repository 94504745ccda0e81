package glue

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/material"
	"ringtrue/internal/num"
)

func find(t testing.TB, name string) material.Wood {
	t.Helper()
	w, err := material.FindWood(name)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// heron is the Heron's slot: 0.58 mm for a tang of 0.52, 0.30 mm under it, as
// published: 25 °C, usual air, a wood without acid.
func heron(t testing.TB) Case {
	return Case{Kind: Thin, TempC: 25, HumidityPct: 50, Wood: find(t, "maple"), BesideMM: 0.03, FloorMM: 0.30, DepthMM: 1.8}
}

func look(t testing.TB, c Case) Outlook {
	t.Helper()
	o, err := Look(c)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestLook_heron: 16 s beside the tang; under it 41 min at best, and past what the
// thin grade bridges (0.05 mm, Handbook of Adhesive Technology).
func TestLook_heron(t *testing.T) {
	o := look(t, heron(t))
	beside, under := o.Gaps[0], o.Gaps[1]
	casetest.Near(t, "beside", casetest.Value(beside.PublishedS), 16, 0.5)
	casetest.Near(t, "here", casetest.Value(beside.HandlingS), casetest.Value(beside.PublishedS), 1e-9)
	casetest.Near(t, "under", casetest.Value(under.PublishedS), 41*60, 30)
	if !beside.Bridged || under.Bridged || casetest.Value(under.BridgesMM) != 0.05 || under.AtLeast {
		t.Errorf("%+v\n%+v", beside, under)
	}
	if o.Better != Thick || o.FloorTo != 0.05 || o.WaitH != 24 || o.Why != FullStrength {
		t.Errorf("%+v", o)
	}
	for kind, floor := range map[Kind]float64{Thin: 0.05, Medium: 0.25, Thick: 0.51} {
		c := heron(t)
		c.Kind = kind
		for _, f := range []struct {
			mm   float64
			want bool
		}{{floor, true}, {floor + 0.001, false}} {
			c.FloorMM = f.mm
			if o := look(t, c); o.Gaps[1].Bridged != f.want {
				t.Errorf("%s in %g mm: %v", kind, f.mm, o.Gaps[1].Bridged)
			}
		}
	}
	c := heron(t)
	c.FloorMM = 0.6
	if o := look(t, c); !o.Gaps[1].AtLeast || o.Better != "" {
		t.Errorf("0.6 mm: %+v", o)
	}
	c.BesideMM = -0.02 // the tang wedges
	if o := look(t, c); o.Gaps[0].MM != 0 || casetest.Value(o.Gaps[0].PublishedS) != 10 {
		t.Errorf("wedged: %+v", o.Gaps[0])
	}
}

// TestLook_factors: from memory, each as given: 2 to 4 times at 20 % humidity, half
// over 70 %, twice 10 °C colder, 2 to 5 times in acid wood.
func TestLook_factors(t *testing.T) {
	base := casetest.Value(look(t, heron(t)).Gaps[0].HandlingS)
	for _, c := range []struct {
		what              string
		change            func(*Case)
		low, likely, high float64 // beside the half that the surface leaves open
	}{
		{"as published", func(*Case) {}, 1, 1, 1},
		{"60 %", func(c *Case) { c.HumidityPct = 60 }, 1, 1, 1},
		{"40 %", func(c *Case) { c.HumidityPct = 40 }, 1, 1, 1},
		{"20 %", func(c *Case) { c.HumidityPct = 20 }, 2, math.Sqrt(8), 4},
		{"10 %", func(c *Case) { c.HumidityPct = 10 }, 2, math.Sqrt(8), 4},
		{"30 %", func(c *Case) { c.HumidityPct = 30 }, math.Sqrt2, math.Pow(8, 0.25), 2},
		{"70 %", func(c *Case) { c.HumidityPct = 70 }, math.Pow(0.5, 1.5), 0.5, math.Sqrt(0.5)},
		{"90 %", func(c *Case) { c.HumidityPct = 90 }, math.Pow(0.5, 1.5), 0.5, math.Sqrt(0.5)},
		{"15 °C", func(c *Case) { c.TempC = 15 }, math.Sqrt2, 2, math.Pow(2, 1.5)},
		{"ebony", func(c *Case) { c.Wood = find(t, "ebony") }, 2, math.Sqrt(10), 5},
		{"rosewood", func(c *Case) { c.Wood = find(t, "rosewood") }, 2, math.Sqrt(10), 5},
		{"both", func(c *Case) { c.TempC, c.Wood = 15, find(t, "ebony") }, 2 * math.Sqrt2, 2 * math.Sqrt(10), 5 * math.Pow(2, 1.5)},
	} {
		k := heron(t)
		c.change(&k)
		g := look(t, k).Gaps[0]
		casetest.Near(t, c.what+", likely", casetest.Value(g.HandlingS), base*c.likely, 1e-9)
		casetest.Near(t, c.what+", low", g.RangeS.Low, 0.5*base*c.low, 1e-9)
		casetest.Near(t, c.what+", high", g.RangeS.High, 1.5*base*c.high, 1e-9)
	}
	if acid, surely := Acid(material.Wood{Species: find(t, "maple").Species, Others: []material.Species{find(t, "ebony").Species}}); !acid || surely {
		t.Error("a name that may be ebony or maple")
	}
}

// TestLook_waits: other glues from memory; water leaves the slot as a slab does
// (0.848 a²/D, Crank 1975, with a the slot's depth of 1.8 mm: 3.2 days where slow).
func TestLook_waits(t *testing.T) {
	slow := 0.84809 * 1.8e-3 * 1.8e-3 / 1e-11 / 3600
	for _, c := range []struct {
		kind      Kind
		activator bool
		wait, low float64
		why       Reason
	}{
		{Thin, false, 24, 24, FullStrength}, {Thick, false, 24, 24, FullStrength}, {Medium, true, 1, 1, Activated},
		{Epoxy5, false, 2, 1, Cured}, {EpoxySlow, false, 24, 24, Cured}, {PVA, false, slow, 24, Moisture}, {Hide, false, slow, 24, Moisture},
	} {
		k := heron(t)
		k.Kind, k.Activator = c.kind, c.activator
		o := look(t, k)
		casetest.Near(t, string(c.kind)+" wait", o.WaitH, c.wait, 0.01)
		casetest.Near(t, string(c.kind)+" low", o.Range.Low, c.low, 0.01)
		if o.Why != c.why || c.kind.Cyanoacrylate() != o.Gaps[0].HandlingS.Known() {
			t.Errorf("%s: %+v", c.kind, o)
		}
	}
}

// Whatever the case: ranges in order, a wait no shorter than handling needs where
// the glue bridges, and neither colder, drier nor wider air or gaps set faster.
func TestLook_properties(t *testing.T) {
	ebony, maple := find(t, "ebony"), find(t, "maple")
	rapid.Check(t, func(t *rapid.T) {
		c := Case{Kind: rapid.SampledFrom(Kinds()).Draw(t, "kind"), TempC: rapid.Float64Range(1, 49).Draw(t, "t"), HumidityPct: rapid.Float64Range(0, 99).Draw(t, "rh"),
			Wood: rapid.SampledFrom([]material.Wood{ebony, maple}).Draw(t, "wood"), BesideMM: rapid.Float64Range(-0.1, 0.4).Draw(t, "beside"), FloorMM: rapid.Float64Range(0, 0.6).Draw(t, "floor"), DepthMM: 1.8}
		c.Activator = c.Kind.Cyanoacrylate() && rapid.Bool().Draw(t, "activator")
		o, err := Look(c)
		if err != nil {
			t.Fatal(err)
		}
		if !(o.Range.Low <= o.WaitH && o.WaitH <= o.Range.High && o.WaitH >= 1) {
			t.Fatalf("%+v", o)
		}
		colder := c
		colder.TempC--
		slower, err := Look(colder)
		if err != nil {
			t.Fatal(err)
		}
		for i, g := range o.Gaps {
			if g.RangeS == nil {
				continue
			}
			if s := *g.RangeS; !(s.Low <= s.Likely && s.Likely <= s.High) || g.Bridged && o.WaitH*3600 < s.High-1e-6 {
				t.Fatalf("%+v, wait %g h", s, o.WaitH)
			}
			if slower.Gaps[i].HandlingS.OrNaN() < g.HandlingS.OrNaN() {
				t.Fatalf("colder sets faster: %+v", g)
			}
		}
	})
}

func TestLook_refuses(t *testing.T) {
	for _, change := range []func(*Case){
		func(c *Case) { c.Kind, c.Activator = PVA, true }, func(c *Case) { c.TempC = -1 }, func(c *Case) { c.TempC = 51 }, func(c *Case) { c.TempC = math.NaN() },
	} {
		c := heron(t)
		change(&c)
		if _, err := Look(c); !errors.Is(err, ErrActivator) && !errors.Is(err, ErrTemperature) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// TestByTest: a test that ends early shortens the wait of cyanoacrylate, never the
// way of a water-based glue's moisture; one without an end changes nothing.
func TestByTest(t *testing.T) {
	fit := Fit{Verdict: Fitted, WaitMin: 60, LastMin: 1440}
	fit.Range.Low, fit.Range.High = 30, 120
	o := look(t, heron(t))
	o.ByTest(heron(t), nil, fit)
	if o.WaitH != 2 || o.Range.Low != 0.5 || o.Range.Likely != 1 || o.Why != OwnTest {
		t.Errorf("%+v", o)
	}
	c := heron(t)
	c.Kind = PVA
	w := look(t, c)
	before := w
	w.ByTest(c, nil, fit)
	if w.WaitH != before.WaitH || w.Why != Moisture {
		t.Errorf("%+v", w)
	}
	fit.Range.High = 60 * 200
	w.ByTest(c, nil, fit)
	if w.WaitH != 200 || w.Why != OwnTest {
		t.Errorf("%+v", w)
	}
	o = look(t, heron(t))
	fit.Verdict = NoPlateau
	o.ByTest(heron(t), nil, fit)
	if o.WaitH != 24 {
		t.Errorf("%+v", o)
	}
	fit.Verdict = Fitted
	fit.Range.High = 120
	for _, other := range [][]Push{{{Minutes: 1, GapMM: num.Some(0.2)}}, {{Minutes: 1, TempC: num.Some(20)}, {Minutes: 2, TempC: num.Some(30)}}} {
		o := look(t, heron(t))
		if o.ByTest(heron(t), other, fit); o.WaitH != 24 || o.Why != FullStrength {
			t.Errorf("%+v shortens the wait to %g h", other, o.WaitH)
		}
		longer := fit
		longer.Range.High = 60 * 48
		if o.ByTest(heron(t), other, longer); o.WaitH != 48 {
			t.Errorf("%+v does not lengthen it: %g h", other, o.WaitH)
		}
	}
}
