package reading

import (
	"bytes"
	"os"
	"reflect"
	"strings"
	"testing"
)

// A reading that is typed is the same as from a file, in any method.
func TestTyped_AsFromFile(t *testing.T) {
	b := Bounds{FirstFret: 1, LastFret: 22, Strings: 6}
	for _, name := range []string{"heron-seated.csv", "heron-shop.csv", "heron-feelers.csv", "heron-board.csv"} {
		data, err := os.ReadFile("../../examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		set, err := Parse(name, bytes.NewReader(data), b)
		if err != nil || len(set.Readings) == 0 {
			t.Fatal(name, err)
		}
		for _, r := range set.Readings {
			got, err := Typed("typed", r.Row(), b)
			got.Line = r.Line
			if err != nil || !reflect.DeepEqual(got, r) {
				t.Fatalf("%s: %v: %+v, want %+v", name, err, got, r)
			}
		}
	}
}

// Faults are those of a file of one row.
func TestTyped_FaultsAsOfFile(t *testing.T) {
	b := Bounds{FirstFret: 1, LastFret: 22, Strings: 6}
	for _, row := range []Row{
		{"beam", "1", "99", "0.4", "mm"}, {"beam", "1", "7", "0,4", "mm"}, {"beam", "1", "7", "", "mm"}, {"beam", "7", "7", "1", "mm"}, {"rocker", "1", "6-7-8", "0.1", "mm", "", "", "0.05"},
		{"beam", "1", "7", "200", "mm"}, {"beam", "1", "7", "1", "ell"}, {"beem", "1", "7", "1", "mm"}, {12: "yes"}, {"beam", "1", "7", "1", "mm", 13: "wet", 17: "hot"},
	} {
		var file strings.Builder
		if err := WriteRows(&file, []Row{row}); err != nil {
			t.Fatal(err)
		}
		_, want := Parse("x", strings.NewReader(file.String()), b)
		_, got := Typed("x", row, b)
		if got == nil || want == nil || got.Error() != want.Error() {
			t.Errorf("%q: %v, a file says %v", row, got, want)
		}
	}
}
