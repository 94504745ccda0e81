package answer

import (
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/reading"
)

// ownGauges are the examples of one gauge each and what may be proposed to it.
var ownGauges = []struct {
	neck, readings string
	lane           []string // along a lane
	retake         []string // for one fret
}{
	{"heron.toml", "heron-feelers.csv", []string{"edge"}, []string{"rocker"}},
	{"heron.toml", "heron-shop.csv", []string{"bridge", "edge"}, []string{"bridge"}},
	{"heron.toml", "heron-seated.csv", []string{"beam"}, []string{"beam"}},
	{"heron-seven.toml", "heron-seven-seated.csv", []string{"probe"}, []string{"probe"}},
}

// within says whether all of part are in set.
func within(part, set []int) bool {
	for _, f := range part {
		if !slices.Contains(set, f) {
			return false
		}
	}
	return len(part) > 0
}

// TestNext_OwnGaugesDetermine: a lane, or three crowns of one, left unread are
// asked for with the gauges at hand, and what is asked for determines them.
func TestNext_OwnGaugesDetermine(t *testing.T) {
	for _, g := range ownGauges {
		if g.lane[0] == "probe" {
			continue // a touch names no lane: TestNext_OwnGaugesDoubt has it
		}
		for _, gone := range [][]int{{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22}, {10, 11, 12}, {22}, {1}} {
			r := example(t, g.neck, g.readings)
			var left, taken []reading.Reading
			for _, x := range r.Readings {
				if x.Lane == 2 && slices.ContainsFunc(x.Frets, func(f int) bool { return slices.Contains(gone, f) }) {
					taken = append(taken, x)
				} else {
					left = append(left, x)
				}
			}
			r.Readings = left
			a := answer(t, r)
			if len(a.Undetermined) < len(gone) {
				t.Fatalf("%s without %v: only %d crowns are open", g.readings, gone, len(a.Undetermined))
			}
			asked := 0
			for _, n := range a.NextReadings {
				if n.Lane != 2 {
					continue
				}
				asked++
				if !slices.Contains(g.lane, n.Method) {
					t.Errorf("%s without %v: asks for %+v", g.readings, gone, n)
				}
				for _, x := range taken {
					if string(x.Method) == n.Method && within(x.Frets, n.Frets) {
						r.Readings = append(r.Readings, x)
					}
				}
			}
			if again := answer(t, r); asked == 0 || len(again.Undetermined) > 0 {
				t.Errorf("%s without %v: asked %d times; still open are %v", g.readings, gone, asked, again.Undetermined)
			}
		}
	}
}

// TestNext_OwnGaugesRetake: a reading that does not agree is taken again with
// what the maker has.
func TestNext_OwnGaugesRetake(t *testing.T) {
	for _, g := range ownGauges {
		r := example(t, g.neck, g.readings)
		for i, x := range r.Readings {
			if x.Method == reading.Edge && x.Lane == 3 && x.Frets[0] == 11 {
				r.Readings[i].Value += 0.15
				if x.NoGo != nil {
					far := *x.NoGo + 0.15
					r.Readings[i].NoGo = &far
				}
			}
			if x.Method == reading.Bridge && x.Lane == 3 && x.Frets[1] == 11 {
				r.Readings[i].Value += 0.15
			}
		}
		a := answer(t, r)
		if len(a.Recheck) == 0 {
			t.Fatalf("%s: nothing is set aside", g.readings)
		}
		found := false
		for _, n := range a.NextReadings {
			found = found || slices.Contains(g.retake, n.Method) && slices.Contains(n.Frets, a.Recheck[0].Fret)
			if !slices.Contains(append(g.lane, g.retake...), n.Method) {
				t.Errorf("%s: asks for %+v", g.readings, n)
			}
		}
		if !found {
			t.Errorf("%s: set aside %+v, asks for %+v", g.readings, a.Recheck, a.NextReadings)
		}
	}
}

