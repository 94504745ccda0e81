package answer

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/reading"
)

const heronFile, heronSeated = "../../examples/heron.toml", "../../examples/heron-seated.csv"

// heronNeck is the example neck, changed as edit says.
func heronNeck(t testing.TB, edit ...string) (neck.Model, *geometry.Layout) {
	t.Helper()
	data, err := os.ReadFile(heronFile)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i+1 < len(edit); i += 2 {
		if !strings.Contains(text, edit[i]) {
			t.Fatalf("the example has no %q", edit[i])
		}
		text = strings.Replace(text, edit[i], edit[i+1], 1)
	}
	m, err := neck.Parse("heron.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

func heronReadings(t testing.TB, l *geometry.Layout) []reading.Reading {
	t.Helper()
	return readingsOf(t, l, heronSeated)
}

func readingsOf(t testing.TB, l *geometry.Layout, path string) []reading.Reading {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	set, err := reading.Parse(path, f, reading.Bounds{FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings()})
	if err != nil {
		t.Fatal(err)
	}
	return set.Readings
}

func mustPlay(t testing.TB, r PlayRequest) *PlayAnswer {
	t.Helper()
	a, err := Play(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(a) // fails on NaN and infinities
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "null") && a.PerfectCrowns && len(a.NotJudged) > 0 {
		t.Error("perfect crowns leave something unjudged")
	}
	return a
}

// reachBoth is the ideal reach, written out anew from the half-turned triangle.
func reachBoth(h, x, x0, l float64) float64 {
	away := (l - x) / x0
	if x <= l-x0 {
		away = x / (l - x0)
	}
	toward := x / x0
	if x > x0 {
		toward = (l - x) / (l - x0)
	}
	return h * math.Max(away, toward)
}

// Every margin of the example neck with perfect crowns, worked out again from
// the rules with plain formulas.
func TestPlay_PerfectHeronMargins(t *testing.T) {
	m, l := heronNeck(t)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l})
	if !a.PerfectCrowns || len(a.Strings) != 6 {
		t.Fatalf("%+v", a)
	}
	const scale = 640.0
	at := func(n int) float64 { return scale * (1 - math.Exp2(-float64(n)/12)) }
	z := func(n int) float64 { // relief 0.12 over frets 1 to 22, fall-away 0.10 from fret 15 by its square
		s := (at(n) - at(1)) / (at(22) - at(1))
		h := -0.12 * 4 * s * (1 - s)
		if n > 15 {
			f := (at(n) - at(15)) / (at(22) - at(15))
			h -= 0.10 * f * f
		}
		return h
	}
	least := math.Inf(1)
	for i, s := range a.Strings {
		action := 1.4 + 0.08*float64(i)
		saddle := 0.35 + (z(12)+action-0.35)*scale/at(12)
		if len(s.Notes) != 23*3 {
			t.Fatalf("string %d has %d notes", i+1, len(s.Notes))
		}
		for k, n := range s.Notes {
			stop, touch := k/3, m.Setup.Touch[k%3]
			if n.Fret != stop || n.Touch != touch.Name {
				t.Fatalf("note %d is fret %d, %s", k, n.Fret, n.Touch)
			}
			if stop == 22 {
				if n.MarginMM.Known() || n.Verdict != "clear" || n.NearestFret != nil {
					t.Errorf("last fret: %+v", n)
				}
				continue
			}
			x0z, zz := at(stop), z(max(stop, 1))
			if stop == 0 {
				x0z, zz = 0, 0.35
			}
			length := scale - x0z
			pluck := length - touch.FromSaddle
			h := touch.Force * pluck * touch.FromSaddle / (s.TensionN * length)
			margin, nearest := math.Inf(1), 0
			for j := stop + 1; j <= 22; j++ {
				x := at(j) - x0z
				gap := zz + (saddle-zz)*x/length - z(j)
				if v := gap - reachBoth(h, x, pluck, length); v < margin {
					margin, nearest = v, j
				}
			}
			if math.Abs(casetest.Value(n.MarginMM)-margin) > 1e-9 || *n.NearestFret != nearest {
				t.Errorf("string %d stop %d %s: margin %g at fret %d, want %g at %d", i+1, stop, n.Touch, casetest.Value(n.MarginMM), *n.NearestFret, margin, nearest)
			}
			least = math.Min(least, margin)
		}
	}
	if math.Abs(casetest.Value(a.LeastMarginMM)-least) > 1e-9 {
		t.Errorf("least margin %g, want %g", casetest.Value(a.LeastMarginMM), least)
	}
}

