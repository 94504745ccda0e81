package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/setup"
	"ringtrue/internal/straight"
)

// every is the same measured on every string.
func every(strings int, first, action float64) (all []setup.Measured) {
	for i := range strings {
		all = append(all, setup.Measured{String: i + 1, FirstMM: num.Some(first), ActionMM: num.Some(action)})
	}
	return all
}

func mustSetup(t testing.TB, r SetupRequest) *SetupAnswer {
	t.Helper()
	if r.Doubt == (setup.Doubt{}) {
		r.Doubt = setup.Usual()
	}
	a, err := Setup(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Set to the sheet's least actions, every note is clear by simulation, on perfect
// crowns and on those read; a hundredth and a half lower on any string, one is not.
func TestSetup_LeastHeightIsClear(t *testing.T) {
	if testing.Short() {
		t.Skip("judges the neck eight times")
	}
	for _, readings := range []string{"", "../../examples/heron-levelled.csv"} {
		r := SetupRequest{Measured: every(6, 0.6, 2.2), Lowest: true}
		r.Model, r.Layout = heronNeck(t)
		if readings != "" {
			r.Readings, r.Read = readingsOf(t, r.Layout, readings), true
		}
		a := mustSetup(t, r)
		if n := a.Notes; n[play.Clear] != 138 || len(n) != 1 || len(a.Cannot) != 0 {
			t.Fatalf("%q: %v, %v: want every note clear", readings, n, a.Cannot)
		}
		again := r.PlayRequest.Under("firm")
		actions := make([]float64, 6)
		for i, s := range a.Strings {
			actions[i] = s.ActionWanted
		}
		again.Model.Setup.Action = actions
		if p := mustPlay(t, again); !p.Rings() || len(p.Worst) != 0 {
			t.Errorf("%q: play says %v of the neck so set", readings, p.Worst)
		}
		for i := range actions {
			actions[i] -= 0.015
		}
		p := mustPlay(t, again)
		for i, s := range p.Strings {
			clear := true
			for _, n := range s.At("firm") {
				clear = clear && n.Verdict == play.Clear
			}
			if clear {
				t.Errorf("%q: string %d is clear at %.3f mm, so %.3f mm is not the least", readings, i+1, actions[i], a.Strings[i].ActionWanted)
			}
		}
	}
}

// The heights are play's: what is wanted is what play lays the strings to.
func TestSetup_HeightsArePlays(t *testing.T) {
	m, l := heronNeck(t)
	r := PlayRequest{Model: m, Layout: l, Readings: readingsOf(t, l, "../../examples/heron-levelled.csv"), Read: true}
	a, p := mustSetup(t, SetupRequest{PlayRequest: r, Measured: every(6, 0.6, 2.2)}), mustPlay(t, r.Under("firm"))
	tuned, err := Tune(context.Background(), TuneRequest{PlayRequest: r})
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range a.Strings {
		casetest.Near(t, "nut", casetest.Value(s.NutWantedMM), casetest.Value(p.Strings[i].NutMM), 1e-12)
		casetest.Near(t, "saddle", s.SaddleWanted, casetest.Value(p.Strings[i].SaddleMM), 1e-9)
		casetest.Near(t, "setback", casetest.Value(s.SetbackMM), tuned.Strings[i].SetbackMM, 1e-12)
		if !(casetest.Value(s.UMM) > 0.0129) { // by hand, perfect crowns
			t.Errorf("string %d: u %v: crowns read add to it", i+1, s.UMM)
		}
	}
	if len(a.Cannot) == 0 || len(a.Cannot) != countStrings(p) {
		t.Errorf("%+v, play names %d strings", a.Cannot, countStrings(p))
	}
}

func countStrings(p *PlayAnswer) int {
	seen := map[int]bool{}
	for _, w := range p.Worst {
		seen[w.String] = true
	}
	return len(seen)
}

// The fields of the contract, with the worked case 648 mm: see setup's tests.
func TestSetup_JSON(t *testing.T) {
	m, l := heronNeck(t, `length = "640 mm"`, `length = "648 mm"`, `relief = "0.12 mm"`, `relief = "0 mm"`,
		`nut = "0.35 mm"`, `nut_gap = "0.45 mm"`, `action = ["1.40 mm", "1.80 mm"]`, `action = "1.60 mm"`,
		`fall_away = { from = 15, depth = "0.10 mm" }`, "")
	data, err := json.Marshal(mustSetup(t, SetupRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Measured: every(6, 0.70, 2.20)}))
	if err != nil {
		t.Fatal(err)
	}
	var got struct{ Strings []map[string]any }
	if err := json.Unmarshal(data, &got); err != nil || len(got.Strings) != 6 {
		t.Fatal(string(data), err)
	}
	for name, want := range map[string]float64{"string": 1, "nut_is_mm": 0.5103325, "nut_wanted_mm": 0.3045883, "slot_deeper_mm": 0.205744,
		"saddle_is_mm": 3.8896675, "saddle_lower_mm": 0.994256, "u_mm": 0.0129177} {
		v, ok := got.Strings[0][name].(float64)
		if !ok || math.Abs(v-want) > 1e-6 {
			t.Errorf("%s: %v, want %g", name, got.Strings[0][name], want)
		}
	}
}

func TestSetup_Faults(t *testing.T) {
	m, l := heronNeck(t)
	r := SetupRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Doubt: setup.Usual()}
	if _, err := Setup(context.Background(), r); !errors.Is(err, setup.ErrNothing) {
		t.Error(err)
	}
	r.Measured = []setup.Measured{{String: 2, ActionMM: num.Some(2)}}
	if _, err := Setup(context.Background(), r); !errors.Is(err, setup.ErrNoNut) {
		t.Error(err)
	}
	r.Measured = every(2, 0.6, 2)
	a, err := Setup(context.Background(), r)
	if err != nil || len(a.Strings) != 2 || len(a.NotMeasured) != 4 || a.Passed() {
		t.Errorf("%+v, %v", a, err)
	}
}

