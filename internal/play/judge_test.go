package play

import (
	"math"
	"runtime"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// heron is a string over a lane of a 640 mm neck with 22 frets whose crowns
// stand off the line by offs (none: perfect), with 0.12 mm of relief.
func heron(t interface{ Fatal(...any) }, s neck.String, action float64, offs []float64) Case {
	const scale, relief = 640.0, 0.12
	tuned, err := stringset.Tune(s, scale, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	at := func(n int) float64 { return scale * (1 - math.Exp2(-float64(n)/12)) }
	lane := Lane{String: 1, ScaleMM: scale}
	for n := 1; n <= 22; n++ {
		share := (at(n) - at(1)) / (at(22) - at(1))
		c := Crown{Fret: n, XMM: at(n), BowMM: -4 * share * (1 - share), SpareMM: 0.3}
		if offs != nil {
			c.OffMM = offs[n-1]
		}
		c.ZMM = c.OffMM + relief*c.BowMM
		lane.Crowns = append(lane.Crowns, c)
	}
	return Case{Lane: lane, String: tuned, Decay: stringset.Law{Base: 0.5, Square: 5e-8}, Graze: 0.1, Judge: 1,
		Setup: Setup{NutMM: 0.35, ActionMM: action, ActionFret: 12},
		Touches: []neck.Touch{{Name: "light", Force: 0.2, FromSaddle: 130}, {Name: "firm", Force: 0.4, FromSaddle: 110},
			{Name: "hard", Force: 0.8, FromSaddle: 80}}}
}

var heronSet = []neck.String{{Pitch: "E4", Gauge: 0.254}, {Pitch: "B3", Gauge: 0.3302}, {Pitch: "G3", Gauge: 0.4318},
	{Pitch: "D3", Gauge: 0.6604, Wound: true}, {Pitch: "A2", Gauge: 0.9144, Wound: true}, {Pitch: "E2", Gauge: 1.1684, Wound: true}}

func judged(t interface{ Fatal(...any) }, c ...Case) []Judged {
	out, err := Judge(bg(), c)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// scattered gives crowns a scatter and one high fret.
func scattered(seed int) []float64 {
	offs := make([]float64, 22)
	for i := range offs {
		offs[i] = 0.02 * math.Sin(float64((i+1)*(seed+3))*2.39996)
	}
	offs[(5+7*seed)%22] += 0.05
	return offs
}

// At its lowest clear action the simulated string meets nothing; 2 µm lower it
// does.
func TestLowestAction_ClearMeansClear(t *testing.T) {
	for i, s := range heronSet {
		c := heron(t, s, 1.5, scattered(i))
		c.Touches = c.Touches[1:2]
		c.Judge = 0
		j := judged(t, c)[0]
		low, err := LowestAction(c.Lane, c.Setup, j.Own)
		if err != nil {
			t.Fatal(err)
		}
		count := func(action float64) (met int) {
			c.Setup.ActionMM = action
			for _, notes := range judged(t, c)[0].Notes {
				if notes[0].Verdict != Clear {
					met++
				}
			}
			return met
		}
		if n := count(low); n != 0 {
			t.Errorf("string %d: at the lowest clear action %.4f mm %d notes touch", i+1, low, n)
		}
		if n := count(low - 0.002); n == 0 {
			t.Errorf("string %d: below the lowest clear action %.4f mm nothing touches", i+1, low)
		}
		ideal, err := LowestAction(c.Lane, c.Setup, j.Ideal)
		if err != nil {
			t.Fatal(err)
		}
		c.Setup.ActionMM = ideal
		r, err := c.Lane.Rest(c.Setup)
		if err != nil {
			t.Fatal(err)
		}
		m, _ := least(marginsOf(c.Lane, c.Lane.Stops(c.Setup, r), r, j.Ideal))
		casetest.Near(t, "least margin at the lowest action", m, 0, 1e-12)
	}
}

// With the least clear metal off, the simulation finds every note clear, and
// with any crown's share given back by 2 µm it does not.
func TestLeastMetal_ClearMeansClear(t *testing.T) {
	casetest.OneByOne(t)
	taken := 0
	for i, s := range heronSet {
		c := heron(t, s, 1.5, scattered(i+20))
		c.Touches = c.Touches[1:2]
		c.Judge = 0
		j := judged(t, c)[0]
		metal := LeastMetal(c.Lane, j.Stops, j.Rest, j.Own)
		if !metal.Feasible {
			t.Fatalf("string %d: fret %d cannot spare it", i+1, metal.ShortFret)
		}
		bad := func(remove []float64) (met int) {
			// Nut and saddle stay where they are: the action over fret 12 is
			// what the new crowns make it.
			d := c
			d.Lane = c.Lane.without(remove)
			d.Setup.ActionMM += remove[11]
			for _, notes := range judged(t, d)[0].Notes {
				if notes[0].Verdict != Clear {
					met++
				}
			}
			return met
		}
		if n := bad(metal.RemoveMM); n != 0 {
			t.Errorf("string %d: %d notes touch with the metal off", i+1, n)
		}
		for k, r := range metal.RemoveMM {
			if r < 0.002 {
				continue
			}
			taken++
			less := append([]float64(nil), metal.RemoveMM...)
			less[k] -= 0.002
			if bad(less) == 0 {
				t.Errorf("string %d: fret %d could lose 2 µm less", i+1, k+1)
			}
		}
	}
	if taken < 5 {
		t.Errorf("only %d crowns lost metal: the case is too mild", taken)
	}
}

// Every verdict comes from the same physics: no note with a contact has a
// stiff-string margin, and none without lacks one.
func TestJudge_VerdictsAgreeWithOwnReach(t *testing.T) {
	casetest.OneByOne(t)
	seen := map[Verdict]int{}
	for i, s := range heronSet {
		for _, action := range []float64{0.6, 1.1, 1.5, 2.5} {
			c := heron(t, s, action, scattered(i))
			j := judged(t, c)[0]
			for si, notes := range j.Notes {
				n := notes[c.Judge]
				seen[n.Verdict]++
				ms, err := margins(c.Lane, c.Setup, si, j.Own)
				if err != nil {
					t.Fatal(err)
				}
				clear := true
				for _, m := range ms {
					clear = clear && m >= -touchMM
				}
				if clear != (n.Verdict == Clear) {
					t.Errorf("string %d fret %d action %g: verdict %s, margins %v", i+1, n.Fret, action, n.Verdict, ms)
				}
				if (n.Contact != nil) != (n.Verdict == Grazes || n.Verdict == Buzzes) {
					t.Errorf("string %d fret %d: verdict %s with contact %v", i+1, n.Fret, n.Verdict, n.Contact)
				}
				if n.Fret == 22 && (n.MarginMM.Known() || n.Verdict != Clear) {
					t.Errorf("beyond the last fret there is something: %+v", n)
				}
			}
		}
	}
	for _, v := range []Verdict{Clear, Grazes, Buzzes, Chokes} {
		if seen[v] == 0 {
			t.Errorf("no note %s: the cases are too mild: %v", v, seen)
		}
	}
}

// The answer does not hang on how many processors work at it.
func TestJudge_SameOnAnyNumberOfProcessors(t *testing.T) {
	cases := []Case{heron(t, heronSet[2], 1.4, scattered(1)), heron(t, heronSet[5], 1.4, scattered(2))}
	many := judged(t, cases...)
	old := runtime.GOMAXPROCS(1)
	one := judged(t, cases...)
	runtime.GOMAXPROCS(old)
	for i := range many {
		for s := range many[i].Notes {
			for k, n := range many[i].Notes[s] {
				o := one[i].Notes[s][k]
				if n.Verdict != o.Verdict || n.MarginMM != o.MarginMM || (n.Contact != nil && n.Contact.ImpulseMNS != o.Contact.ImpulseMNS) {
					t.Fatalf("two processors %+v, one %+v", n, o)
				}
			}
		}
	}
}

// A string set lower than its frets chokes on all it can, without a run.
func TestJudge_ChokesBelowTheFrets(t *testing.T) {
	for _, notes := range judged(t, heron(t, heronSet[0], -5, nil))[0].Notes {
		for _, n := range notes {
			if want := Chokes; n.Fret < 22 && (n.Verdict != want || n.Contact != nil || n.MarginMM.OrNaN() >= 0) {
				t.Errorf("fret %d: %+v", n.Fret, n)
			}
		}
	}
}

// The remedies do what they say, each by itself.
func TestRemedies_Work(t *testing.T) {
	kinds := map[string]int{}
	for i, s := range heronSet {
		offs := scattered(i)
		offs[3] -= 0.06
		c := heron(t, s, 1.45, offs)
		j := judged(t, c)[0]
		for si := range j.Stops {
			r, needed, err := RemedyOf(c.Lane, c.Setup, si, j.Own)
			if err != nil {
				t.Fatal(err)
			}
			if needed == (j.Notes[si][c.Judge].Verdict == Clear) {
				t.Errorf("string %d stop %d: remedy %v for a note that is %s", i+1, si, needed, j.Notes[si][c.Judge].Verdict)
			}
			if !needed {
				continue
			}
			rings := func(l Lane, s Setup) bool {
				ok, err := ringsWith(l, s, si, j.Own)
				if err != nil {
					t.Fatal(err)
				}
				return ok
			}
			up := c.Setup
			up.ActionMM += r.ActionMM
			less := up
			less.ActionMM -= 0.001
			if !rings(c.Lane, up) || rings(c.Lane, less) {
				t.Errorf("string %d stop %d: raising the action by %g is not just enough", i+1, si, r.ActionMM)
			}
			if r.LevelFret {
				kinds["level"]++
			}
			if r.RaiseStop {
				kinds["raise"]++
				if !rings(c.Lane.Refitted(j.Stops[si].Fret), c.Setup) {
					t.Errorf("string %d stop %d: refitting the stop does not help", i+1, si)
				}
			}
			if !math.IsInf(r.NutMM, 1) {
				kinds["nut"]++
				nut := c.Setup
				nut.NutMM += r.NutMM
				if !rings(c.Lane, nut) {
					t.Errorf("string %d: raising the nut by %g does not help", i+1, r.NutMM)
				}
			}
		}
		relief, err := ReliefRange(c.Lane, c.Setup, j.Own)
		if err != nil {
			t.Fatal(err)
		}
		if !relief.Empty() {
			kinds["relief"]++
			ok, err := Clears(c.Lane.Bent(relief.Nearest(0)), c.Setup, j.Own)
			if err != nil || !ok {
				t.Errorf("string %d: relief changed by %g does not clear it (%v)", i+1, relief.Nearest(0), err)
			}
		}
	}
	for _, k := range []string{"level", "raise"} {
		if kinds[k] == 0 {
			t.Errorf("no remedy of kind %s: %v", k, kinds)
		}
	}
}

// A lane and a string scaled alike in all lengths, its force with the square:
// the same verdicts, margins in proportion.
func TestMargins_Scale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0.5, 2).Draw(t, "factor")
		c := heron(t, heronSet[rapid.IntRange(0, 5).Draw(t, "string")], rapid.Float64Range(0.5, 3).Draw(t, "action"), scattered(rapid.IntRange(0, 40).Draw(t, "seed")))
		d := c
		d.Lane.Crowns = append([]Crown(nil), c.Lane.Crowns...)
		d.Lane.ScaleMM *= f
		for i := range d.Lane.Crowns {
			d.Lane.Crowns[i].XMM *= f
			d.Lane.Crowns[i].ZMM *= f
		}
		d.Setup.NutMM *= f
		d.Setup.ActionMM *= f
		touch := c.Touches[0]
		touch.FromSaddle *= f
		of := func(c Case, touch neck.Touch) []Margin {
			r, err := c.Lane.Rest(c.Setup)
			if err != nil {
				t.Fatal(err)
			}
			stops := c.Lane.Stops(c.Setup, r)
			clearance, err := IdealClearance(c.Lane, stops, touch, c.String.TensionN)
			if err != nil {
				t.Fatal(err)
			}
			return marginsOf(c.Lane, stops, r, clearance)
		}
		a, b := of(c, c.Touches[0]), of(d, touch)
		for i := range a {
			if math.Abs(a[i].LeastMM*f-b[i].LeastMM) > 1e-10 {
				t.Errorf("stop %d: %g × %g against %g", i, a[i].LeastMM, f, b[i].LeastMM)
			}
		}
	})
}

func BenchmarkJudge_WholeNeck(b *testing.B) {
	var cases []Case
	for i, s := range heronSet {
		cases = append(cases, heron(b, s, 1.4+0.08*float64(i), nil))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge(bg(), cases); err != nil {
			b.Fatal(err)
		}
	}
}

// least is the smallest margin of a lane, and whether there is any.
func least(margins []Margin) (float64, bool) {
	low, any := math.Inf(1), false
	for _, m := range margins {
		if m.Any && m.LeastMM < low {
			low, any = m.LeastMM, true
		}
	}
	return low, any
}
