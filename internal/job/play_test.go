package job

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
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
	f, err := os.Open(heronSeated)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	set, err := reading.Parse(heronSeated, f, reading.Bounds{FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings()})
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
				if n.MarginMM != nil || n.Verdict != "clear" || n.NearestFret != nil {
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
			if math.Abs(*n.MarginMM-margin) > 1e-9 || *n.NearestFret != nearest {
				t.Errorf("string %d stop %d %s: margin %g at fret %d, want %g at %d", i+1, stop, n.Touch, *n.MarginMM, *n.NearestFret, margin, nearest)
			}
			least = math.Min(least, margin)
		}
	}
	if math.Abs(*a.LeastMarginMM-least) > 1e-9 {
		t.Errorf("least margin %g, want %g", *a.LeastMarginMM, least)
	}
}

// Set to the lowest action, the least margin at the judging touch is 0; set to
// the lowest clear action, every note is clear; a hair lower, not. Both with the
// nut's height and with the nut gap given.
func TestPlay_LowestActionsHold(t *testing.T) {
	for name, edit := range map[string][]string{
		"nut":     {},
		"nut gap": {`nut = "0.35 mm"               # string's underside at the nut above the line of the crowns`, `nut_gap = "0.30 mm"`},
	} {
		m, l := heronNeck(t, edit...)
		r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
		a := mustPlay(t, r)
		try := func(pick func(PlayString) float64, less float64) *PlayAnswer {
			m := m
			m.Setup.Action = nil
			for _, s := range a.Strings {
				m.Setup.Action = append(m.Setup.Action, pick(s)-less)
			}
			r := r
			r.Model = m
			return mustPlay(t, r)
		}
		low := try(func(s PlayString) float64 { return *s.LowestActionMM }, 0)
		for _, s := range low.Strings {
			least := math.Inf(1)
			for _, n := range s.Notes {
				if n.Touch == "firm" && n.MarginMM != nil {
					least = math.Min(least, *n.MarginMM)
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
		at := try(func(s PlayString) float64 { return *s.LowestClearActionMM }, 0)
		under := try(func(s PlayString) float64 { return *s.LowestClearActionMM }, 0.001)
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
			m.Setup.Action[i] += *a.Strings[i].RaiseActionMM
		}
	}); n != 0 {
		t.Errorf("with every action raised %d notes still touch", n)
	}
	if a.Cures.ReliefMM != nil {
		if n := clear(func(m *neck.Model) { m.Setup.Relief += *a.Cures.ReliefMM }); n != 0 {
			t.Errorf("with relief changed by %g %d notes still touch", *a.Cures.ReliefMM, n)
		}
	}
	if a.Cures.RaiseNutMM != nil {
		if n := clear(func(m *neck.Model) {
			for i := range m.Setup.Nut {
				m.Setup.Nut[i] += *a.Cures.RaiseNutMM
			}
		}); n != 0 {
			t.Errorf("with the nut raised by %g %d notes still touch", *a.Cures.RaiseNutMM, n)
		}
	}
	for i := 1; i < len(a.Worst); i++ {
		if a.Worst[i-1].Verdict == a.Worst[i].Verdict && a.Worst[i-1].ShortMM < a.Worst[i].ShortMM {
			t.Error("the worst notes do not come first")
		}
	}
}

// A neck turned over, treble to bass, gives each string the same answer.
func TestPlay_Mirror(t *testing.T) {
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
		if math.Abs(*s.LowestClearActionMM-*o.LowestClearActionMM) > 1e-6 {
			t.Errorf("string %d: lowest clear action %g, turned over %g", i+1, *s.LowestClearActionMM, *o.LowestClearActionMM)
		}
		for k, n := range s.Notes {
			if n.Verdict != o.Notes[k].Verdict || (n.MarginMM != nil && math.Abs(*n.MarginMM-*o.Notes[k].MarginMM) > 1e-6) {
				t.Errorf("string %d fret %d: %+v, turned over %+v", i+1, n.Fret, n, o.Notes[k])
			}
		}
	}
}

