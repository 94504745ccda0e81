package arrive

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// places are a neck's frets along a lane, mm.
func places(frets int) (numbers []int, x []float64) {
	for f := 1; f <= frets; f++ {
		numbers, x = append(numbers, f), append(x, 640*(1-math.Exp2(-float64(f)/12)))
	}
	return numbers, x
}

// white is the covariance of independent errors u, each lane in its free datum:
// what one pass of a beam leaves.
func white(lanes []level.Lane, u float64) func(a, i, b, j int) float64 {
	bases := make([]basis, len(lanes))
	for a, l := range lanes {
		bases[a] = newBasis(l.X, false)
	}
	return func(a, i, b, j int) float64 {
		if a != b {
			return 0
		}
		v := 0.0
		if i == j {
			v = 1
		}
		for _, q := range bases[a].line {
			v -= q[i] * q[j]
		}
		return u * u * v
	}
}

// humped is a neck of some lanes with a hump and scatter.
func humped(r *rand.Rand, frets, lanes int, hump float64) []level.Lane {
	numbers, x := places(frets)
	var out []level.Lane
	for l := 1; l <= lanes; l++ {
		d := make([]float64, frets)
		for i := range d {
			s := (float64(i+1) - 0.6*float64(frets)) / 3
			d[i] = hump*math.Exp(-s*s/2) + 0.003*r.NormFloat64()
		}
		out = append(out, level.Lane{Lane: float64(l), Frets: numbers, X: x, D: d})
	}
	return out
}

func outlook(t interface {
	Helper()
	Fatal(...any)
}, n Neck, a Ask) *Outlook {
	t.Helper()
	o, err := New(n, a)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// within is a chance within three standard deviations of a share of n trials, and
// of the draws.
func within(t *testing.T, what string, got, share float64, n int) {
	t.Helper()
	s := math.Sqrt(math.Max(share*(1-share), 0.01) * (1/float64(n) + 1./draws))
	if math.Abs(got-share) > 3*s {
		t.Errorf("%s: chance %.3f, want %.3f ± %.3f", what, got, share, s)
	}
}

// TestChance_ClosedForm: of three crowns only one number counts, how far the
// middle one stands off the line of the others. The next reading, taken together
// with the one before, says it with half the variance; the chance is then a
// difference of two normal probabilities.
func TestChance_ClosedForm(t *testing.T) {
	x := []float64{0, 100, 250}
	w := 150. / 250
	unit := 1 + w*w + (1-w)*(1-w)
	for _, c := range []struct{ off, u, after float64 }{
		{0.020, 0.003, 1}, {0.026, 0.003, 1}, {-0.027, 0.002, 1}, {0.024, 0.006, 2}, {0.010, 0.014, 1}, {0.030, 0.001, 0.5}, {0, 0.03, 1},
	} {
		lanes := []level.Lane{{Frets: []int{1, 2, 3}, X: x, D: []float64{0, c.off, 0}}}
		o := outlook(t, Neck{Lanes: lanes, Cov: white(lanes, c.u)}, Ask{LimitMM: 0.03, After: c.after, Seed: 1})
		fused := c.u * math.Sqrt(unit/(1+c.after))
		moves := math.Sqrt(c.u*c.u*unit - fused*fused)
		edge := 0.03 - 1.645*fused
		phi := func(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
		want := math.Max(0, phi((edge-c.off)/moves)-phi((-edge-c.off)/moves))
		got := o.Chance(level.Plan{Lanes: []level.LanePlan{{RemoveMM: make([]float64, 3)}}})
		within(t, "three crowns", got, want, 1e9)
	}
}

// TestBest_Bounds: whatever the neck, no less metal than the least to the limit,
// every lane within what is planned to, no metal off frets that are out, and the
// same again from a neck that is tilted.
func TestBest_Bounds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 5))
		lanes := humped(r, rapid.IntRange(1, 24).Draw(rt, "frets"), rapid.IntRange(1, 3).Draw(rt, "lanes"), rapid.Float64Range(-0.1, 0.1).Draw(rt, "hump"))
		ask := Ask{LimitMM: 0.03, HandMM: rapid.SampledFrom([]float64{0, 0.004}).Draw(rt, "hand"), BowFree: rapid.Bool().Draw(rt, "bow")}
		u := rapid.Float64Range(0, 0.012).Draw(rt, "u")
		n := Neck{Lanes: lanes, Cov: white(lanes, u)}
		o := outlook(rt, n, ask)
		p := o.Best()
		least, err := level.Least(lanes, ask.LimitMM)
		if err != nil {
			rt.Fatal(err)
		}
		if p.Metal.TotalMM < least.TotalMM-1e-9 || p.ToMM > ask.LimitMM || p.ToMM <= 0 {
			rt.Fatalf("%g mm to %g, the least %g", p.Metal.TotalMM, p.ToMM, least.TotalMM)
		}
		for a, l := range lanes {
			if len(l.X) < 3 {
				continue
			}
			z := make([]float64, len(l.X))
			for i := range z {
				z[i] = l.D[i] - p.Metal.Lanes[a].RemoveMM[i]
			}
			zone, err := straight.Zone(l.X, z)
			if err != nil || zone.WidthMM > p.ToMM+1e-9 {
				rt.Fatalf("zone %g, planned to %g, %v", zone.WidthMM, p.ToMM, err)
			}
		}
		tilted := make([]level.Lane, len(lanes))
		for a, l := range lanes {
			tilted[a] = l
			tilted[a].D = make([]float64, len(l.D))
			for i, x := range l.X {
				tilted[a].D[i] = l.D[i] + 0.3 - 0.001*x
			}
		}
		again := outlook(rt, Neck{Lanes: tilted, Cov: n.Cov}, ask).Best()
		if math.Abs(again.Chance-p.Chance) > 2./draws || again.ToMM == p.ToMM && math.Abs(again.Metal.TotalMM-p.Metal.TotalMM) > 1e-9 {
			rt.Fatalf("tilted: %v, else %v", again, p)
		}
		n.Out = []int{2, 3}
		p = outlook(rt, n, ask).Best()
		for a := range lanes {
			for i, m := range p.Metal.Lanes[a].RemoveMM {
				if f := lanes[a].Frets[i]; (f == 2 || f == 3) && m != 0 {
					rt.Fatalf("fret %d is out and loses %g", f, m)
				}
			}
		}
	})
}

