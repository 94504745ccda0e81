package demo

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

func visits(t *testing.T, necks int, seed uint64) []Visit {
	t.Helper()
	all := Visits(necks, seed)
	if len(all) < 2*necks {
		t.Fatalf("%d visits of %d necks", len(all), necks)
	}
	return all
}

// Every file is one that a maker could have given.
func TestVisits_FilesParse(t *testing.T) {
	models := map[string]int{}
	for _, v := range visits(t, 60, 1) {
		m, err := neck.Parse("heron.toml", []byte(v.Neck))
		if err != nil {
			t.Fatal(err)
		}
		l, err := geometry.New(m)
		if err != nil {
			t.Fatal(err)
		}
		set, err := reading.Parse(v.Serial, bytes.NewReader([]byte(v.Readings)), reading.Bounds{FirstFret: 1, LastFret: l.LastFret(), Strings: l.Strings()})
		if err != nil {
			t.Fatalf("%s %s: %v", v.Serial, v.Stage, err)
		}
		for _, r := range set.Readings {
			if r.Method == reading.Beam && (r.Date != v.Taken.Format("2006-01-02") || r.State != "slack" || r.By == "") {
				t.Fatalf("%s %s: %+v", v.Serial, v.Stage, r)
			}
		}
		models[m.Name]++
	}
	if models["Heron 22"] == 0 || models["Heron 20"] == 0 {
		t.Errorf("models %v", models)
	}
}

func TestVisits_Repeatable(t *testing.T) {
	if !reflect.DeepEqual(Visits(40, 7), Visits(40, 7)) {
		t.Error("the same seed gives other necks")
	}
	a, b := Visits(40, 7), Visits(40, 8)
	if a[0].Readings == b[0].Readings {
		t.Error("another seed gives the same necks")
	}
}

// What is planted is there: both lots, every hand and press, each stage, slips
// that are corrected after what they correct, in order of time.
func TestVisits_Planted(t *testing.T) {
	all := visits(t, 200, 1)
	seen, corrections := map[string]int{}, 0
	for i, v := range all {
		seen[v.Stage]++
		for k, w := range v.Tags {
			seen[k+"="+w]++
		}
		if i > 0 && v.Entered.Before(all[i-1].Entered) {
			t.Fatalf("visit %d was entered before the one before it", i)
		}
		if v.Entered.Before(v.Taken) {
			t.Fatalf("%s %s was entered before it was read", v.Serial, v.Stage)
		}
		if v.Corrects < 0 {
			continue
		}
		corrections++
		w := all[v.Corrects]
		if v.Corrects >= i || w.Serial != v.Serial || w.Stage != v.Stage || w.Readings == v.Readings || v.Why == "" || v.By == "" {
			t.Errorf("%s %s corrects visit %d of %d, %s %s", v.Serial, v.Stage, v.Corrects, i, w.Serial, w.Stage)
		}
		if a, b := strings.Split(w.Readings, "\n"), strings.Split(v.Readings, "\n"); len(a) != len(b) {
			t.Errorf("a slip changed the number of rows")
		}
	}
	for _, want := range []string{"seated", "refitted", "levelled", "serviced", "wire=lot5", "wire=lot7", "press=arbor", "press=lever",
		"hand=Ines", "hand=Tove", "hand=Rolf", "wood=ebony", "wood=rosewood"} {
		if seen[want] == 0 {
			t.Errorf("no visit has %s", want)
		}
	}
	if corrections == 0 {
		t.Error("no slip was corrected")
	}
	if len(Planted()) == 0 {
		t.Error("nothing is said to be planted")
	}
}

func BenchmarkVisits_500(b *testing.B) {
	for b.Loop() {
		Visits(500, 1)
	}
}
