package answer

import (
	"context"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/reading"
)

func TestPlay_CapoPitchAndSet(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced in package play")
	}
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
	if casetest.Value(tuned.Strings[5].LowestClearActionMM) <= casetest.Value(open.Strings[5].LowestClearActionMM) {
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
		if d := casetest.Value(s.LowestActionMM) - casetest.Value(perfect.Strings[i].LowestActionMM); math.Abs(d) > 0.3 {
			t.Errorf("string %d: lowest action %g off the perfect neck's", i+1, d)
		}
		if casetest.Value(s.LowestClearActionMM) > casetest.Value(before.Strings[i].LowestClearActionMM)+0.02 {
			t.Errorf("string %d: levelled, it must be set higher: %g after %g", i+1, casetest.Value(s.LowestClearActionMM), casetest.Value(before.Strings[i].LowestClearActionMM))
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
	if casetest.Value(s.NutMM) != 0 || len(s.Notes) != 9*3 {
		t.Errorf("open string at %g mm, %d notes", casetest.Value(s.NutMM), len(s.Notes))
	}
	// The action stands over the last fret, 8.
	x8 := 640 * (1 - math.Exp2(-8.0/12))
	z8 := -0.10 // fall-away; the relief ends here
	if got := casetest.Value(s.SaddleMM) * x8 / 640; math.Abs(got-z8-1.4) > 1e-9 {
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
	if len(a.NotJudged) != 5 || a.Passed() || len(a.Strings) != 6 || len(a.Strings[3].Notes) != 0 || a.Strings[3].LowestActionMM.Known() {
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
	if n := b.Strings[0].Notes[0]; len(n.NotSeen) != 1 || n.NotSeen[0] != 22 || n.Verdict != "clear" || b.Passed() {
		t.Errorf("without fret 22: %+v", n)
	}
	none := mustPlay(t, PlayRequest{Model: m, Layout: l, Read: true})
	if len(none.NotJudged) != 6 || none.LeastMarginMM.Known() {
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
		"disagree":                {`{ pitch = "E4", gauge = "0.010 in", kind = "plain" }`, `{ pitch = "E4", tension = "70 N", mass = "3 g/m" }`},
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
	if !strings.Contains(strings.Join(a.Warnings, "\n"), "chokes at every stop") && a.Passed() {
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
	if len(a.Strings[0].Notes) != 6 || !a.Strings[0].LowestActionMM.Known() || len(a.Bends) != 0 {
		t.Errorf("%+v", a.Strings[0])
	}
}

func TestPlay_Bends(t *testing.T) {
	m, l := heronNeck(t)
	a := mustPlay(t, PlayRequest{Model: m, Layout: l, Readings: heronReadings(t, l), Read: true, Bend: 2})
	words := map[play.BendVerdict]int{}
	for _, b := range a.Bends {
		words[b.Verdict]++
		if (b.SaveFallMM.Known()) != (b.Verdict == "strikes" || b.Verdict == "frets out") {
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
