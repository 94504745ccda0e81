package study

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
)

// lines are n strings over a straight neck of so many frets, all asking for the
// same gap everywhere.
func lines(n, frets int, need float64) []Line {
	out := make([]Line, n)
	for i := range out {
		l := Line{Lane: play.Lane{String: i + 1, ScaleMM: 640}, Setup: play.Setup{NutMM: 0.35, ActionFret: 12}}
		if n > 1 {
			l.Across = 1 - 2*float64(i)/float64(n-1)
		}
		for f := 1; f <= frets; f++ {
			l.Lane.Crowns = append(l.Lane.Crowns, play.Crown{Fret: f, XMM: 640 * (1 - math.Exp2(-float64(f)/12))})
		}
		l.Setup.ActionFret = min(12, frets)
		for _, s := range l.Lane.Stops(l.Setup, play.Rest{}) {
			clearance := make([]float64, frets-s.Beyond)
			for k := range clearance {
				clearance[k] = need
			}
			l.Clearance = append(l.Clearance, clearance)
		}
		out[i] = l
	}
	return out
}

func request(necks int) Request {
	return Request{Lines: lines(6, 22, 0.1), ZonesMM: []float64{0, 0.02, 0.05}, Necks: necks, Seed: 7, Errors: Usual()}
}

func run(t testing.TB, r Request) *Actions {
	t.Helper()
	a, err := Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Every neck is level just to its zone: its worst lane has that zone exactly, by
// the same rule that frets judges by, and lies about its reference line.
func TestNeck_LevelToItsZone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		ls := lines(rapid.IntRange(1, 8).Draw(rt, "strings"), rapid.IntRange(4, 27).Draw(rt, "frets"), 0)
		zone := rapid.Float64Range(0.001, 0.2).Draw(rt, "zone")
		lanes, err := neckOf(ls, Usual(), zone, rapid.Uint64().Draw(rt, "seed"), rapid.Uint64Range(0, 1e6).Draw(rt, "neck"))
		if err != nil {
			rt.Fatal(err)
		}
		widest := 0.0
		for _, l := range lanes {
			var off []float64
			for _, c := range l.Crowns {
				off = append(off, c.OffMM)
			}
			z, err := straight.Zone(places(l), off)
			if err != nil {
				rt.Fatal(err)
			}
			widest = max(widest, z.WidthMM)
			if a, b, err := straight.ReferenceLine(places(l), off); err != nil || math.Abs(a) > 1e-12 || math.Abs(b) > 1e-12 {
				rt.Fatalf("lane %d lies about %g %+g·x, %v", l.String, a, b, err)
			}
		}
		if math.Abs(widest-zone) > 1e-12 {
			rt.Fatalf("the worst lane has a zone of %g, asked %g", widest, zone)
		}
	})
}

// At a zone of 0 every neck is the perfect one; and as the zone narrows, every
// share's action falls towards the perfect neck's.
func TestRun_FallsToThePerfectNeck(t *testing.T) {
	r := request(300)
	r.ZonesMM = []float64{0, 1e-6, 0.005, 0.01, 0.02, 0.04, 0.08}
	a := run(t, r)
	for i, perfect := range a.PerfectMM {
		for _, v := range a.LowestMM[0][i] {
			if v != perfect {
				t.Fatalf("string %d at a zone of 0: %g, perfect %g", i+1, v, perfect)
			}
		}
		for _, share := range []float64{0.5, 0.9, 0.95} {
			last := perfect
			for z := range r.ZonesMM[1:] {
				got := casetest.Value(LevelOf(a.LowestMM[z+1][i], share).ActionMM)
				if got <= last {
					t.Errorf("string %d, %g %%: %g at a zone of %g, %g at the one before", i+1, 100*share, got, r.ZonesMM[z+1], last)
				}
				last = got
			}
			if near := casetest.Value(LevelOf(a.LowestMM[1][i], share).ActionMM); near-perfect > 1e-5 {
				t.Errorf("string %d at a zone of 1 nm: %g, perfect %g", i+1, near, perfect)
			}
		}
	}
	if n := a.ClearAt(0, a.PerfectMM); n != r.Necks {
		t.Errorf("%d necks clear at the perfect neck's actions", n)
	}
}