func TestPlay_CapoPitchAndSet(t *testing.T) {
	m, l := heronNeck(t)
	open := mustPlay(t, PlayRequest{Model: m, Layout: l})
	capo := mustPlay(t, PlayRequest{Model: m, Layout: l, Capo: 2})
	if n := capo.Strings[0].Notes[0]; n.Fret != 2 || len(capo.Strings[0].Notes) != 21*3 {
		t.Errorf("with a capo the first note is at fret %d, %d notes", n.Fret, len(capo.Strings[0].Notes))
	}
	for k, n := range capo.Strings[3].Notes {
		if o := open.Strings[3].Notes[6+k]; n.Verdict != o.Verdict || n.Fret != o.Fret {
			t.Fatalf("with a capo fret %d is %s, without %s", n.Fret, n.Verdict, o.Verdict)
		}
	}
	low := mustPlay(t, PlayRequest{Model: m, Layout: l, A4Hz: 432})
	ratio := low.Strings[2].TensionN / open.Strings[2].TensionN
	if math.Abs(ratio-432.0*432/(440*440)) > 1e-12 || low.Strings[2].MassGPerM != open.Strings[2].MassGPerM {
		t.Errorf("at A4 = 432 Hz the tension goes by %g", ratio)
	}
	set := []neck.String{{Pitch: "D4"}, {Pitch: "B3"}, {Pitch: "G3"}, {Pitch: "D3"}, {Pitch: "A2"}, {Pitch: "D2"}}
	tuned := mustPlay(t, PlayRequest{Model: m, Layout: l, Set: set})
	if got := tuned.Strings[5]; got.Pitch != "D2" || math.Abs(got.TensionN/open.Strings[5].TensionN-math.Exp2(-4.0/12)) > 1e-9 ||
		math.Abs(got.StiffnessNMM2/open.Strings[5].StiffnessNMM2-1) > 1e-12 || got.CoreMM != open.Strings[5].CoreMM {
		t.Errorf("tuned down: %+v from %+v", got, open.Strings[5])
	}
	if tuned.Strings[3].TensionN != open.Strings[3].TensionN && math.Abs(tuned.Strings[3].TensionN/open.Strings[3].TensionN-1) > 1e-12 {
		t.Error("an untouched string changed")
	}
	// Slacker strings swing wider: the lowest clear action rises.
	if *tuned.Strings[5].LowestClearActionMM <= *open.Strings[5].LowestClearActionMM {
		t.Error("tuned down, a string can go no lower")
	}
}

func TestPlay_AsPlanned(t *testing.T) {
	m, l := heronNeck(t)
	r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true}
	before := mustPlay(t, r)
	r.Planned = true
	after := mustPlay(t, r)
	if !after.AsPlanned || len(after.Worst) >= len(before.Worst) && len(before.Worst) > 0 {
		t.Errorf("%d notes touch before the plan, %d after", len(before.Worst), len(after.Worst))
	}
	// A levelled neck lies within the zone, so no lowest action is farther from
	// the perfect neck's than a few zones.
	perfect := mustPlay(t, PlayRequest{Model: m, Layout: l})
	for i, s := range after.Strings {
		if d := *s.LowestActionMM - *perfect.Strings[i].LowestActionMM; math.Abs(d) > 0.3 {
			t.Errorf("string %d: lowest action %g off the perfect neck's", i+1, d)
		}
		if *s.LowestClearActionMM > *before.Strings[i].LowestClearActionMM+0.02 {
			t.Errorf("string %d: levelled, it must be set higher: %g after %g", i+1, *s.LowestClearActionMM, *before.Strings[i].LowestClearActionMM)
		}
	}
	if _, err := Play(context.Background(), PlayRequest{Model: m, Layout: l, Planned: true}); err == nil {
		t.Error("a plan without readings passed")
	}
}

