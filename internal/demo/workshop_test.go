package demo

import (
	"bytes"
	"reflect"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/reading"
)

func visits(t *testing.T, necks int, seed uint64) []*book.Entry {
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
		p, err := v.Files.Parse()
		if err != nil {
			t.Fatalf("%s %s: %v", v.Serial, v.Stage, err)
		}
		for _, r := range p.Readings {
			if r.Method == reading.Beam && (r.Date != v.Added.Format("2006-01-02") || r.State != "slack" || r.By == "") {
				t.Fatalf("%s %s: %+v", v.Serial, v.Stage, r)
			}
		}
		models[p.Model.Name]++
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
	if bytes.Equal(a[0].Files.Readings.Bytes, b[0].Files.Readings.Bytes) {
		t.Error("another seed gives the same necks")
	}
}

// What is planted is there: both lots, every hand and press, each stage, slips
// that are corrected after what they correct, in order of time.
func TestVisits_Planted(t *testing.T) {
	all := visits(t, 200, 1)
	seen, corrections, before := map[string]int{}, 0, map[book.Identity]*book.Entry{}
	for i, v := range all {
		seen[v.Stage]++
		for k, w := range v.Tags {
			seen[k+"="+w]++
		}
		if i > 0 && v.Added.Before(all[i-1].Added) {
			t.Fatalf("visit %d was entered before the one before it", i)
		}
		before[v.Identity()] = v
		if v.Corrects == nil {
			continue
		}
		corrections++
		w := before[*v.Corrects]
		if w == nil || w.Serial != v.Serial || w.Stage != v.Stage || v.Why == "" || v.By == "" {
			t.Fatalf("%s %s corrects %+v", v.Serial, v.Stage, w)
		}
		a, b := w.Files.Readings.Bytes, v.Files.Readings.Bytes
		if bytes.Equal(a, b) || bytes.Count(a, []byte("\n")) != bytes.Count(b, []byte("\n")) {
			t.Errorf("%s %s: a slip changed nothing, or the number of rows", v.Serial, v.Stage)
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