// Set to the lowest action of the crowns as read, the least margin at the judging
// touch is 0; set to the lowest clear action, every note is clear; a hair lower,
// not. Both with the nut's height and with the nut gap given.
func TestPlay_LowestActionsHold(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package play")
	}
	for name, edit := range map[string][]string{
		"nut":     {},
		"nut gap": {`nut = "0.35 mm"               # string's underside at the nut above the line of the crowns`, `nut_gap = "0.30 mm"`},
	} {
		m, l := heronNeck(t, edit...)
		r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
		a := mustPlay(t, r)
		try := func(pick func(play.StringReport) float64, less float64) *PlayAnswer {
			m := m
			m.Setup.Action = nil
			for _, s := range a.Strings {
				m.Setup.Action = append(m.Setup.Action, pick(s)-less)
			}
			r := r
			r.Model = m
			return mustPlay(t, r)
		}
		low := try(func(s play.StringReport) float64 { return casetest.Value(s.LowestActionMM) }, 0)
		for _, s := range low.Strings {
			least := math.Inf(1)
			for _, n := range s.Notes {
				if n.Touch == "firm" && n.MarginMM.Known() {
					least = math.Min(least, casetest.Value(n.MarginMM))
				}
			}
			if math.Abs(least) > 1e-9 {
				t.Errorf("%s: string %d at its lowest action has a margin of %g", name, s.String, least)
			}
		}
		count := func(a *PlayAnswer, number int) (bad int) {
			for _, n := range a.Strings[number-1].Notes {
				if n.Touch == "firm" && n.Verdict != "clear" {
					bad++
				}
			}
			return bad
		}
		at := try(func(s play.StringReport) float64 { return casetest.Value(s.LowestClearActionMM) }, 0)
		under := try(func(s play.StringReport) float64 { return casetest.Value(s.LowestClearActionMM) }, 0.001)
		for n := 1; n <= 6; n++ {
			if count(at, n) != 0 || count(under, n) == 0 {
				t.Errorf("%s: string %d: %d notes touch at its lowest clear action, %d a micrometre lower", name, n, count(at, n), count(under, n))
			}
		}
		if len(at.Worst) != 0 || at.Cures != nil {
			t.Errorf("%s: notes that are all clear have cures: %+v", name, at.Worst)
		}
	}
}

// The cures do what they say, each by itself, on the whole neck.
func TestPlay_CuresCure(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package play")
	}
	m, l := heronNeck(t, `action = ["1.40 mm", "1.80 mm"]`, `action = ["1.20 mm", "1.45 mm"]`)
	r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
	a := mustPlay(t, r)
	if a.Cures == nil || len(a.Worst) == 0 {
		t.Fatal("nothing to cure: the case is too mild")
	}
	clear := func(edit func(*neck.Model)) int {
		r := r
		r.Model.Setup.Action = append([]float64(nil), m.Setup.Action...)
		r.Model.Setup.Nut = append([]float64(nil), m.Setup.Nut...)
		edit(&r.Model)
		return len(mustPlay(t, r).Worst)
	}
	if n := clear(func(m *neck.Model) {
		for i := range m.Setup.Action {
			m.Setup.Action[i] += casetest.Value(a.Strings[i].RaiseActionMM)
		}
	}); n != 0 {
		t.Errorf("with every action raised %d notes still touch", n)
	}
	if a.Cures.ReliefMM.Known() {
		if n := clear(func(m *neck.Model) { m.Setup.Relief += casetest.Value(a.Cures.ReliefMM) }); n != 0 {
			t.Errorf("with relief changed by %g %d notes still touch", casetest.Value(a.Cures.ReliefMM), n)
		}
	}
	if a.Cures.RaiseNutMM.Known() {
		if n := clear(func(m *neck.Model) {
			for i := range m.Setup.Nut {
				m.Setup.Nut[i] += casetest.Value(a.Cures.RaiseNutMM)
			}
		}); n != 0 {
			t.Errorf("with the nut raised by %g %d notes still touch", casetest.Value(a.Cures.RaiseNutMM), n)
		}
	}
	for i := 1; i < len(a.Worst); i++ {
		if a.Worst[i-1].Verdict == a.Worst[i].Verdict && a.Worst[i-1].ShortMM < a.Worst[i].ShortMM {
			t.Error("the worst notes do not come first")
		}
	}
}

// turnedMM is how far a margin may differ on a neck turned over: the search for
// what the readings say drops unlikely causes in order of lane.
const turnedMM = 5e-4

// A neck turned over, treble to bass, gives each string the same answer.
func TestPlay_Mirror(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package play")
	}
	m, l := heronNeck(t)
	readings := heronReadings(t, l)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Readings: readings, Read: true})
	n := m
	n.Strings.Set, n.Setup.Action, n.Setup.Nut = nil, nil, nil
	for i := range m.Strings.Set {
		n.Strings.Set = append(n.Strings.Set, m.Strings.Set[5-i])
		n.Setup.Action = append(n.Setup.Action, m.Setup.Action[5-i])
		n.Setup.Nut = append(n.Setup.Nut, m.Setup.Nut[5-i])
	}
	nl, err := geometry.New(n)
	if err != nil {
		t.Fatal(err)
	}
	var turned []reading.Reading
	for _, r := range readings {
		if r.Lane > 0 {
			r.Lane = 7 - r.Lane
		}
		r.Y = -r.Y
		if r.Method == reading.Sticks {
			r.Value = -r.Value
		}
		turned = append(turned, r)
	}
	b := mustPlay(t, PlayRequest{Model: n, Layout: nl, Readings: turned, Read: true})
	for i, s := range a.Strings {
		o := b.Strings[5-i]
		if math.Abs(casetest.Value(s.LowestClearActionMM)-casetest.Value(o.LowestClearActionMM)) > turnedMM {
			t.Errorf("string %d: lowest clear action %g, turned over %g", i+1, casetest.Value(s.LowestClearActionMM), casetest.Value(o.LowestClearActionMM))
		}
		for k, n := range s.Notes {
			if n.Verdict != o.Notes[k].Verdict || (n.MarginMM.Known() && math.Abs(casetest.Value(n.MarginMM)-casetest.Value(o.Notes[k].MarginMM)) > turnedMM) {
				t.Errorf("string %d fret %d: %+v, turned over %+v", i+1, n.Fret, n, o.Notes[k])
			}
		}
	}
}
