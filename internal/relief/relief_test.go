package relief

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
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
	usual = "relief = \"0.12 mm\"\nnut_gap = \"0.45 mm\"\naction = [\"1.5 mm\", \"1.9 mm\"]"
)

func electric() string {
	return file("648 mm", "16", 22, "rosewood", "maple", `["20.5 mm", "23 mm"]`, `["43 mm", "57 mm"]`, tens, "1.2 mm", usual, "true")
}

func bass() string {
	return file("864 mm", "17", 21, "rosewood", "maple", `["21 mm", "24 mm"]`, `["42 mm", "63 mm"]`, basses, "1.3 mm",
		"relief = \"0.25 mm\"\nnut_gap = \"0.5 mm\"\naction = [\"1.9 mm\", \"2.4 mm\"]", "true")
}

func load(t testing.TB, text string) *Neck {
	t.Helper()
	m, err := neck.Parse("neck.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
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
	// A rod set for 0.12 mm over all frets leaves 8 µm between the strung shape and the
	// wanted one on a guitar; 817 N in it.
	n := load(t, electric())
	b := n.Bowed(0.12, n.Layout.LastFret(), Theory())
	if math.Abs(b.RodN/817-1) > 0.1 {
		t.Errorf("%.0f N in the rod, want 817", b.RodN)
	}
	if u := b.URodN() / b.RodN; u < 0.1 || u > 0.4 {
		t.Errorf("the rod's pull is known to %.2f of it", u)
	}
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

// pairOf reads a neck slack and strung: the factor's bend, a line, noise.
func pairOf(n *Neck, factor, u float64, r *rand.Rand) (slack, strung []heights.Lane) {
	for _, number := range []float64{1, 3, 6} {
		a := heights.Lane{Lane: number}
		for f := 1; f <= 22; f++ {
			a.Frets, a.X = append(a.Frets, f), append(a.X, n.Layout.LaneX(f, number))
		}
		b := a
		a.Cov, b.Cov = mat.NewSymDense(22, nil), mat.NewSymDense(22, nil)
		for i := range 22 {
			own := 0.03 * r.NormFloat64()
			a.Z = append(a.Z, own+u*r.NormFloat64())
			b.Z = append(b.Z, own+u*r.NormFloat64()+factor*n.ByStrings(n.Layout.At(i+1, number).X)+0.2-0.001*a.X[i])
			a.Cov.SetSym(i, i, u*u)
			b.Cov.SetSym(i, i, u*u)
		}
		num.Detrend(a.X, a.Z)
		num.Detrend(b.X, b.Z)
		slack, strung = append(slack, a), append(strung, b)
	}
	return slack, strung
}

// TestPairOf_Simulated: the factor comes back within its doubt.
func TestPairOf_Simulated(t *testing.T) {
	base := load(t, electric())
	r := rand.New(rand.NewPCG(412, 1))
	sum, most := 0.0, 0.0
	const necks = 60
	for range necks {
		want := 0.7 + 0.6*r.Float64()
		p, err := base.PairOf(pairOf(base, want, 0.005, r))
		if err != nil {
			t.Fatal(err)
		}
		e := (p.Factor - want) / p.U
		sum, most = sum+e*e, math.Max(most, p.U)
	}
	if rms := math.Sqrt(sum / necks); rms < 0.7 || rms > 1.2 {
		t.Errorf("errors are %.2f of what is stated", rms)
	}
	if most > 0.02 {
		t.Errorf("a factor is uncertain by %.3f", most)
	}
	a, b := pairOf(base, 1, 0.005, r)
	if _, err := base.PairOf(a[:1], b[1:]); err != ErrNoPair {
		t.Errorf("lanes apart: %v", err)
	}
}

// TestLearn_Weights: a sharp pair outweighs the theory, a blunt one does not; each makes
// it surer, and pairs that disagree less so.
func TestLearn_Weights(t *testing.T) {
	none := Learn(nil)
	casetest.Near(t, "the theory's doubt of a neck", none.UNext, 0.2, 1e-12)
	one := Learn([]Pair{{1.3, 0.02}})
	if one.Mean < 1.15 || one.Mean > 1.3 || one.UNext >= none.UNext {
		t.Errorf("a pair of 1.3: %+v", one)
	}
	if blunt := Learn([]Pair{{1.3, 1}}); math.Abs(blunt.Mean-1) > 0.02 {
		t.Errorf("a blunt pair of 1.3: %+v", blunt)
	}
	five := Learn([]Pair{{1.3, 0.02}, {1.28, 0.02}, {1.31, 0.02}, {1.3, 0.02}, {1.29, 0.02}})
	if math.Abs(five.Mean-1.296) > 0.02 || five.UNext >= one.UNext || five.Pairs != 5 {
		t.Errorf("five pairs: %+v", five)
	}
	apart := Learn([]Pair{{1.3, 0.02}, {0.9, 0.02}, {1.5, 0.02}, {1.1, 0.02}, {0.8, 0.02}})
	if apart.UNext < 2*five.UNext {
		t.Errorf("pairs apart: %+v, alike: %+v", apart, five)
	}
	// Of necks that truly scatter by 0.1, the next one's factor lies within 2 u.
	r := rand.New(rand.NewPCG(412, 2))
	within := 0.0
	const draws = 2000
	for range draws {
		var pairs []Pair
		for range 6 {
			pairs = append(pairs, Pair{1.1 + 0.1*r.NormFloat64(), 0.01})
		}
		f := Learn(pairs)
		if math.Abs(1.1+0.1*r.NormFloat64()-f.Mean) < 2*f.UNext {
			within += 1.0 / draws
		}
	}
	if within < 0.9 || within > 0.98 {
		t.Errorf("the next neck's factor lies within 2 u in %.3f of cases", within)
	}
}

// TestDoubt_Small: with the relief held by the rod, the theory's doubt moves a guitar's
// strung shape by 3 µm at most, and widens the crowns by that.
func TestDoubt_Small(t *testing.T) {
	base := load(t, electric())
	b := base.Bowed(0.12, base.Joint, Theory())
	lanes, _ := pairOf(base, 1, 0.005, rand.New(rand.NewPCG(1, 1)))
	before := lanes[1].Cov.At(21, 21)
	most := 0.0
	for _, z := range b.Doubt(3, lanes[1].Frets) {
		most = math.Max(most, math.Abs(z))
	}
	if most == 0 || most > 0.006 {
		t.Errorf("doubt of %g mm", most)
	}
	b.Widen(lanes)
	if !(lanes[1].Cov.At(21, 21) > before) {
		t.Error("the crowns' covariance stays")
	}
	base2 := *base
	base2.Model.Body.Rod = false
	for _, z := range base2.Bowed(0.12, base.Joint, Theory()).Doubt(3, []int{1, 8, 22}) {
		if z != 0 {
			t.Errorf("without a rod the wanted shape is in doubt by %g", z)
		}
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