func TestPlay_ZeroFretFewFretsLift(t *testing.T) {
	m, l := heronNeck(t, "frets = 22", "frets = 8\nzero_fret = true", "from = 15", "from = 5",
		`{ name = "firm", force = "0.4 N", from_saddle = "110 mm" }`, `{ name = "firm", lift = "1 mm", from_saddle = "110 mm" }`,
		`nut = "0.35 mm" `, `nut = "0 mm" `)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l})
	s := a.Strings[0]
	if *s.NutMM != 0 || len(s.Notes) != 9*3 {
		t.Errorf("open string at %g mm, %d notes", *s.NutMM, len(s.Notes))
	}
	// The action stands over the last fret, 8.
	x8 := 640 * (1 - math.Exp2(-8.0/12))
	z8 := -0.10 // fall-away; the relief ends here
	if got := *s.SaddleMM * x8 / 640; math.Abs(got-z8-1.4) > 1e-9 {
		t.Errorf("open string %g mm over fret 8, want 1.4", got-z8)
	}
	for _, n := range s.Notes {
		if n.Touch == "firm" && n.Contact != nil && n.Contact.Release == "away" && n.Contact.TriangleMM != 1 {
			t.Errorf("a lift of 1 mm became %g", n.Contact.TriangleMM)
		}
	}
}

// Lanes without readings are named, and keep play --check from passing.
func TestPlay_LanesNotRead(t *testing.T) {
	m, l := heronNeck(t, `action = ["1.40 mm", "1.80 mm"]`, `action = "4 mm"`)
	var some []reading.Reading
	for _, r := range heronReadings(t, l) {
		if r.Lane == 1 && r.Method == reading.Beam {
			some = append(some, r)
		}
	}
	if len(some) < 10 {
		t.Fatalf("only %d readings of lane 1", len(some))
	}
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Readings: some, Read: true})
	if len(a.NotJudged) != 5 || a.AsAsked() || len(a.Strings) != 6 || len(a.Strings[3].Notes) != 0 || a.Strings[3].LowestActionMM != nil {
		t.Errorf("not judged: %+v", a.NotJudged)
	}
	if len(a.Strings[0].Notes) != 69 || a.Strings[3].TensionN <= 0 {
		t.Errorf("string 1 has %d notes", len(a.Strings[0].Notes))
	}
	// Without fret 22 the rest is judged against what is known, and said so.
	var fewer []reading.Reading
	for _, r := range some {
		if r.Frets[0] != 22 {
			fewer = append(fewer, r)
		}
	}
	b := mustPlay(t, PlayRequest{Model: m, Layout: l, Readings: fewer, Read: true})
	if n := b.Strings[0].Notes[0]; len(n.NotSeen) != 1 || n.NotSeen[0] != 22 || n.Verdict != "clear" || b.AsAsked() {
		t.Errorf("without fret 22: %+v", n)
	}
	none := mustPlay(t, PlayRequest{Model: m, Layout: l, Read: true})
	if len(none.NotJudged) != 6 || none.LeastMarginMM != nil {
		t.Errorf("no readings at all: %+v", none.NotJudged)
	}
}

