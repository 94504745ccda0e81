package wear

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/casetest"
)

const (
	frets = 22
	lanes = 6
)

// fretX is fret f of a 640 mm scale in twelve divisions.
func fretX(f int) float64 { return 640 * (1 - math.Pow(2, -float64(f)/12)) }

// stage reads a neck whose crowns stand at height(fret, lane) with a gauge of
// standard deviation sd, offset and tilt its own in every lane.
func stage(r *rand.Rand, sd float64, height func(f int, lane float64) float64) []Lane {
	var out []Lane
	for l := 1; l <= lanes; l++ {
		offset, tilt := r.NormFloat64(), r.NormFloat64()*1e-3
		lane := Lane{Lane: float64(l), Cov: diagonal(frets, sd)}
		for f := 1; f <= frets; f++ {
			lane.Frets, lane.XMM = append(lane.Frets, f), append(lane.XMM, fretX(f))
			lane.ZMM = append(lane.ZMM, height(f, float64(l))+offset+tilt*fretX(f)+sd*r.NormFloat64())
		}
		out = append(out, lane)
	}
	return out
}

func diagonal(n int, sd float64) *mat.SymDense {
	c := mat.NewSymDense(n, nil)
	for i := range n {
		c.SetSym(i, i, sd*sd)
	}
	return c
}

// seat is how the frets went in: the same at both stages.
func seat(r *rand.Rand) func(int, float64) float64 {
	at := make([]float64, frets+1)
	for f := range at {
		at[f] = 0.01 * r.NormFloat64()
	}
	return func(f int, _ float64) float64 { return at[f] }
}

func plus(a, b func(int, float64) float64) func(int, float64) float64 {
	return func(f int, l float64) float64 { return a(f, l) + b(f, l) }
}

func options() Options {
	return Options{Confidence: 0.95, LimitMM: 0.03, BowEndsMM: []float64{fretX(22), fretX(14)}}
}

