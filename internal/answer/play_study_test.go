package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
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
		want := casetest.Value(s.LowestClearActionMM)
		if got := a.Strings[i].PerfectActionMM; math.Abs(got-want) > 1e-12 {
			t.Errorf("string %d: perfect crowns allow %g, play says %g", i+1, got, want)
		}
		for k := range a.Zones[0].Raise {
			if got := casetest.Value(a.Zones[0].Strings[i].Levels[k].ActionMM); math.Abs(got-want) > 1e-12 {
				t.Errorf("string %d at a zone of 0: %g, play says %g", i+1, got, want)
			}
			if got := casetest.Value(a.Zones[1].Strings[i].Levels[k].ActionMM); math.Abs(got-want) > 2e-5 {
				t.Errorf("string %d at a zone of 1 nm: %g, play says %g", i+1, got, want)
			}
		}
		for z := 3; z < len(a.Zones); z++ {
			if wide, narrow := casetest.Value(a.Zones[z].Strings[i].Levels[0].ActionMM), casetest.Value(a.Zones[z-1].Strings[i].Levels[0].ActionMM); !(wide > narrow) {
				t.Errorf("string %d: median %g at a zone of %g, %g at %g", i+1, wide, r.ZonesMM[z], narrow, r.ZonesMM[z-1])
			}
		}
	}
	if a.Buys == nil || !(a.Buys.RaiseMM > 0) || !(a.Buys.URaiseMM > 0) || !strings.Contains(text.StudyBuys(a.Report, a.Necks), "over perfect crowns") {
		t.Errorf("%s: %+v", text.StudyBuys(a.Report, a.Necks), a.Buys)
	}
}

func TestPlayStudy_AnyNumberOfProcessors(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package study")
	}
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
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package study")
	}
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
	if a.Buys != nil || !strings.Contains(text.StudyBuys(a.Report, a.Necks), "perfect neck") {
		t.Errorf("%q, %+v", text.StudyBuys(a.Report, a.Necks), a.Buys)
	}
	a.Zones[0].ZoneMM = 0.03
	if !strings.Contains(text.StudyBuys(a.Report, a.Necks), "nut gap") {
		t.Errorf("%q", text.StudyBuys(a.Report, a.Necks))
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
