package wire

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"

	"pgregory.net/rapid"
)

const (
	psi  = 6894.757293168 * 1e-6 // MPa
	inch = 25.4
)

// TestBend_Kalpakjian is BND-01 and -02: sheet, from memory of the textbook;
// BND-11 an exercise of the same type. A unit width stands for the sheet; the
// inside radius is taken as the centroid's, as the classical formula does.
func TestBend_Kalpakjian(t *testing.T) {
	sheet := func(thick, inside, yield, modulus float64) (ratio float64) {
		s, m := Rectangle(1, thick), Metal{modulus, yield}
		b := s.Bend(m, 1/inside)
		return b.FreeCurvature * inside
	}
	ratio := sheet(0.0359*inch, 0.5*inch, 40000*psi, 30e6*psi)
	exercise := sheet(0.0265*inch, 0.5*inch, 300, 200e3)
	casetest.Checked(t, map[string]float64{"BND-01": ratio, "BND-02": 0.5 / ratio, "BND-11": 0.5 * inch / exercise})
}

// TestBend_BeerJohnston is BND-03 to -10: bars under a known moment, elastic
// core, radii and residual stress (examples 4.05 and 4.06, from memory).
func TestBend_BeerJohnston(t *testing.T) {
	atMoment := func(s Section, m Metal, moment float64) Bent {
		lo, hi := s.YieldCurvature(m), 100*s.YieldCurvature(m)
		for range 200 {
			mid := (lo + hi) / 2
			if s.Bend(m, mid).MomentNMM < moment {
				lo = mid
			} else {
				hi = mid
			}
		}
		return s.Bend(m, lo)
	}
	m := Metal{200e3, 240}
	s := Rectangle(50, 120)
	b := atMoment(s, m, 36.8e6)
	core := 2 * m.YieldMPa / (m.ModulusMPa * b.Curvature)
	elastic := func(y float64) float64 { return b.MomentNMM * y / s.InertiaMM4() }
	s2 := Rectangle(50, 100)
	b2 := atMoment(s2, m, 24e6)
	casetest.Checked(t, map[string]float64{
		"BND-03": core, "BND-04": 1e-3 / b.Curvature, "BND-05": 1e-3 / b.FreeCurvature,
		"BND-06": math.Abs(240 - elastic(core/2)), "BND-07": math.Abs(240 - elastic(60)),
		"BND-08": 2 * m.YieldMPa / (m.ModulusMPa * b2.Curvature), "BND-09": 1e-3 / b2.Curvature,
		"BND-10": s2.PlasticModulusMM3() * m.YieldMPa * 1e-6,
	})
}

// TestBend_closedForms is BND-12, -C and -13: rectangle and solid circle.
func TestBend_closedForms(t *testing.T) {
	m := Metal{120e3, 590}
	r := Rectangle(2, 1.2)
	k := 2 * r.YieldCurvature(m)
	c := Round(1)
	yieldMoment := m.YieldMPa * c.InertiaMM4() / 0.5
	at := func(eta float64) float64 { return c.Bend(m, c.YieldCurvature(m)/eta).MomentNMM / yieldMoment }
	casetest.Checked(t, map[string]float64{
		"BND-12": r.Bend(m, k).FreeCurvature / k,
		"BND-C9": at(0.9), "BND-C5": at(0.5), "BND-C1": at(0.1),
		"BND-13": c.PlasticModulusMM3() * m.YieldMPa / yieldMoment,
	})
}

// TestSection_Tee is BND-T1 to -T6: by hand.
func TestSection_Tee(t *testing.T) {
	s := Tee(2.5, 1.2, 0.6, 1.6)
	casetest.Checked(t, map[string]float64{
		"BND-T1": s.AreaMM2(), "BND-T2": s.CentroidMM(), "BND-T3": s.InertiaMM4(), "BND-T4": s.PlasticModulusMM3(),
		"BND-T5": s.PlasticNeutralMM(), "BND-T6": s.PlasticModulusMM3() / (s.InertiaMM4() / s.CentroidMM()),
	})
}

