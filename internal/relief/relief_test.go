package relief

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/necktest"
)

// TestRise_BeamTables: Roark; Gere and Timoshenko, tables of beams (from memory).
func TestRise_BeamTables(t *testing.T) {
	const e, m, l = 12600.0, 6750.0, 400.0
	ei := SectionOf(Rectangle(0, 50, 20, e)).StiffnessNMM2
	casetest.Near(t, "EI of 50 by 20, N m²", ei/1e6, 420, 1e-9)
	even := func(float64) float64 { return m / ei }
	tip := Rise(0, l, even)
	casetest.Near(t, "cantilever under an end moment, tip ML²/2EI", tip, 1.285714, 1e-6)
	casetest.Near(t, "pinned under equal end moments, middle ML²/8EI", tip/2-Rise(l/2, l, even), 0.321429, 1e-6)
	// A beam on two supports is two cantilevers from its middle: PL³/48EI.
	casetest.Near(t, "10 N at mid-span of 400, EI 309 N m², µm", 1000*Rise(0, 200, func(u float64) float64 { return 5 * u / 309e6 }), 43.15, 0.005)
	// Tapered, 23 mm clamped to 20 at the tip: (6M/Ebs)(L/h0² − (1/s)(1/h0 − 1/h1)).
	tapered := func(u float64) float64 {
		h := 20 + 3*u/340
		return m / (e * 50 * h * h * h / 12)
	}
	casetest.Near(t, "tapered cantilever", Rise(0, 340, tapered), 0.7024035, 1e-6)
	casetest.Near(t, "80 N more at 15 mm, chord 380", Rise(0, 380, func(float64) float64 { return 80 * 15 / 309.23e6 })/2-Rise(190, 380, func(float64) float64 { return 80 * 15 / 309.23e6 }), 0.07004, 1e-5)
}

// TestSectionOf_Transformed: the transformed section of textbooks (Gere and Timoshenko).
func TestSectionOf_Transformed(t *testing.T) {
	s := SectionOf(Rectangle(0, 20, 10, 2), Rectangle(10, 20, 10, 1))
	casetest.Near(t, "axis over the joint", 10-s.AxisMM, 1.6667, 1e-4)
	casetest.Near(t, "ΣEI", s.StiffnessNMM2, 18333.33, 0.01)
	casetest.Near(t, "equal layers", SectionOf(Rectangle(0, 20, 10, 1), Rectangle(10, 20, 10, 1)).StiffnessNMM2, 13333.33, 0.01)
	s = SectionOf(Rectangle(0, 45, 6, 12270), HalfEllipse(6, 45, 15, 12600))
	casetest.Near(t, "board on half ellipse, axis", s.AxisMM, 9.26101, 1e-5)
	casetest.Near(t, "board on half ellipse, EI", s.StiffnessNMM2/1e6, 309.230, 1e-3)
}

// file is a neck file with its sizes open.
func file(scale, joint string, frets int, board, wood, thick, width, set, crown, setup, rod string) string {
	return fmt.Sprintf(`name = "N"
[scale]
length = %q
frets = %d
[board]
radius = "305 mm"
width = %s
thickness = "6 mm"
wood = %q
[neck]
wood = %q
thickness = %s
joint = %s
rod = %s
[strings]
spread = ["35 mm", "52 mm"]
set = %s
[wire]
crown_width = "2.4 mm"
crown_height = %q
[level]
zone = "0.03 mm"
[setup]
%s
touch = [{ name = "firm", force = "0.4 N", from_saddle = "110 mm" }]
`, scale, frets, width, board, wood, thick, joint, rod, set, crown, setup)
}