func compare(t testing.TB, before, after []Lane) *Result {
	t.Helper()
	r, err := Compare(before, after, options())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func count(r *Result, v Verdict) (n int) {
	for _, c := range r.Changes {
		if c.Verdict == v {
			n++
		}
	}
	return n
}

// bowed is a hollow of a depth between fret 1 and a fret.
func bowed(mm float64, to int) func(int, float64) float64 {
	return func(f int, _ float64) float64 {
		s := (fretX(f) - fretX(1)) / (fretX(to) - fretX(1))
		if s > 1 {
			return 0
		}
		return -4 * mm * s * (1 - s)
	}
}

// necks is how many necks a rate is counted over.
func necks() int {
	if testing.Short() {
		return 12
	}
	return 36
}

// Necks that did not change are noisier than stated as often as stated, whether
// the rod was turned or not, and then, too, hardly a crown is called.
func TestCompare_FalseAlarms(t *testing.T) {
	noisy, called, all := 0, 0, 0
	for _, relief := range []float64{0, 0.004, 0.1} {
		r := rand.New(rand.NewPCG(31, 7))
		for range necks() {
			s := seat(r)
			got := compare(t, stage(r, 0.003, s), stage(r, 0.003, plus(s, bowed(relief*(2*r.Float64()-1), 22))))
			if all++; got.Changed {
				noisy++
			}
			if len(got.Frets) > 0 || count(got, Worn)+count(got, Moved)+count(got, Raised) > 0 {
				called++
			}
		}
	}
	n := float64(all)
	t.Logf("of %d necks that did not change %d were noisier than the guard, %d with a crown called", all, noisy, called)
	if rate := float64(noisy) / n; rate > 0.05+3*math.Sqrt(0.05*0.95/n) || noisy == 0 && n > 60 { // of few necks none may be
		t.Errorf("%.3f noisier than the guard, stated 0.05", rate)
	}
	if float64(called) > 0.02*n {
		t.Errorf("crowns called on %d of %d", called, all)
	}
}

// groove wears the first frets under the plain strings, as playing does.
func groove(mm float64) func(int, float64) float64 {
	return func(f int, l float64) float64 {
		if f <= 3 && (l == 2 || l == 3) {
			return -mm
		}
		return 0
	}
}

// Grooves of 0.03 and 0.04 mm are found, at their depth, and nothing else.
func TestCompare_FindsGrooves(t *testing.T) {
	casetest.OneByOne(t)
	for _, c := range []struct{ mm, sd, least float64 }{{0.03, 0.003, 0.97}, {0.04, 0.005, 0.85}, {0.04, 0.003, 0.999}} {
		t.Run(fmt.Sprintf("%g mm by a gauge of %g mm", c.mm, c.sd), func(t *testing.T) {
			r := rand.New(rand.NewPCG(5, 9))
			found, planted, wrong, sum := 0.0, 0.0, 0, 0.0
			tried := 10

			for range tried {
				s := seat(r)
				got := compare(t, stage(r, c.sd, s), stage(r, c.sd, plus(s, groove(c.mm))))
				for _, x := range got.Changes {
					if groove(1)(x.Fret, x.Lane) < 0 {
						planted++
						sum += x.MM
						if x.Verdict == Worn {
							found++
						}
					} else if x.Verdict == Worn || x.Verdict == Moved || x.Verdict == Raised {
						wrong++
					}
				}
			}
			t.Logf("found %.2f %%, mean %.4f mm, %d others on %d necks", 100*found/planted, sum/planted, wrong, tried)
			if found/planted < c.least {
				t.Errorf("found %.3f of the grooves, want %.3f", found/planted, c.least)
			}
			if math.Abs(sum/planted+c.mm) > 0.003 {
				t.Errorf("mean change %.4f mm, planted −%.3f", sum/planted, c.mm)
			}
			// A groove that is missed tilts its line, so a few more than on a neck without.
			if float64(wrong) > 2 {
				t.Errorf("%d crowns that did not change on %d necks", wrong, tried)
			}
		})
	}
}

// Wear over the first five frets of three lanes, a good share of them, does not
// drag the line.
func TestCompare_ManyWornCrowns(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	const tried = 6
	missed, wrong, far := 0, 0, 0
	for range tried {
		s := seat(r)
		depth := map[[2]int]float64{}
		for f := 1; f <= 5; f++ {
			for l := 1; l <= 3; l++ {
				depth[[2]int{f, l}] = 0.03 + 0.03*r.Float64()
			}
		}
		after := func(f int, l float64) float64 { return s(f, l) - depth[[2]int{f, int(l)}] }
		got := compare(t, stage(r, 0.002, s), stage(r, 0.002, after))
		for _, x := range got.Changes {
			d := depth[[2]int{x.Fret, int(x.Lane)}]
			if math.Abs(x.MM+d) > 0.012 {
				far++
			}
			switch {
			case d > 0 && x.Verdict != Worn:
				missed++
			case d == 0 && x.Verdict == Worn:
				wrong++
			}
		}
	}
	t.Logf("missed %d of %d worn crowns, %d others called worn, %d of %d more than 0.012 mm off", missed, 15*tried, wrong, far, lanes*frets*tried)
	if missed > 15*tried/100 || wrong > 1 || far > lanes*frets*tried/1000 {
		t.Error("the line went with the wear")
	}
}

// A rod turned, a fret that sprang up, one end of one, one gone down alike, a
// tongue that rose: none is worn.
func TestCompare_MovesAreNotWear(t *testing.T) {
	casetest.OneByOne(t)
	cases := []struct {
		name  string
		moved []int
		how   func(int, float64) float64
	}{
		{"rod", nil, bowed(0.2, 22)},
		{"rod to the joint", nil, bowed(-0.15, 14)},
		{"whole fret up", []int{7}, func(f int, _ float64) float64 { return when(f == 7, 0.04) }},
		{"treble end up", []int{12}, func(f int, l float64) float64 { return when(f == 12, 0.08*(6-l)/5) }},
		{"whole fret down", []int{9}, func(f int, _ float64) float64 { return when(f == 9, -0.04) }},
		{"tongue up", []int{19, 20, 21, 22}, func(f int, _ float64) float64 { return when(f >= 19, 0.03*float64(f-18)/2) }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(8, 1))
			const tried = 6
			hit, alarms := map[int]int{}, 0
			for range tried {
				s := seat(r)
				got := compare(t, stage(r, 0.003, s), stage(r, 0.003, plus(s, c.how)))
				if count(got, Worn) > 0 {
					alarms++
				}
				for _, f := range got.Frets {
					if f.Verdict == Moved {
						hit[f.Fret]++
					} else {
						hit[-f.Fret]++
					}
				}
				if c.moved == nil && got.Bow == nil {
					t.Fatal("the rod's bow was not seen")
				}
			}
			if alarms > 0 {
				t.Errorf("worn on %d of %d", alarms, tried)
			}
			for _, f := range c.moved[:min(1, len(c.moved))] {
				if hit[f] < tried*8/10 && len(c.moved) == 1 {
					t.Errorf("fret %d moved on %d of %d only", f, hit[f], tried)
				}
			}
			for f, n := range hit {
				if f > 0 && n > 1 && !slices.Contains(c.moved, f) {
					t.Errorf("fret %d, which stayed, moved on %d of %d", f, n, tried)
				}
			}
		})
	}
}