// TestNext_OwnGaugesDoubt: where lanes are in doubt, one to three choices are
// listed, each with minutes and a chance that grows; the first with a gauge that
// is at hand, but for leaves: these read the same again.
func TestNext_OwnGaugesDoubt(t *testing.T) {
	for _, g := range ownGauges {
		r := example(t, g.neck, g.readings)
		r.Model.Level.Zone = casetest.Value(answer(t, r).Lanes[1].ZoneMM)
		var choices []NextReading
		for _, n := range answer(t, r).NextReadings {
			if !n.Must {
				choices = append(choices, n)
			}
		}
		if len(choices) < 1 || len(choices) > 3 {
			t.Errorf("%s: %d choices", g.readings, len(choices))
			continue
		}
		for i, n := range choices {
			if !(n.Minutes > 0) || n.Settles.Known() && (casetest.Value(n.Settles) < 0 || casetest.Value(n.Settles) > 1) || n.Passes < 1 || len(n.Frets) == 0 || !slices.Contains(n.Lanes, n.Lane) {
				t.Errorf("%s: %+v", g.readings, n)
			}
			if (!n.Settles.Known()) != strings.Contains(n.Why, "zones lie between") {
				t.Errorf("%s: only of a leaf no chance is given: %+v", g.readings, n)
			}
			if i > 0 && n.Settles.Known() && choices[i-1].Settles.Known() && casetest.Value(n.Settles) <= casetest.Value(choices[i-1].Settles) {
				t.Errorf("%s: takes longer and settles no more: %+v", g.readings, choices)
			}
		}
		leaves := g.readings == "heron-feelers.csv"
		if m := choices[0].Method; slices.Contains(g.lane, m) == leaves {
			t.Errorf("%s: asks for %+v", g.readings, choices[0])
		}
	}
}

// TestNext_Settled: a neck whose lanes all have their verdict, with nothing set
// aside and nothing open, asks for nothing.
func TestNext_Settled(t *testing.T) {
	for _, name := range []string{"heron-levelled.csv", "heron-shop.csv"} {
		if a := answer(t, example(t, "heron.toml", name)); len(a.NextReadings) != 0 || len(a.Recheck) != 0 {
			t.Errorf("%s, %s: %+v", name, a.Verdict, a.NextReadings)
		}
	}
}

// TestNext_RockerAlone: a rocker alone determines no lane; then a beam is
// asked for, and the answer says why.
func TestNext_RockerAlone(t *testing.T) {
	r := example(t, "heron.toml", "heron-feelers.csv")
	r.Readings = slices.DeleteFunc(r.Readings, func(x reading.Reading) bool { return x.Method != reading.Rocker })
	if len(r.Readings) == 0 {
		t.Fatal("no rocker in the example")
	}
	next := answer(t, r).NextReadings
	if len(next) == 0 {
		t.Fatal("nothing is asked for")
	}
	for i, n := range next {
		if n.Method != "beam" || i == 0 && !strings.Contains(n.Why, "A rocker alone is not enough") {
			t.Errorf("%+v", n)
		}
	}
}

// TestFrets_ThreeCrowns: rocker places over three frets in a lane that nothing
// else reads do not tell which of the three is off, nor that the neck is bent;
// two places more do.
func TestFrets_ThreeCrowns(t *testing.T) {
	r := example(t, "heron.toml", "heron-feelers.csv")
	r.Readings = slices.DeleteFunc(r.Readings, func(x reading.Reading) bool {
		return x.Method != reading.Rocker || x.Lane != 1 || x.Frets[2] > 9
	})
	a := answer(t, r)
	if len(a.Frets) != 1 || !a.Frets[0].Open || a.Frets[0].Finding != "high, or fret 6 or 8 low, under string 1" {
		t.Errorf("findings %+v", a.Frets)
	}
	if len(a.Findings) > 0 || a.Lanes[0].Verdict != "not level" {
		t.Errorf("the neck as a whole %+v, lane %+v", a.Findings, a.Lanes[0])
	}
	for _, three := range [][]int{{5, 6, 7}, {7, 8, 9}} {
		r.Readings = append(r.Readings, reading.Reading{Method: reading.Bridge, Lane: 1, Frets: three, Value: -0.034, U: 0.003})
	}
	a = answer(t, r)
	if len(a.Frets) != 1 || a.Frets[0].Open || a.Frets[0].Fret != 7 || a.Frets[0].Finding != "high under string 1" {
		t.Errorf("with the frets beside them: %+v", a.Frets)
	}
}