const (
	tens = `[{ pitch = "E4", gauge = "0.010 in" }, { pitch = "B3", gauge = "0.013 in" }, { pitch = "G3", gauge = "0.017 in" },
  { pitch = "D3", gauge = "0.026 in", kind = "wound", wrap = "nickel-plated steel" }, { pitch = "A2", gauge = "0.036 in", kind = "wound", wrap = "nickel-plated steel" },
  { pitch = "E2", gauge = "0.046 in", kind = "wound", wrap = "nickel-plated steel" }]`
	nines = `[{ pitch = "E4", gauge = "0.009 in" }, { pitch = "B3", gauge = "0.011 in" }, { pitch = "G3", gauge = "0.016 in" },
  { pitch = "D3", gauge = "0.024 in", kind = "wound", wrap = "nickel-plated steel" }, { pitch = "A2", gauge = "0.032 in", kind = "wound", wrap = "nickel-plated steel" },
  { pitch = "E2", gauge = "0.042 in", kind = "wound", wrap = "nickel-plated steel" }]`
	basses = `[{ pitch = "G2", gauge = "0.045 in", kind = "wound", wrap = "nickel-plated steel" }, { pitch = "D2", gauge = "0.065 in", kind = "wound", wrap = "nickel-plated steel" },
  { pitch = "A1", gauge = "0.085 in", kind = "wound", wrap = "nickel-plated steel" }, { pitch = "E1", gauge = "0.105 in", kind = "wound", wrap = "nickel-plated steel" }]`
	bronze = `[{ pitch = "E4", gauge = "0.012 in" }, { pitch = "B3", gauge = "0.016 in" }, { pitch = "G3", gauge = "0.024 in", kind = "wound", wrap = "phosphor bronze" },
  { pitch = "D3", gauge = "0.032 in", kind = "wound", wrap = "phosphor bronze" }, { pitch = "A2", gauge = "0.042 in", kind = "wound", wrap = "phosphor bronze" },
  { pitch = "E2", gauge = "0.053 in", kind = "wound", wrap = "phosphor bronze" }]`
	usual = "relief = \"0.12 mm\"\nnut_gap = \"0.45 mm\"\naction = [\"1.5 mm\", \"1.9 mm\"]"
)

func electric() string {
	return file("648 mm", "16", 22, "rosewood", "maple", `["20.5 mm", "23 mm"]`, `["43 mm", "57 mm"]`, tens, "1.2 mm", usual, "true")
}

func bass() string {
	return file("864 mm", "17", 21, "rosewood", "maple", `["21 mm", "24 mm"]`, `["42 mm", "63 mm"]`, basses, "1.3 mm",
		"relief = \"0.25 mm\"\nnut_gap = \"0.5 mm\"\naction = [\"1.9 mm\", \"2.4 mm\"]", "true")
}

func acoustic() string {
	return file("645 mm", "14", 20, "ebony", "mahogany", `["21 mm", "23.5 mm"]`, `["44 mm", "57 mm"]`, bronze, "1.1 mm",
		"relief = \"0.15 mm\"\nnut_gap = \"0.45 mm\"\naction = [\"1.9 mm\", \"2.5 mm\"]", "true")
}