// The action of a neck is the limit: there every pair of stop and crown has its
// gap, and a hair lower some pair has not, worked out anew without margins.
func TestRun_TheLimit(t *testing.T) {
	r := request(50)
	a := run(t, r)
	least := func(l play.Lane, s play.Setup, action float64) float64 {
		x12, z12 := l.Crowns[11].XMM, l.Crowns[11].ZMM
		saddle := s.NutMM + (z12+action-s.NutMM)*l.ScaleMM/x12
		low := math.Inf(1)
		for i := -1; i < len(l.Crowns); i++ {
			x0, z0 := 0.0, s.NutMM
			if i >= 0 {
				x0, z0 = l.Crowns[i].XMM, l.Crowns[i].ZMM
			}
			for _, c := range l.Crowns[i+1:] {
				low = min(low, z0+(saddle-z0)*(c.XMM-x0)/(l.ScaleMM-x0)-c.ZMM-0.1)
			}
		}
		return low
	}
	for k := range r.Necks {
		lanes, err := neckOf(r.Lines, r.Errors, r.ZonesMM[2], r.Seed, uint64(k))
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range lanes {
			at := a.LowestMM[2][i][k]
			if up, down := least(l, r.Lines[i].Setup, at+1e-6), least(l, r.Lines[i].Setup, at-1e-6); up < 0 || down > 0 {
				t.Errorf("neck %d string %d at %g mm: least margin %g above it, %g below", k, i+1, at, up, down)
			}
		}
	}
}

// The same seed gives the same answer on any number of processors; another seed
// another.
func TestRun_AnyNumberOfProcessors(t *testing.T) {
	r := request(64)
	want := run(t, r)
	for _, n := range []int{1, 2, 5} {
		was := runtime.GOMAXPROCS(n)
		got := run(t, r)
		runtime.GOMAXPROCS(was)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("on %d processors the answer differs", n)
		}
	}
	r.Seed++
	if reflect.DeepEqual(run(t, r).LowestMM[2], want.LowestMM[2]) {
		t.Error("another seed draws the same necks")
	}
	// More necks of the same seed begin with the same ones.
	r = request(80)
	if more := run(t, r); !slices.Equal(more.LowestMM[1][0][:64], want.LowestMM[1][0]) {
		t.Error("more necks of the same seed begin with others")
	}
}

func TestRun_CalledOff(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	r := request(100000)
	told := 0
	r.Progress = func(done, all int) {
		if told++; all != r.Necks || done > all {
			t.Errorf("%d of %d necks", done, all)
		}
		stop()
	}
	if _, err := Run(ctx, r); !errors.Is(err, context.Canceled) {
		t.Errorf("called off after the first word, it said %v", err)
	}
	if told == 0 || told > runtime.GOMAXPROCS(0) {
		t.Errorf("it went on for %d more words of progress", told)
	}
	if _, _, err := Difference(ctx, []float64{1}, []float64{1}, 0.5, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("the difference went on: %v", err)
	}
}

func TestRun_Refuses(t *testing.T) {
	r := request(5)
	r.Lines = lines(6, 2, 0.1)
	if _, err := Run(context.Background(), r); !errors.Is(err, ErrFewFrets) {
		t.Errorf("two frets: %v", err)
	}
	for _, edit := range []func(*Request){func(r *Request) { r.Lines = nil }, func(r *Request) { r.ZonesMM = nil }, func(r *Request) { r.Necks = 0 }} {
		r := request(5)
		edit(&r)
		if _, err := Run(context.Background(), r); !errors.Is(err, ErrNothing) {
			t.Errorf("%v", err)
		}
	}
	r = request(5)
	r.Lines[2].Setup.ActionFret = 40
	if _, err := Run(context.Background(), r); !errors.Is(err, play.ErrNoCrown) {
		t.Errorf("action over a fret that is not there: %v", err)
	}
}