// A neck set as wanted, and clear so, is done: --check passes, and not before.
func TestSetup_Done(t *testing.T) {
	m, l := heronNeck(t)
	r := SetupRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Measured: every(6, 0.6, 2.2), Lowest: true}
	a := mustSetup(t, r)
	if a.Passed() {
		t.Error("passes with slots to cut")
	}
	r.Measured = nil
	for _, s := range a.Strings {
		r.Measured = append(r.Measured, setup.Measured{String: s.String, FirstMM: s.FirstWantedMM, ActionMM: num.Some(s.ActionWanted)})
	}
	if a = mustSetup(t, r); !a.Passed() {
		t.Errorf("%v: not done as wanted", a.Steps)
	}
}

// asFound is a neck of readings measured exactly as --lowest wants it.
func asFound(t *testing.T, readings string, zoneMM float64) SetupRequest {
	t.Helper()
	r := SetupRequest{Measured: every(6, 0.6, 2.0), Lowest: true}
	r.Model, r.Layout = heronNeck(t)
	r.Model.Level.Zone = zoneMM
	r.Readings, r.Read = readingsOf(t, r.Layout, "../../examples/"+readings), true
	for _, s := range mustSetup(t, r).Strings {
		r.Measured[s.String-1] = setup.Measured{String: s.String, FirstMM: s.FirstWantedMM, HeldMM: s.HeldWantedMM, ActionMM: num.Some(s.ActionWanted)}
	}
	return r
}

// With slots and saddle as wanted and every note clear, --check passes on level frets
// alone: not off, not in doubt, and not with two gaps that contradict each other.
func TestSetup_PassesOnLevelFretsAlone(t *testing.T) {
	for _, c := range []struct {
		readings string
		zoneMM   float64
		frets    straight.Verdict
	}{{"heron-levelled.csv", 0.030, straight.Level}, {"heron-levelled.csv", 0.024, straight.InDoubt}, {"heron-seated.csv", 0.030, straight.NotLevel}} {
		r := asFound(t, c.readings, c.zoneMM)
		a := mustSetup(t, r)
		if !a.Sheet.Done() || len(a.Cannot) > 0 || a.Frets != c.frets {
			t.Fatalf("%+v: %v, %v, frets %s", c, a.Steps, a.Cannot, a.Frets)
		}
		if a.Passed() != (c.frets == straight.Level) {
			t.Errorf("frets %s: passed %v", c.frets, a.Passed())
		}
		if c.frets != straight.Level {
			continue
		}
		// slot and saddle come out as wanted of the three together
		r.Measured[0].FirstMM = num.Some(r.Measured[0].FirstMM.OrNaN() + 0.0273)
		r.Measured[0].HeldMM = num.Some(r.Measured[0].HeldMM.OrNaN() - 0.0287)
		r.Measured[0].ActionMM = num.Some(r.Measured[0].ActionMM.OrNaN() - 0.04)
		if a = mustSetup(t, r); !a.Sheet.Done() || !a.Strings[0].Misread || a.Passed() {
			t.Errorf("slot %+v, saddle %+v, misread %v, passed %v: want a misread alone that fails", a.Sheet.Cuts[0].Slot, a.Sheet.Cuts[0].Saddle, a.Strings[0].Misread, a.Passed())
		}
	}
}

func BenchmarkSetup_Heron(b *testing.B) {
	m, l := heronNeck(b)
	for b.Loop() {
		mustSetup(b, SetupRequest{PlayRequest: PlayRequest{Model: m, Layout: l}, Measured: every(6, 0.6, 2.2)})
	}
}
