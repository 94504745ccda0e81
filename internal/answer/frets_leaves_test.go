package answer

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// noLeafEnters is a reading of every crown over which no leaf enters; leaf 0
// leaves unsaid which.
func noLeafEnters(r FretsRequest, leaf float64) []reading.Reading {
	var out []reading.Reading
	for lane := 1; lane <= r.Layout.Strings(); lane++ {
		for f := 1; f <= r.Layout.LastFret(); f++ {
			x := reading.Reading{Method: reading.Edge, Lane: float64(lane), Frets: []int{f}, U: reading.DefaultU, Line: len(out) + 2}
			if leaf > 0 {
				x.NoGo = &leaf
			}
			out = append(out, x)
		}
	}
	return out
}

// TestFrets_NoLeafEnters: a neck under which no leaf enters may be hollow by
// that leaf: at a limit of 0.03 it is never level by leaves of 0.03 and more,
// nor where it is not said which leaves there were; by a leaf of 0.02 it is.
func TestFrets_NoLeafEnters(t *testing.T) {
	for _, c := range []struct {
		leaf, largest float64
		want          string
	}{{0.03, 0.03, "in doubt"}, {0.04, 0.04, "in doubt"}, {0.05, 0.05, "in doubt"}, {0.06, 0.06, "in doubt"}, {0, 0.05, "in doubt"}, {0.02, 0.02, "level"}} {
		r := example(t, "heron.toml", "heron-seated.csv")
		r.Model.Level.FallAway = nil
		var err error
		if r.Layout, err = geometry.New(r.Model); err != nil {
			t.Fatal(err)
		}
		r.Readings = noLeafEnters(r, c.leaf)
		a := answer(t, r)
		if a.Verdict != c.want || a.Passed() != (c.want == "level") {
			t.Errorf("leaf %g: %s", c.leaf, a.Verdict)
		}
		for _, l := range a.Lanes {
			if len(l.ZoneRangeMM) != 2 || l.ZoneRangeMM[0] != 0 || l.ZoneRangeMM[1] < c.largest || l.ZoneRangeMM[1] > c.largest+0.01 {
				t.Fatalf("leaf %g: range %v", c.leaf, l.ZoneRangeMM)
			}
			if l.Verdict != c.want || casetest.Value(l.ZoneMM) != (l.ZoneRangeMM[0]+l.ZoneRangeMM[1])/2 || 2*casetest.Value(l.UZoneMM) < l.ZoneRangeMM[1]-casetest.Value(l.ZoneMM) {
				t.Errorf("leaf %g: %+v", c.leaf, l)
			}
		}
		if unsaid := len(a.Warnings) == 1 && strings.Contains(a.Warnings[0], "as no_go"); unsaid != (c.leaf == 0) {
			t.Errorf("leaf %g: warnings %q", c.leaf, a.Warnings)
		}
		for i, x := range a.NextReadings {
			byLeaf := x.Method == "edge" && strings.Contains(x.Why, "a leaf of 0.02 mm that does not enter would settle it")
			if byLeaf != (i == 0) || x.Method == "edge" && i > 0 {
				t.Errorf("leaf %g: next %+v", c.leaf, x)
			}
		}
		if (len(a.NextReadings) == 0) != (c.want == "level") {
			t.Errorf("leaf %g: %d readings asked for", c.leaf, len(a.NextReadings))
		}
	}
}

// TestFrets_LeavesExample: the neck read without a dial: every lane has a range
// that holds its zone as the beam reads a neck with the same faults, within what
// both leave open; with other gauges there is none.
func TestFrets_LeavesExample(t *testing.T) {
	a := answer(t, example(t, "heron.toml", "heron-feelers.csv"))
	for _, l := range a.Lanes {
		if l.Verdict != "not level" || len(l.ZoneRangeMM) != 2 || l.ZoneRangeMM[0] <= a.ZoneLimitMM || l.ZoneRangeMM[1]-l.ZoneRangeMM[0] > 0.09 {
			t.Errorf("%+v, range %v", l, l.ZoneRangeMM)
		}
	}
	text, err := json.Marshal(a.Lanes[0])
	if err != nil || !strings.Contains(string(text), `"zone_range_mm":[0.0`) {
		t.Errorf("%s, %v", text, err)
	}
	for _, file := range []string{"heron-seated.csv", "heron-shop.csv"} {
		b := answer(t, example(t, "heron.toml", file))
		for _, l := range b.Lanes {
			if l.ZoneRangeMM != nil {
				t.Errorf("%s: lane %g has the range %v", file, l.Lane, l.ZoneRangeMM)
			}
		}
		if len(b.Warnings) > 0 {
			t.Errorf("%s: %q", file, b.Warnings)
		}
	}
	for _, c := range a.Crowns {
		if !(c.UMM > 0.002) || math.IsInf(c.UMM, 0) {
			t.Errorf("fret %d, lane %g: u %v, less than leaves in steps of 0.01 leave open", c.Fret, c.Lane, c.UMM)
		}
	}
}