func load(t testing.TB, text string) *Neck {
	t.Helper()
	m, l := necktest.Of(t, text)
	n, err := Of(m, l)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestNeck_SecondProgram: bends of usual necks as a program of its own (Python 3, numpy,
// its own sections, tensions and integration) found them; it put the strings at a height
// of its own over the board, so a twenty-fifth is left.
func TestNeck_SecondProgram(t *testing.T) {
	for _, c := range []struct {
		name                         string
		n                            *Neck
		pull, relief, nut, per100, a float64
		fret                         int
	}{
		{"electric", load(t, electric()), 455, 0.325, 1.12, 0.072, 0.53, 8},
		{"electric, mahogany", load(t, file("648 mm", "16", 22, "rosewood", "mahogany", `["20.5 mm", "23 mm"]`, `["43 mm", "57 mm"]`, tens, "1.2 mm", usual, "true")), 455, 0.351, 1.21, 0.077, 0.57, 8},
		{"electric, thin", load(t, file("648 mm", "16", 22, "rosewood", "maple", `["18.5 mm", "20.5 mm"]`, `["43 mm", "57 mm"]`, tens, "1.2 mm", usual, "true")), 455, 0.414, 1.43, 0.091, 0.68, 8},
		{"acoustic", load(t, acoustic()), 720, 0.359, 1.20, 0.050, 0.59, 7},
		{"bass", load(t, bass()), 760, 0.872, 3.23, 0.115, 1.50, 8},
	} {
		mm, fret := c.n.Relief(c.n.ByStrings, c.n.Layout.LastFret())
		near := func(what string, got, want, within float64) {
			t.Logf("%s: %s %.4f, %.4f", c.name, what, got, want)
			if math.Abs(got/want-1) > within {
				t.Errorf("%s: %s is %.4f, want %.4f", c.name, what, got, want)
			}
		}
		p := c.pull / c.n.PullN() // bends go with the pull
		near("pull", c.n.PullN(), c.pull, 0.05)
		near("relief", p*mm, c.relief, 0.04)
		near("nut", p*c.n.ByStrings(0), c.nut, 0.04)
		near("per 100 N", 100*mm/c.n.PullN(), c.per100, 0.04)
		near("action", p*c.n.Action(c.n.ByStrings), c.a, 0.04)
		if fret != c.fret {
			t.Errorf("%s: deepest at fret %d, want %d", c.name, fret, c.fret)
		}
	}
	// A rod set for 0.12 mm over all frets pulls with 817 N.
	n := load(t, electric())
	b := n.Bowed(0.12, n.Layout.LastFret(), Theory())
	if math.Abs(b.RodN/817-1) > 0.03 {
		t.Errorf("%.0f N in the rod, want 817", b.RodN)
	}
	if u := b.URodN() / b.RodN; u < 0.1 || u > 0.4 {
		t.Errorf("the rod's pull is known to %.2f of it", u)
	}
}

// TestNeck_NoParabola: what the best parabola over all frets leaves of the strung bow, µm
// peak to valley, as the same program found it; the tangent beyond the joint leaves less.
func TestNeck_NoParabola(t *testing.T) {
	for name, c := range map[string]struct {
		n    *Neck
		pull float64
		want float64
	}{"electric": {load(t, electric()), 455, 37}, "acoustic": {load(t, acoustic()), 720, 48}, "bass": {load(t, bass()), 760, 85}} {
		got := 1000 * left(c.n, c.n.Layout.LastFret()) * c.pull / c.n.PullN()
		if math.Abs(got/c.want-1) > 0.12 {
			t.Errorf("%s: the best parabola leaves %.1f µm, want %.0f", name, got, c.want)
		}
		if tangent := 1000 * left(c.n, c.n.Joint); tangent > 0.6*got {
			t.Errorf("%s: with its tangent beyond the joint it leaves %.1f of %.1f µm", name, tangent, got)
		}
	}
}

// left is the least zone, mm, that a bow to a fret leaves of the strings' own.
func left(n *Neck, to int) float64 {
	var x, z, p []float64
	for f := 1; f <= n.Layout.LastFret(); f++ {
		x = append(x, n.Layout.LaneX(f, n.middle()))
		z, p = append(z, n.ByStrings(n.Layout.CentreX(f))), append(p, n.Layout.Bow(f, to, n.middle()))
	}
	best := math.Inf(1)
	for depth := 0.1; depth < 2; depth += 0.001 {
		d := make([]float64, len(z))
		for i := range z {
			d[i] = z[i] - depth*p[i]
		}
		best = math.Min(best, spread(x, d))
	}
	return best
}

// TestBowed_Relief: the rod brings the relief that was asked for, whatever the factor; so
// do strings alone on a neck without one.
func TestBowed_Relief(t *testing.T) {
	for _, text := range []string{electric(), bass()} {
		for _, f := range []float64{0.7, 1, 1.3} {
			n := load(t, text)
			for _, rod := range []bool{true, false} {
				n.Model.Body.Rod = rod
				b := n.Bowed(0.2, n.Joint, Factor{Mean: f, UNext: 0.2})
				got, _ := n.Relief(b.rise, n.Joint)
				casetest.Near(t, "relief", got, 0.2, 1e-9)
				if rod != (b.RodN != 0) {
					t.Errorf("rod %v pulls %g N", rod, b.RodN)
				}
				z := b.Along(2, []int{1, 8, n.Joint})
				if math.Abs(z[0])+math.Abs(z[2]) > 1e-12 || z[1] > -0.19 {
					t.Errorf("along lane 2: %v", z)
				}
			}
		}
	}
}

// Without pull nothing bends; bends add up; a stiffer neck bends less; over even
// stiffness and lever, clamped at the last fret, the bow is a parabola.
func TestNeck_Properties(t *testing.T) {
	base := load(t, electric())
	rapid.Check(t, func(t *rapid.T) {
		n := *base
		n.Pulls = nil
		if v := n.ByStrings(rapid.Float64Range(0, 300).Draw(t, "x")); v != 0 {
			t.Fatalf("no string bends it by %g", v)
		}
		x := rapid.Float64Range(0, 400).Draw(t, "at")
		one := Pull{rapid.Float64Range(20, 200).Draw(t, "force"), rapid.Float64Range(1, 4).Draw(t, "height"), rapid.Float64Range(0, 0.005).Draw(t, "slope")}
		n.Pulls = []Pull{one}
		a := n.ByStrings(x)
		n.Pulls = base.Pulls
		b := n.ByStrings(x)
		n.Pulls = append([]Pull{one}, base.Pulls...)
		if c := n.ByStrings(x); math.Abs(c-a-b) > 1e-9 {
			t.Fatalf("%g and %g together bend %g", a, b, c)
		}
		n.Pulls = []Pull{one, one}
		if c := n.ByStrings(x); math.Abs(c-2*a) > 1e-9 {
			t.Fatalf("twice the pull bends %g, once %g", c, a)
		}
		stiff := n
		stiff.bodyE *= rapid.Float64Range(1.01, 2).Draw(t, "stiffer")
		if v := stiff.ByStrings(x); a > 0 && !(v < 2*a) {
			t.Fatalf("stiffer it bends %g, before %g", v, 2*a)
		}
		if x > n.jointMM && a != 0 {
			t.Fatalf("the body bends by %g", a)
		}
	})
}

func TestNeck_EvenIsParabola(t *testing.T) {
	n := load(t, file("648 mm", "22", 22, "rosewood", "maple", `"22 mm"`, `["50 mm", "50 mm"]`, tens, "1.2 mm", usual, "true"))
	n.Pulls = []Pull{{455, 3, 0}}
	frets := []int{1, 5, 9, 14, 22}
	mm, _ := n.Relief(n.ByStrings, 22)
	x0, x1 := n.Layout.CentreX(1), n.Layout.CentreX(22)
	depth := n.Moment(0) / n.Section(0).StiffnessNMM2 * (x1 - x0) * (x1 - x0) / 8
	for i, z := range n.each(n.ByStrings, 3.5, 22, frets) {
		s := (n.Layout.CentreX(frets[i]) - x0) / (x1 - x0)
		casetest.Near(t, "parabola", z, -4*depth*s*(1-s), 1e-9)
	}
	if !(mm > 0.97*depth && mm <= depth) {
		t.Errorf("relief %g of %g", mm, depth)
	}
}

// TestCreep_AWC: 0.5 of the bend on the mean, 2 at most, at the end; nothing at first.
func TestCreep_AWC(t *testing.T) {
	mean, most := Creep(3650)
	casetest.Near(t, "at the end, mean", mean, 0.5, 1e-12)
	casetest.Near(t, "at the end, most", most, 2, 1e-12)
	mean, _ = Creep(1)
	casetest.Near(t, "first day", mean, 0, 1e-12)
	month, _ := Creep(30)
	season, _ := Creep(90)
	if !(0 < month && month < season && season-month < month) {
		t.Errorf("a month %g, a season %g", month, season)
	}
}

// TestReport_Change: a set of nines for tens, and back, is 83 N, 0.06 mm of relief and
// 0.10 mm of action (the second program's); what takes it back in the rod does.
func TestReport_Change(t *testing.T) {
	n := load(t, electric())
	other := load(t, strings.Replace(electric(), tens, nines, 1))
	n.Model.Setup.ReliefTo = n.Layout.LastFret()
	r, err := n.Report(other.Model.Strings.Set, Theory())
	if err != nil {
		t.Fatal(err)
	}
	c := r.Change
	casetest.Near(t, "pull", c.MoreN, -83, 4)
	casetest.Near(t, "relief", c.ReliefMM, -0.06, 0.005)
	casetest.Near(t, "action", c.ActionMM, -0.10, 0.01)
	casetest.Near(t, "doubt", c.UMM, 0.2*0.06, 0.002)
	rod, _ := n.Relief(n.ByRod, n.Model.Setup.ReliefTo)
	casetest.Near(t, "rod", c.RodN*rod, c.ReliefMM, 1e-12)
	if same, err := n.Report(n.Model.Strings.Set, Theory()); err != nil || same.Change.MoreN != 0 || same.Change.ReliefMM != 0 {
		t.Errorf("the same strings: %+v, %v", same.Change, err)
	}
	if none, err := n.Report(nil, Theory()); err != nil || none.Change != nil {
		t.Errorf("no other strings: %+v, %v", none.Change, err)
	}
}

// TestReport_Targets: a neck levelled slack to its targets stands strung as wanted, but for
// a straight line: with the rod loose before, and left as it is strung.
func TestReport_Targets(t *testing.T) {
	n := load(t, bass())
	f := Factor{Mean: 1.15, UNext: 0.1}
	b := n.Bowed(n.Model.Setup.Relief, n.Model.Setup.ReliefTo, f)
	r, err := n.Report(nil, f)
	if err != nil {
		t.Fatal(err)
	}
	var x, loose, set []float64
	for _, k := range r.Slack {
		at := n.Layout.CentreX(k.Fret)
		want := n.Model.Setup.Relief * n.Layout.StrungBow(k.Fret, n.middle())
		x = append(x, n.Layout.LaneX(k.Fret, n.middle()))
		loose = append(loose, k.LooseMM+b.rise(at)-want)
		set = append(set, k.SetMM+f.Mean*n.ByStrings(at)-want)
	}
	casetest.Near(t, "rod loose", spread(x, loose), 0, 1e-9)
	casetest.Near(t, "rod as strung", spread(x, set), 0, 1e-9)
	if len(r.Slack) != 21 || !(r.BackMM > 0.5) || math.Abs(r.UBackMM/r.BackMM-0.1) > 0.05 {
		t.Errorf("%d frets, lies back by %g ± %g", len(r.Slack), r.BackMM, r.UBackMM)
	}
	if m := r.Creep; len(m) != 2 || !(0 < m[0].MeanMM && m[0].MeanMM < m[1].MeanMM && m[1].MeanMM < m[1].MostMM) {
		t.Errorf("creep: %+v", m)
	}
}

// TestOf_Faults: what lacks is named by its key; without a joint the relief's end is taken.
func TestOf_Faults(t *testing.T) {
	for text, want := range map[string]string{
		strings.Replace(electric(), `wood = "maple"`, `wood = "persimmon"`, 1):                                                       "neck.wood",
		strings.Replace(electric(), `wood = "maple"`, ``, 1):                                                                         "neck.wood",
		strings.Replace(electric(), `wood = "maple"`, `wood = "glass"`, 1):                                                           "neck.wood",
		strings.Replace(electric(), `thickness = ["20.5 mm", "23 mm"]`, ``, 1):                                                       "neck.thickness",
		strings.Replace(electric(), `thickness = ["20.5 mm", "23 mm"]`, `thickness = "5.5 mm"`, 1):                                   "neck.thickness",
		strings.Replace(electric(), `joint = 16`, `joint = 1`, 1):                                                                    "neck.joint",
		strings.Replace(electric(), `{ pitch = "E4", gauge = "0.010 in" }`, `{ pitch = "E4", kind = "wound", tension = "70 N" }`, 1): "strings.set",
	} {
		m, err := neck.Parse("neck.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		l, err := geometry.New(m)
		if err != nil {
			t.Fatal(err)
		}
		if _, err = Of(m, l); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want a fault of %s", err, want)
		}
	}
	n := load(t, strings.Replace(electric(), "joint = 16\n", "", 1))
	if !n.Taken || n.Joint != 22 {
		t.Errorf("joint %d, taken %v", n.Joint, n.Taken)
	}
}