// TestBest_Narrows: surer readings leave a wider zone to plan to, a hand that
// scatters or a reading judged alone a narrower one; with none sure enough there
// is only a poor chance.
func TestBest_Narrows(t *testing.T) {
	lanes := humped(rand.New(rand.NewPCG(1, 9)), 22, 3, 0.06)
	best := func(u float64, a Ask) Plan {
		a.LimitMM = 0.03
		return outlook(t, Neck{Lanes: lanes, Cov: white(lanes, u)}, a).Best()
	}
	sure, usual := best(0.0001, Ask{}), best(0.003, Ask{})
	if sure.ToMM < 0.8*0.03 || usual.ToMM >= sure.ToMM || usual.ToMM < 0.2*0.03 || usual.Chance < Confidence {
		t.Errorf("sure %g (%g), usual %g (%g)", sure.ToMM, sure.Chance, usual.ToMM, usual.Chance)
	}
	if alone := best(0.003, Ask{Alone: true}); alone.ToMM >= usual.ToMM {
		t.Errorf("alone %g, together %g", alone.ToMM, usual.ToMM)
	}
	if hand := best(0.003, Ask{HandMM: 0.004}); hand.ToMM >= usual.ToMM {
		t.Errorf("by hand %g, exact %g", hand.ToMM, usual.ToMM)
	}
	if more := best(0.003, Ask{After: 4}); more.ToMM < usual.ToMM {
		t.Errorf("four passes after %g, one %g", more.ToMM, usual.ToMM)
	}
	if poor := best(0.012, Ask{HandMM: 0.004}); poor.Chance >= 0.5 {
		t.Errorf("u 12 µm: chance %g to %g", poor.Chance, poor.ToMM)
	}
}

// TestBest_LongWaves: errors that are one long wave along each lane, as a bridge
// adds up, leave no plan that arrives, however sure neighbours are of each other.
func TestBest_LongWaves(t *testing.T) {
	lanes := humped(rand.New(rand.NewPCG(1, 9)), 22, 2, 0.06)
	wave := newBasis(lanes[0].X, true).bow
	fine := white(lanes, 0.001)
	cov := func(a, i, b, j int) float64 {
		v := fine(a, i, b, j)
		if a == b {
			v += 0.1 * 0.1 * wave[i] * wave[j]
		}
		return v
	}
	if p := outlook(t, Neck{Lanes: lanes, Cov: cov}, Ask{LimitMM: 0.03}).Best(); p.Chance >= 0.5 {
		t.Errorf("chance %g to %g", p.Chance, p.ToMM)
	}
}

