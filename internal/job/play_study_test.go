package job

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/study"
)

func heronStudy(t testing.TB, necks int, zones ...float64) PlayStudyRequest {
	m, l := heronNeck(t)
	return PlayStudyRequest{Play: PlayRequest{Model: m, Layout: l}, ZonesMM: zones, Necks: necks, Seed: 1}
}

func mustStudy(t testing.TB, r PlayStudyRequest) *PlayStudyAnswer {
	t.Helper()
	a, err := PlayStudy(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(a); err != nil { // fails on NaN and infinities
		t.Fatal(err)
	}
	return a
}

// Half of the necks can go lower the narrower their zone, and at a zone of 0
// they meet what play says of perfect crowns.
func TestPlayStudy_MedianFallsToThePerfectNeck(t *testing.T) {
	r := heronStudy(t, 120, 0, 1e-6, 0.01, 0.02, 0.03, 0.05, 0.08)
	a := mustStudy(t, r)
	perfect := mustPlay(t, r.Play)
	for i, s := range perfect.Strings {
		want := *s.LowestClearActionMM
		if got := a.Strings[i].PerfectActionMM; math.Abs(got-want) > 1e-12 {
			t.Errorf("string %d: perfect crowns allow %g, play says %g", i+1, got, want)
		}
		for k := range studyShares() {
			if got := *a.Zones[0].Strings[i].Levels[k].ActionMM; math.Abs(got-want) > 1e-12 {
				t.Errorf("string %d at a zone of 0: %g, play says %g", i+1, got, want)
			}
			if got := *a.Zones[1].Strings[i].Levels[k].ActionMM; math.Abs(got-want) > 2e-5 {
				t.Errorf("string %d at a zone of 1 nm: %g, play says %g", i+1, got, want)
			}
		}
		for z := 3; z < len(a.Zones); z++ {
			if wide, narrow := *a.Zones[z].Strings[i].Levels[0].ActionMM, *a.Zones[z-1].Strings[i].Levels[0].ActionMM; !(wide > narrow) {
				t.Errorf("string %d: median %g at a zone of %g, %g at %g", i+1, wide, r.ZonesMM[z], narrow, r.ZonesMM[z-1])
			}
		}
	}
	if a.Buys == nil || !(a.Buys.RaiseMM > 0) || !(a.Buys.URaiseMM > 0) || !strings.Contains(a.Sentence(), "over perfect crowns") {
		t.Errorf("%s: %+v", a.Sentence(), a.Buys)
	}
}

// The action reported for a neck is the limit by the simulation itself: a hair
// higher every note is clear, a hair lower some note touches.
func TestPlayStudy_LimitBySimulation(t *testing.T) {
	r := heronStudy(t, 20, 0.05)
	necks := uint64(2)
	if testing.Short() {
		necks = 1
	}
	p := &player{r: r.Play, answer: &PlayAnswer{}}
	if err := r.check(p); err != nil {
		t.Fatal(err)
	}
	lines, err := p.studyLines(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	found, err := study.Run(context.Background(), study.Request{Lines: lines, ZonesMM: r.ZonesMM, Necks: r.Necks, Seed: r.Seed, Errors: study.Usual()})
	if err != nil {
		t.Fatal(err)
	}
	touching := func(lanes []play.Lane, z int, k uint64, more float64) (n []int) {
		cases := append([]play.Case(nil), p.cases...)
		for i := range cases {
			cases[i].Lane = lanes[i]
			cases[i].Setup.ActionMM = found.LowestMM[z][i][k] + more
		}
		judged, err := play.Judge(context.Background(), cases)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range judged {
			count := 0
			for _, notes := range j.Notes {
				if notes[0].Verdict != play.Clear {
					count++
				}
			}
			n = append(n, count)
		}
		return n
	}
	for z, zone := range r.ZonesMM {
		for k := range necks {
			lanes, err := study.Neck(lines, study.Usual(), zone, r.Seed, k)
			if err != nil {
				t.Fatal(err)
			}
			above, below := touching(lanes, z, k, 1e-6), touching(lanes, z, k, -1e-3)
			for i := range lines {
				if above[i] != 0 || below[i] == 0 {
					t.Errorf("zone %g, neck %d, string %d at %g mm: %d notes touch a nanometre higher, %d a micrometre lower",
						zone, k, i+1, found.LowestMM[z][i][k], above[i], below[i])
				}
			}
		}
	}
}

func TestPlayStudy_AnyNumberOfProcessors(t *testing.T) {
	r := heronStudy(t, 40, 0.02, 0.05)
	want := mustStudy(t, r)
	for _, n := range []int{1, 2} {
		was := runtime.GOMAXPROCS(n)
		got := mustStudy(t, r)
		runtime.GOMAXPROCS(was)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("on %d processors the answer differs", n)
		}
	}
}

func TestPlayStudy_CalledOff(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	r := heronStudy(t, 100000, 0.03)
	r.Progress = func(int, int) { stop() }
	if _, err := PlayStudy(ctx, r); !errors.Is(err, context.Canceled) {
		t.Errorf("called off at the first word of progress: %v", err)
	}
}

func TestPlayStudy_SetCapoAndOneZone(t *testing.T) {
	r := heronStudy(t, 30, 0.03)
	r.Play.Capo = 3
	capo := mustStudy(t, r)
	r.Play.Capo = 0
	for _, pitch := range []string{"D4", "A3", "F3", "C3", "G2", "D2"} {
		r.Play.Set = append(r.Play.Set, neck.String{Pitch: pitch})
	}
	low := mustStudy(t, r)
	for i := range low.Strings {
		if low.Strings[i].Pitch != r.Play.Set[i].Pitch || !(low.Strings[i].PerfectActionMM > capo.Strings[i].PerfectActionMM) {
			t.Errorf("tuned down: %+v, with a capo: %+v", low.Strings[i], capo.Strings[i])
		}
	}
	if capo.Capo != 3 || capo.Buys.FromZoneMM != 0 || capo.Buys.ToZoneMM != 0.03 {
		t.Errorf("%+v", capo.Buys)
	}
}

func TestPlayStudy_Faults(t *testing.T) {
	for name, c := range map[string]struct {
		edit func(*PlayStudyRequest)
		want string
	}{
		"readings":     {func(r *PlayStudyRequest) { r.Play.Read = true }, "takes no readings"},
		"bend":         {func(r *PlayStudyRequest) { r.Play.Bend = 1 }, "no bend"},
		"no zone":      {func(r *PlayStudyRequest) { r.ZonesMM = nil }, "takes a zone"},
		"negative":     {func(r *PlayStudyRequest) { r.ZonesMM = []float64{-1} }, "0 to 1 mm"},
		"not a number": {func(r *PlayStudyRequest) { r.ZonesMM = []float64{math.NaN()} }, "0 to 1 mm"},
		"falling":      {func(r *PlayStudyRequest) { r.ZonesMM = []float64{0.2, 0.1} }, "must ascend"},
		"few necks":    {func(r *PlayStudyRequest) { r.Necks = 3 }, "20 to 100000"},
		"many necks":   {func(r *PlayStudyRequest) { r.Necks = 1e6 }, "20 to 100000"},
		"capo":         {func(r *PlayStudyRequest) { r.Play.Capo = 22 }, "no note is left"},
		"too much": {func(r *PlayStudyRequest) {
			r.Necks, r.ZonesMM = 1e5, nil
			for z := range 50 {
				r.ZonesMM = append(r.ZonesMM, float64(z)*0.01)
			}
		}, "more than can be kept"},
		"nut gap": {func(r *PlayStudyRequest) {
			r.Play.Model.Setup.NutGap = make([]float64, 6)
			for i := range r.Play.Model.Setup.NutGap {
				r.Play.Model.Setup.NutGap[i] = 0.01
			}
		}, "touches at every action even over perfect crowns"},
	} {
		r := heronStudy(t, 30, 0.03)
		c.edit(&r)
		_, err := PlayStudy(context.Background(), r)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	r := heronStudy(t, 30, 0.03)
	m, l := heronNeck(t, "frets = 22", "frets = 2", `fall_away = { from = 15, depth = "0.10 mm" }`, "")
	r.Play.Model, r.Play.Layout = m, l
	if _, err := PlayStudy(context.Background(), r); err == nil || !strings.Contains(err.Error(), "three frets or more") {
		t.Errorf("two frets: %v", err)
	}
}

// A zone of 0 alone is no comparison, and the answer says so; nor are necks that
// clear nowhere.
func TestPlayStudy_NothingToCompare(t *testing.T) {
	a := mustStudy(t, heronStudy(t, 20, 0))
	if a.Buys != nil || !strings.Contains(a.Sentence(), "perfect neck") {
		t.Errorf("%q, %+v", a.Sentence(), a.Buys)
	}
	r := heronStudy(t, 20, 0.03)
	none := math.Inf(1)
	b, err := r.buys(context.Background(), &study.Actions{PerfectMM: []float64{1}, LowestMM: [][][]float64{{{none, none, none}}}})
	if err != nil || b != nil {
		t.Errorf("necks that clear nowhere: %+v, %v", b, err)
	}
	a.Zones[0].ZoneMM = 0.03
	if !strings.Contains(a.Sentence(), "nut gap") {
		t.Errorf("%q", a.Sentence())
	}
}

func BenchmarkPlayStudy_8x1000(b *testing.B) {
	r := heronStudy(b, 1000, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08)
	for b.Loop() {
		if _, err := PlayStudy(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}
