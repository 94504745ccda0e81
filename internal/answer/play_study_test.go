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
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
	"ringtrue/internal/study"
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

// The action reported for a neck is the limit by the simulation itself: a hair
// higher every note is clear, a hair lower some note touches.
func TestPlayStudy_LimitBySimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package study")
	}
	r := heronStudy(t, 20, 0.05)
	const necks = uint64(2)
	p, lines := studied(t, r)
	found, err := study.Run(context.Background(), study.Request{Lines: lines, ZonesMM: r.ZonesMM, Necks: r.Necks, Seed: r.Seed, Errors: study.Usual()})
	if err != nil {
		t.Fatal(err)
	}
	touching := func(lanes []play.Lane, z int, k uint64, more float64) (n []int) {
		cases := append([]play.Case(nil), p.Cases...)
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

// Frets that err each by itself against a slow wave along the neck of the same
// zone, half a wave to two, wherever it begins: on average the wave costs less
// than the median neck, and at worst no more than nine necks in ten need.
func TestPlayStudy_AgainstSlowWaves(t *testing.T) {
	const zoneMM = 0.03
	r := heronStudy(t, 200, zoneMM)
	_, lines := studied(t, r)
	found, err := study.Run(context.Background(), study.Request{Lines: lines, ZonesMM: r.ZonesMM, Necks: r.Necks, Seed: 1, Errors: study.Usual()})
	if err != nil {
		t.Fatal(err)
	}
	half, most9 := study.LevelOf(found.Raises(0), 0.5), study.LevelOf(found.Raises(0), 0.9)
	mean, most, tried := 0.0, 0.0, 0
	for waves := 0.5; waves <= 2; waves += 0.5 {
		for begin := 0.0; begin < 1; begin += 0.125 {
			rise := math.Inf(-1)
			for i, l := range lines {
				low, err := play.LowestAction(waved(t, l.Lane, waves, begin, zoneMM), l.Setup, l.Clearance)
				if err != nil {
					t.Fatal(err)
				}
				rise = math.Max(rise, low-found.PerfectMM[i])
			}
			mean, most, tried = mean+rise, math.Max(most, rise), tried+1
		}
	}
	if mean /= float64(tried); mean >= casetest.Value(half.ActionMM) || most >= casetest.Value(most9.ActionMM) || most <= 0 {
		t.Errorf("slow waves: %g mm on average, %g at most; drawn necks: %g for half, %g for nine in ten", mean, most, casetest.Value(half.ActionMM), casetest.Value(most9.ActionMM))
	}
}

// studied is the neck of a study, and its lines.
func studied(t *testing.T, r PlayStudyRequest) (*play.Neck, []study.Line) {
	t.Helper()
	n, _, err := strung(context.Background(), r.Play.Under(r.Play.Model.Setup.JudgeBy))
	if err != nil {
		t.Fatal(err)
	}
	lines, err := study.LinesOf(context.Background(), n)
	if err != nil {
		t.Fatal(err)
	}
	return n, lines
}

// waved is a lane with so many waves along it, of a zone, over its reference line.
func waved(t *testing.T, l play.Lane, waves, begin, zoneMM float64) play.Lane {
	t.Helper()
	crowns := append([]play.Crown(nil), l.Crowns...)
	first, last := crowns[0].XMM, crowns[len(crowns)-1].XMM
	var x, z []float64
	for _, c := range crowns {
		x, z = append(x, c.XMM), append(z, math.Sin(2*math.Pi*(waves*(c.XMM-first)/(last-first)+begin)))
	}
	zone, err := straight.Zone(x, z)
	if err != nil {
		t.Fatal(err)
	}
	a, b, err := straight.ReferenceLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	for f := range crowns {
		crowns[f].ZMM += (z[f] - a - b*x[f]) * zoneMM / zone.WidthMM
	}
	l.Crowns = crowns
	return l
}

func BenchmarkPlayStudy_8x1000(b *testing.B) {
	r := heronStudy(b, 1000, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08)
	for b.Loop() {
		if _, err := PlayStudy(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}