func crown(t testing.TB) Section {
	t.Helper()
	s, err := FretWire(2.7, 1.2, 0.55, 1.6)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestBend_CrownAndTang is BND-T7 to -T11.
func TestBend_CrownAndTang(t *testing.T) {
	tee, seg := Tee(2.5, 1.2, 0.6, 1.6), crown(t)
	got := map[string]float64{}
	for _, c := range []struct {
		id        string
		s         Section
		m         Metal
		loaded    float64
		nameParts string
	}{
		{id: "BND-T7", s: tee, m: Metal{120e3, 590}, loaded: 200},
		{id: "BND-T8", s: tee, m: Metal{120e3, 470}, loaded: 100},
		{id: "BND-T9", s: seg, m: Metal{120e3, 590}, loaded: 100},
		{id: "BND-T10", s: seg, m: Metal{120e3, 470}, loaded: 200},
		{id: "BND-T11", s: seg, m: Metal{193e3, 517}, loaded: 300},
	} {
		b := c.s.Bend(c.m, 1/c.loaded)
		got[c.id+"m"], got[c.id+"y"], got[c.id+"r"] = b.MomentNMM, b.NeutralMM, 1/b.FreeCurvature
	}
	casetest.Checked(t, got)
}

// TestBend_Grid is every row of the spring-back grid but, for their free
// radius, the marginal ones.
func TestBend_Grid(t *testing.T) {
	low, err := FretWire(2, 0.9, 0.5, 1.5)
	if err != nil {
		t.Fatal(err)
	}
	sections := map[string]Section{
		"rect 2.0x1.2": Rectangle(2, 1.2), "circle d1.0": Round(1), "T crown 2.5x1.2 tang 0.6x1.6": Tee(2.5, 1.2, 0.6, 1.6),
		"segment crown 2.7x1.2 + tang 0.55x1.6": crown(t), "segment crown 2.0x0.9 + tang 0.5x1.5": low,
	}
	for _, r := range casetest.Published(t, "springback_checks") {
		s, ok := sections[r["section"]]
		if !ok {
			t.Errorf("unknown section %q", r["section"])
			continue
		}
		near := func(what string, got, want, tol float64) {
			if math.Abs(got-want) > tol {
				t.Errorf("%s, %s at %s: %s %.9g, want %g", r["section"], r["material"], r["R_load_mm"], what, got, want)
			}
		}
		m := Metal{casetest.Number(t, r["E_MPa"]), casetest.Number(t, r["Y_MPa"])}
		b := s.Bend(m, 1/casetest.Number(t, r["R_load_mm"]))
		near("area", s.AreaMM2(), casetest.Number(t, r["A_mm2"]), 1e-6)
		near("centroid", s.CentroidMM(), casetest.Number(t, r["yc_mm"]), 1e-6)
		near("inertia", s.InertiaMM4(), casetest.Number(t, r["I_mm4"]), 1e-8)
		near("yield curvature", s.YieldCurvature(m), casetest.Number(t, r["k_yield_per_mm"]), 1e-8)
		near("moment", b.MomentNMM, casetest.Number(t, r["M_load_Nmm"]), 1e-4)
		near("neutral axis", b.NeutralMM, casetest.Number(t, r["y_neutral_mm"]), 2e-6)
		if strings.Contains(r["regime"], "marginal") {
			continue
		}
		near("free curvature", b.FreeCurvature, casetest.Number(t, r["k_free_per_mm"]), 1e-9)
	}
}

// fibreSum is the brute force: the section as fibres, equally spaced in height
// on the tang and in angle on the crown, so that the width is smooth; the
// neutral axis by halving.
func fibreSum(s Section, m Metal, k float64) (moment, neutral float64) {
	const n = 300_000
	var ys, as []float64
	for _, p := range s.parts {
		switch p := p.(type) {
		case slab:
			h := (p.y1 - p.y0) / n
			for i := range n {
				ys, as = append(ys, p.y0+(float64(i)+0.5)*h), append(as, p.width*h)
			}
		case disc:
			a0 := math.Asin((p.y0 - p.centre) / p.radius)
			h := (math.Asin((p.y1-p.centre)/p.radius) - a0) / n
			for i := range n {
				sin, cos := math.Sincos(a0 + (float64(i)+0.5)*h)
				ys, as = append(ys, p.centre+p.radius*sin), append(as, 2*p.radius*cos*p.radius*cos*h)
			}
		}
	}
	stress := func(y, yn float64) float64 {
		return math.Max(-m.YieldMPa, math.Min(m.YieldMPa, m.ModulusMPa*k*(y-yn)))
	}
	lo, hi := s.bottom, s.top
	for range 60 {
		mid, sum := (lo+hi)/2, 0.0
		for i, y := range ys {
			sum += stress(y, mid) * as[i]
		}
		if sum > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	neutral = (lo + hi) / 2
	for i, y := range ys {
		moment += stress(y, neutral) * (y - neutral) * as[i]
	}
	return moment, neutral
}

// TestBend_fibreSum holds the closed forms and the solver to 1e-9 of the brute
// force, which itself is good to the square of its spacing, about 1e-10.
func TestBend_fibreSum(t *testing.T) {
	heron, err := FretWire(2.4, 1.2, 0.52, 1.5)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s    Section
		m    Metal
		free float64
	}{
		{heron, Metal{125e3, 653.8}, 307.8}, {heron, Metal{125e3, 510}, 400}, {crown(t), Metal{193e3, 1310}, 254},
	} {
		loaded, b, err := c.s.LoadedRadius(c.m, c.free)
		if err != nil {
			t.Fatal(err)
		}
		moment, neutral := fibreSum(c.s, c.m, b.Curvature)
		if math.Abs(b.MomentNMM/moment-1) > 1e-9 || math.Abs(b.NeutralMM/neutral-1) > 1e-9 {
			t.Errorf("loaded %.3f: moment %.12g, axis %.12g; fibres %.12g, %.12g", loaded, b.MomentNMM, b.NeutralMM, moment, neutral)
		}
		free := b.Curvature - moment/(c.m.ModulusMPa*c.s.InertiaMM4())
		if r := c.s.UndersideRadius(1 / free); math.Abs(r/c.free-1) > 1e-8 {
			t.Errorf("loaded %.3f springs back to %.12g by fibres, want %g", loaded, r, c.free)
		}
		// The solver itself, measured in what it solves for: the load that the
		// fibres need for the wanted radius.
		want := 1/c.s.CentroidRadius(c.free) + moment/(c.m.ModulusMPa*c.s.InertiaMM4())
		if math.Abs(b.Curvature/want-1) > 1e-9 {
			t.Errorf("loaded curvature %.14g, by fibres %.14g", b.Curvature, want)
		}
	}
}

// TestOverbend_thereAndBack: letting go what Overbend loaded gives the radius
// asked for, for any wire, metal and board.
func TestOverbend_thereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, err := FretWire(rapid.Float64Range(1.5, 3.2).Draw(t, "width"), rapid.Float64Range(0.7, 1.6).Draw(t, "height"),
			rapid.Float64Range(0.4, 0.8).Draw(t, "tang"), rapid.Float64Range(0.8, 2.2).Draw(t, "depth"))
		if err != nil {
			t.Fatal(err)
		}
		m := Metal{rapid.Float64Range(90e3, 210e3).Draw(t, "E"), rapid.Float64Range(150, 1500).Draw(t, "Y")}
		board := rapid.Float64Range(150, 600).Draw(t, "board")
		loaded, b, err := s.LoadedRadius(m, board)
		if err != nil {
			t.Fatal(err)
		}
		if !(loaded < board) || !(b.Strain > m.YieldMPa/m.ModulusMPa) {
			t.Fatalf("loaded %g for a board of %g", loaded, board)
		}
		free, _, err := s.FreeRadius(m, loaded)
		if err != nil || math.Abs(free/board-1) > 1e-8 {
			t.Fatalf("springs back to %.12g, %v; want %g", free, err, board)
		}
		y, err := s.FitYield(m.ModulusMPa, loaded, board)
		if err != nil || math.Abs(y/m.YieldMPa-1) > 1e-6 {
			t.Fatalf("the trial gives %g MPa, %v; want %g", y, err, m.YieldMPa)
		}
		stiffer := Metal{m.ModulusMPa, m.YieldMPa * 1.1}
		if tighter, _, err := s.LoadedRadius(stiffer, board); err != nil || tighter >= loaded {
			t.Fatalf("more yield wants a tighter bend: %g after %g, %v", tighter, loaded, err)
		}
	})
}