// What was drawn has the errors that were asked for, before it is scaled: seen
// in what does not hang on the scale, the ratio of tilt to whole frets.
func TestDrawn_Tilt(t *testing.T) {
	ls := lines(3, 24, 0)
	between := func(e Errors) float64 {
		sum, all := 0.0, 0.0
		for k := range uint64(200) {
			off, err := drawn(ls, e, 3, k)
			if err != nil {
				t.Fatal(err)
			}
			for f := range off[0] {
				sum += (off[0][f] - off[2][f]) * (off[0][f] - off[2][f])
				all += off[1][f] * off[1][f]
			}
		}
		return sum / all
	}
	if got := between(Errors{Fret: 1}); got > 1e-20 {
		t.Errorf("whole frets alone differ across the board: %g", got)
	}
	// Two ends of a tilt of 0.5 differ by 1, squared, against whole frets of 1.
	if got := between(Errors{Fret: 1, Tilt: 0.5}); math.Abs(got-1) > 0.15 {
		t.Errorf("tilt against whole frets %g, want 1", got)
	}
}

// The order statistics of a known law: the range holds the true quantile about
// as often as it says.
func TestLevelOf_Coverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 0))
	const n = 400
	rounds := 2000
	if testing.Short() {
		rounds = 800
	}
	for _, share := range []float64{0.5, 0.9, 0.95} {
		held := 0
		for range rounds {
			v := make([]float64, n)
			for k := range v {
				v[k] = rng.Float64() // its quantile is the share itself
			}
			if l := LevelOf(v, share); l.LowMM.Or(0) <= share && share <= l.HighMM.Or(1) {
				held++
			}
		}
		if got := float64(held) / float64(rounds); got < 0.94 || got > 0.98 {
			t.Errorf("%g: the 95 %% range holds it in %.3f of the rounds", share, got)
		}
	}
}

func TestLevelOf_Ranks(t *testing.T) {
	v := []float64{5, 1, 4, 2, 3, 10, 9, 8, 7, 6}
	for share, want := range map[float64]float64{0.5: 5, 0.9: 9, 0.95: 10, 0.01: 1, 1: 10} {
		if got := casetest.Value(LevelOf(v, share).ActionMM); got != want {
			t.Errorf("%g of ten: %g, want %g", share, got, want)
		}
	}
	if v[0] != 5 {
		t.Error("it sorted its input")
	}
	if l := LevelOf(v, 0.95); l.HighMM.Known() {
		t.Errorf("ten necks bound the 95 %% level by %v", l.HighMM)
	}
	if l := LevelOf([]float64{1, math.Inf(1), math.Inf(1)}, 0.5); l.ActionMM.Known() {
		t.Errorf("two necks of three clear nowhere: %+v", l)
	}
}

// The bootstrap's uncertainty against the spread over studies drawn anew.
func TestDifference_Spread(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	draw := func() (a, b []float64) {
		for range 500 {
			v := rng.NormFloat64()
			a, b = append(a, v), append(b, 3*v+rng.NormFloat64())
		}
		return a, b
	}
	var all []float64
	u := 0.0
	for range 100 {
		a, b := draw()
		mm, s, err := Difference(context.Background(), a, b, 0.9, 1)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, mm)
		u += s / 100
	}
	mean, spread := 0.0, 0.0
	for _, v := range all {
		mean += v / 100
	}
	for _, v := range all {
		spread += (v - mean) * (v - mean) / 99
	}
	spread = math.Sqrt(spread)
	if want := 1.2816 * (math.Sqrt(10) - 1); math.Abs(mean-want) > 4*spread/10 {
		t.Errorf("difference %g, want %g", mean, want)
	}
	if r := u / spread; r < 0.75 || r > 1.35 {
		t.Errorf("uncertainty %g, spread of studies drawn anew %g", u, spread)
	}
	inf := []float64{math.Inf(1), math.Inf(1)}
	if mm, _, err := Difference(context.Background(), []float64{1, 2}, inf, 0.5, 1); err != nil || !math.IsNaN(mm) {
		t.Errorf("against no action at all: %g, %v", mm, err)
	}
}

func BenchmarkRun_8x1000(b *testing.B) {
	r := request(1000)
	r.ZonesMM = []float64{0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08}
	for b.Loop() {
		run(b, r)
	}
}

// Necks that clear nowhere tell nothing of what levelness buys.
func TestBuys_NothingToCompare(t *testing.T) {
	none := math.Inf(1)
	r := Request{ZonesMM: []float64{0.03}, Seed: 1}
	b, err := r.buys(context.Background(), &Actions{PerfectMM: []float64{1}, LowestMM: [][][]float64{{{none, none, none}}}})
	if err != nil || b != nil {
		t.Errorf("necks that clear nowhere: %+v, %v", b, err)
	}
}