// TestChance_Bow: a reading judged alone shows all of its bow and of the hand's,
// whatever those before may say of it. Errors that are nothing but bow widen the
// zone by a known part of themselves.
func TestChance_Bow(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	lanes := humped(r, 22, 1, 0.06)
	n := Neck{Lanes: lanes, Cov: white(lanes, 0.004)}
	for _, to := range []float64{0.1, 0.3, 0.5} {
		told := outlook(t, n, Ask{LimitMM: 0.03, HandMM: 0.006, Alone: true, Seed: 4}).To(to * 0.03)
		free := outlook(t, n, Ask{LimitMM: 0.03, HandMM: 0.006, Alone: true, Seed: 4, BowFree: true}).To(to * 0.03)
		if told.Chance != free.Chance {
			t.Errorf("judged alone: chance %.3f, with the bow free %.3f", told.Chance, free.Chance)
		}
	}
	bow := newBasis(lanes[0].X, true).bow
	shape, err := straight.Zone(lanes[0].X, bow)
	if err != nil {
		t.Fatal(err)
	}
	clear(lanes[0].D)
	for _, b := range []float64{0.01, 0.02, 0.03} {
		cov := func(_, i, _, j int) float64 { return b * b * bow[i] * bow[j] }
		o := outlook(t, Neck{Lanes: lanes, Cov: cov}, Ask{LimitMM: 0.03, BowFree: true, Seed: 2})
		edge := 0.03/shape.WidthMM - 1.645*b // the bow at which the next reading's doubt reaches the limit
		within(t, "bow alone", o.To(0.03).Chance, math.Erf(math.Max(0, edge)/(2*b)), 1e9)
	}
}

func TestNew_Faults(t *testing.T) {
	lanes := humped(rand.New(rand.NewPCG(1, 9)), 8, 1, 0.06)
	good := white(lanes, 0.003)
	bad := func(a, i, b, j int) float64 { return math.NaN() }
	less := func(a, i, b, j int) float64 { return -good(a, i, b, j) }
	broken := humped(rand.New(rand.NewPCG(1, 9)), 8, 1, 0.06)
	broken[0].D[2] = math.Inf(1)
	for name, c := range map[string]struct {
		n    Neck
		a    Ask
		want error
	}{
		"not finite": {Neck{Lanes: lanes, Cov: bad}, Ask{LimitMM: 0.03}, ErrCovariance},
		"negative":   {Neck{Lanes: lanes, Cov: less}, Ask{LimitMM: 0.03}, ErrCovariance},
		"no limit":   {Neck{Lanes: lanes, Cov: good}, Ask{}, ErrAsk},
		"hand":       {Neck{Lanes: lanes, Cov: good}, Ask{LimitMM: 0.03, HandMM: -1}, ErrAsk},
		"passes":     {Neck{Lanes: lanes, Cov: good}, Ask{LimitMM: 0.03, After: math.NaN()}, ErrAsk},
		"crown":      {Neck{Lanes: broken, Cov: good}, Ask{LimitMM: 0.03}, level.ErrNotFinite},
	} {
		if _, err := New(c.n, c.a); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if o := outlook(t, Neck{}, Ask{LimitMM: 0.03}); o.Best().Chance != 1 {
		t.Error("a neck without lanes cannot fail")
	}
}

// BenchmarkBest: 24 frets by 6 lanes, from the covariance to the plan.
func BenchmarkBest(b *testing.B) { benchmarkBest(b, 24, 6) }

// BenchmarkBest_Large: 36 frets by 12 lanes.
func BenchmarkBest_Large(b *testing.B) { benchmarkBest(b, 36, 12) }

func benchmarkBest(b *testing.B, frets, count int) {
	lanes := humped(rand.New(rand.NewPCG(1, 9)), frets, count, 0.06)
	n := Neck{Lanes: lanes, Cov: white(lanes, 0.003)}
	for b.Loop() {
		if p := outlook(b, n, Ask{LimitMM: 0.03, HandMM: 0.004, BowFree: true}).Best(); p.Chance == 0 {
			b.Fatal("no plan")
		}
	}
}