// TestBend_slope: the derivative the solver steps by against differences.
func TestBend_slope(t *testing.T) {
	s, m := crown(t), Metal{120e3, 590}
	for _, r := range []float64{60, 100, 150, 250, 350} {
		k := 1 / r
		h := 1e-5 * k
		got := 1 - s.Bend(m, k).core/s.inertia
		want := (s.Bend(m, k+h).FreeCurvature - s.Bend(m, k-h).FreeCurvature) / (2 * h)
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("at %g mm: slope %.9g, differences %.9g", r, got, want)
		}
	}
}

func TestWire_refuses(t *testing.T) {
	if _, err := FretWire(0.5, 1, 0.6, 1.5); err == nil {
		t.Error("a tang wider than the crown was taken")
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := FretWire(2.4, bad, 0.5, 1.5); err == nil {
			t.Errorf("a crown height of %g was taken", bad)
		}
	}
	s := crown(t)
	if _, _, err := s.LoadedRadius(Metal{120e3, 590}, 1); !errors.Is(err, ErrTooTight) {
		t.Errorf("a board of 1 mm radius: %v", err)
	}
	if _, _, err := s.FreeRadius(Metal{120e3, 590}, 2000); !errors.Is(err, errElastic) {
		t.Errorf("a bend within the elastic: %v", err)
	}
	for _, c := range [][2]float64{{120, 100}, {0, 100}, {120, math.Inf(1)}, {math.NaN(), 3}} {
		if y, err := s.FitYield(120e3, c[0], c[1]); !errors.Is(err, ErrNoTrial) {
			t.Errorf("trial %v: %g, %v", c, y, err)
		}
	}
}

func BenchmarkLoadedRadius(b *testing.B) {
	s, m := crown(b), Metal{125e3, 653.8}
	for b.Loop() {
		if _, _, err := s.LoadedRadius(m, 307.8); err != nil {
			b.Fatal(err)
		}
	}
}