func TestPlay_Faults(t *testing.T) {
	play := func(edit ...string) error {
		m, l := heronNeck(t, edit...)
		_, err := Play(context.Background(), PlayRequest{Model: m, Layout: l})
		return err
	}
	for want, edit := range map[string][]string{
		"between stop and saddle": {`force = "0.2 N", from_saddle = "130 mm"`, `force = "0.2 N", from_saddle = "200 mm"`},
		"slack":                   {`{ pitch = "E4", gauge = "0.010 in", kind = "plain" }`, `{ pitch = "E4", tension = "1 N", gauge = "0.010 in" }`},
		"contradict":              {`{ pitch = "E4", gauge = "0.010 in", kind = "plain" }`, `{ pitch = "E4", tension = "70 N", mass = "3 g/m" }`},
	} {
		err := play(edit...)
		if err == nil || !strings.Contains(err.Error(), want) || !fileerr.Is(err) || strings.Contains(err.Error(), "\n") {
			t.Errorf("error %v, want one line with %q", err, want)
		}
	}
	m, l := heronNeck(t)
	for name, r := range map[string]PlayRequest{
		"capo": {Model: m, Layout: l, Capo: 22}, "bend": {Model: m, Layout: l, Bend: 99}, "a4": {Model: m, Layout: l, A4Hz: 3},
		"set": {Model: m, Layout: l, Set: []neck.String{{Pitch: "E4"}}},
	} {
		if _, err := Play(context.Background(), r); err == nil {
			t.Errorf("%s passed", name)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Play(ctx, PlayRequest{Model: m, Layout: l}); err == nil {
		t.Error("called off, it went on")
	}
	// Below the frets everything chokes, and the answer says so.
	low, l := heronNeck(t, `relief = "0.12 mm"`, `relief = "6 mm"`)
	for i := range low.Setup.Action {
		low.Setup.Action[i] = -3
	}
	a := mustPlay(t, PlayRequest{Model: low, Layout: l})
	if !strings.Contains(strings.Join(a.Warnings, "\n"), "chokes at every stop") && a.AsAsked() {
		t.Errorf("warnings: %v", a.Warnings)
	}
}

// A cylinder under spreading strings: the lanes are not straight, and the
// answer says by how much. Against the closed form on the outer lane.
func TestPlay_BoardShapeOnACylinder(t *testing.T) {
	m, l := heronNeck(t, `radius = ["300 mm", "400 mm"] # at the nut, at the last fret; one value is a cylinder`, `radius = "300 mm"`)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Bend: 1})
	var x, z []float64
	for f := 1; f <= 22; f++ {
		at := 640 * (1 - math.Exp2(-float64(f)/12))
		y := 17.5 + 8*at/640
		x, z = append(x, at), append(z, math.Sqrt(300*300-y*y))
	}
	// The arch is concave: its zone is the greatest height over the chord.
	zone := 0.0
	for i := range x {
		chord := z[0] + (z[21]-z[0])*(x[i]-x[0])/(x[21]-x[0])
		zone = math.Max(zone, z[i]-chord)
	}
	if got := a.Strings[0].BoardShapeMM; math.Abs(got-zone) > 1e-9 || got < 0.005 {
		t.Errorf("board's shape %g mm, want %g", got, zone)
	}
	if !strings.Contains(strings.Join(a.Warnings, "\n"), "the board's own arch") {
		t.Errorf("warnings %q", a.Warnings)
	}
}

// One fret is enough of a neck, whatever is asked of it.
func TestPlay_OneFret(t *testing.T) {
	m, l := heronNeck(t, "frets = 22", "frets = 1", `fall_away = { from = 15, depth = "0.10 mm" }`, "")
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Bend: 1})
	if len(a.Strings[0].Notes) != 6 || a.Strings[0].LowestActionMM == nil || len(a.Bends) != 0 {
		t.Errorf("%+v", a.Strings[0])
	}
}

func TestPlay_Bends(t *testing.T) {
	m, l := heronNeck(t)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true, Bend: 2})
	words := map[string]int{}
	for _, b := range a.Bends {
		words[b.Verdict]++
		if (b.SaveFallMM != nil) != (b.Verdict == "strikes" || b.Verdict == "frets out") {
			t.Errorf("%+v", b)
		}
	}
	if len(a.Bends) != 6*21 || words["clear"] == 0 {
		t.Errorf("%d bends: %v", len(a.Bends), words)
	}
}

func BenchmarkPlay_Heron(b *testing.B) {
	m, l := heronNeck(b)
	r := PlayRequest{Model: m, Layout: l, Readings: heronReadings(b, l), Read: true}
	for b.Loop() {
		if _, err := Play(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}