// All at once: the rod turned (its hollow no parabola), the tongue risen, one end
// of a fret sprung, and grooves at the other end of two lanes.
func TestCompare_AllAtOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	change := func(f int, l float64) float64 {
		s := float64(f) / frets
		z := -0.1 * 4 * s * (1 - s)
		z += when(f >= 20, 0.02*float64(f-19)) + when(f == 14, 0.04*(6-l)/5)
		return z - when(f <= 4 && (l == 2 || l == 3), 0.03+0.01*float64(4-f))
	}
	const tried = 6
	missed, wrong := 0, 0
	for range tried {
		s := seat(r)
		got := compare(t, stage(r, 0.003, s), stage(r, 0.003, plus(s, change)))
		for _, x := range got.Changes {
			planted := x.Fret <= 4 && (x.Lane == 2 || x.Lane == 3)
			switch {
			case planted && x.Verdict != Worn:
				missed++
			case !planted && x.Verdict == Worn:
				wrong++
			}
		}
	}
	t.Logf("missed %d of %d, %d others called worn", missed, 8*tried, wrong)
	if missed > 8*tried/10 || wrong > tried/2 {
		t.Error("what moved hides what wore")
	}
}

// A groove in a fret that rose is both.
func TestCompare_WornAndRisen(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	s := seat(r)
	after := func(f int, l float64) float64 {
		return s(f, l) + when(f == 4, 0.06) - when(f == 4 && l == 2, 0.05)
	}
	got := compare(t, stage(r, 0.002, s), stage(r, 0.002, after))
	if len(got.Frets) != 1 || got.Frets[0].Verdict != Moved || !slices.Equal(got.Frets[0].Worn, []float64{2}) {
		t.Errorf("%+v", got.Frets)
	}
}

func when(yes bool, mm float64) float64 {
	if yes {
		return mm
	}
	return 0
}

// A line added to any lane at either stage changes nothing; nor does the order
// of the lanes. Stages exchanged, what wore is raised, by as much, and as a
// whole fret goes down in another way than it comes up, no more is asked.
func TestCompare_Invariant(t *testing.T) {
	raised := 0
	for seed := range uint64(3) {
		r := rand.New(rand.NewPCG(seed, 0))
		s := seat(r)
		before, after := stage(r, 0.003, s), stage(r, 0.003, plus(s, groove(0.05)))
		first := compare(t, before, after)
		turned := slices.Clone(after)
		a, b := 4*r.Float64()-2, 0.02*r.Float64()-0.01
		for i, l := range turned {
			turned[i].ZMM = slices.Clone(l.ZMM)
			for k, x := range l.XMM {
				turned[i].ZMM[k] += (a + b*x) * l.Lane
			}
		}
		slices.Reverse(turned)
		second, back := compare(t, before, turned), compare(t, turned, before)
		for i, c := range first.Changes {
			d, e := second.Changes[i], back.Changes[i]
			if math.Abs(c.MM-d.MM) > 1e-9 || c.Verdict != d.Verdict {
				t.Fatalf("seed %d, fret %d, lane %g: %v %s, tilted %v %s", seed, c.Fret, c.Lane, c.MM, c.Verdict, d.MM, d.Verdict)
			}
			if c.Verdict == Worn && e.Verdict == Raised {
				raised++
				if math.Abs(c.MM+e.MM) > c.UMM/2 {
					t.Errorf("seed %d, fret %d, lane %g: %v, the other way %v", seed, c.Fret, c.Lane, c.MM, e.MM)
				}
			}
			if c.Verdict == Worn && e.Verdict == Worn || c.Verdict == Raised {
				t.Errorf("seed %d, fret %d, lane %g: %s, the other way %s", seed, c.Fret, c.Lane, c.Verdict, e.Verdict)
			}
		}
	}
	if raised < 15 {
		t.Errorf("only %d of 18 grooves are raised the other way round", raised)
	}
}

func TestCompare_Refuses(t *testing.T) {
	one := []Lane{{Lane: 1, Frets: []int{1, 2, 3}, XMM: []float64{10, 20, 30}, ZMM: []float64{0, 0, 0}, Cov: diagonal(3, 0.001)}}
	two := []Lane{{Lane: 1, Frets: []int{1, 2}, XMM: []float64{10, 20}, ZMM: []float64{0, 0}, Cov: diagonal(2, 0.001)}}
	if _, err := Compare(two, one, options()); err == nil {
		t.Error("two crowns in common were compared")
	}
	if _, err := Compare(one, one, Options{Confidence: 1, LimitMM: 0.03}); err == nil {
		t.Error("certainty was promised")
	}
	bad := slices.Clone(one)
	bad[0].ZMM = []float64{0, math.NaN(), 0}
	if _, err := Compare(one, bad, options()); err == nil {
		t.Error("NaN was compared")
	}
	r, err := Compare(one, one, options())
	if err != nil || count(r, Unchanged) != 3 || r.Changed {
		t.Errorf("%+v %v", r, err)
	}
}

// BenchmarkCompareUnchanged is the commoner case: nothing has to be explained.
func BenchmarkCompareUnchanged(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	s := seat(r)
	before, after := stage(r, 0.003, s), stage(r, 0.003, s)
	for b.Loop() {
		compare(b, before, after)
	}
}

func BenchmarkCompare(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	s := seat(r)
	before, after := stage(r, 0.003, s), stage(r, 0.003, plus(s, groove(0.04)))
	for b.Loop() {
		compare(b, before, after)
	}
}
